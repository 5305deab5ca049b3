"""`channel`: every number of the throttle channel, judged."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from steadyhead.channel.at_head import ThroughGears, doubted_check, doubted_mode, through_gears
from steadyhead.channel.autorotation_window import autorotation_window, window_verdict
from steadyhead.channel.curve import curve_verdict, head_speed_limit, mode_curve, todays_curve
from steadyhead.channel.end_points import WHOLE_PERCENT, end_points
from steadyhead.channel.fitted_law import FittedLaw, Kind, law_name
from steadyhead.channel.law_result import law_result, slope_interval
from steadyhead.channel.machine_setting import channel_setting, machine_readings
from steadyhead.channel.measured import Measured, reconciled
from steadyhead.channel.next_reading import next_reading
from steadyhead.channel.no_load import faster_than_driven, most_idle_rpm
from steadyhead.channel.pulse import landed_percent
from steadyhead.channel.reading_doubt import READING_DOUBT, spread_is_stated
from steadyhead.channel.reading_set import reading_set, said
from steadyhead.channel.result import ChannelAnswer, ModeCurve, Reading, VoidReading
from steadyhead.channel.set_point_law import set_point_law
from steadyhead.channel.setting import ChannelSetting
from steadyhead.channel.stick_down import stick_down_checks, stick_down_warnings
from steadyhead.channel.thresholds import Position, hold_above_learned_low_us, thresholds
from steadyhead.channel.turning import not_driven_there, turned_at_rest, turned_between
from steadyhead.machine.description import Machine
from steadyhead.words.cautions import ADVICE_ONLY, BENCH
from steadyhead.words.verdict import Outcome, Verdict, worst

RESTS_ON = ("channel.", "governor.", "run_logic.", "flight_mode.")
"""Tables of the machine file whose values the answer rests on."""


def channel(
    machine: Machine,
    readings: Sequence[Reading] = (),
    *,
    travel_step_percent: float = WHOLE_PERCENT,
    measured: Iterable[Measured] = (),
    void: Sequence[VoidReading] = (),
) -> ChannelAnswer:
    """Answer for one machine, with the readings of its file and those given here.

    `travel_step_percent`: the steps in which the transmitter lets the travel be set, 1 or 0.1. `measured`: thresholds
    that a bench run has found. `void`: readings that no longer count, those of the file among them.
    Raises: InputError when readings contradict each other, or the channel of the file is not one.
    """
    setting, contradicted = reconciled(channel_setting(machine), measured)
    gone = {one.reading for one in void}
    known = reading_set((*(one for one in machine_readings(machine) if one not in gone), *readings))
    sent = as_sent(known, setting)
    law, gears = set_point_law(sent), through_gears(sent, setting)
    modes = tuple(doubted_mode(mode_curve(law, mode, setting), gears) for mode in setting.modes)
    ends = end_points(setting, travel_step_percent)
    edges = thresholds(setting, _running_positions(setting, modes))
    window = autorotation_window(setting)
    following = next_reading(law, setting)
    idle_rpm = most_idle_rpm(machine)
    checks = (
        not_driven_there(window_verdict(setting), setting, known, idle_rpm if idle_rpm is not None else 0.0),
        *stick_down_checks(machine, setting),
        *turned_at_rest(setting, known),
        _law_verdict(law, void),
        *_curve_checks(law, setting, modes, gears),
    )
    every = (*ends.checks, *edges.checks, *checks)
    return ChannelAnswer(
        machine=machine.name,
        machine_revision=machine.revision,
        readings=known,
        law=law_result(law, setting.lowest_running_percent),
        modes=modes,
        end_points=ends,
        thresholds=edges,
        step_us=setting.pulse.step_us,
        jitter_us=setting.pulse.jitter_us,
        autorotation_window_percent=window.percent if window else None,
        autorotation_percent=setting.autorotation_percent,
        next_reading_percent=following.percent,
        next_reading_because=following.because,
        checks=checks,
        verdict=worst(check.verdict for check in every),
        reasons=tuple(check.reason for check in every if check.verdict is not Outcome.PASS),
        unknowns=tuple(dict.fromkeys(need for check in every for need in check.needs)),
        warnings=(*contradicted, *map(void_words, void), *_warnings(machine, setting, law, known)),
        typical=tuple(key for key in machine.typical() if key.startswith(RESTS_ON)),
        cautions=BENCH + ADVICE_ONLY,
        void_readings=tuple(void),
    )


def void_words(one: VoidReading) -> str:
    """Say that a reading no longer counts, and why."""
    return f"{said(one.reading)} no longer counts: {', '.join(one.since)} changed since it was taken; read it anew"


def curves(machine: Machine, setting: ChannelSetting) -> tuple[ModeCurve, ...]:
    """Return what to set for every flight mode by the readings of the file, and nothing else of the answer.

    Raises: InputError when readings contradict each other.
    """
    law = set_point_law(as_sent(reading_set(machine_readings(machine)), setting))
    return tuple(mode_curve(law, mode, setting) for mode in setting.modes)


def as_sent(readings: Iterable[Reading], setting: ChannelSetting) -> tuple[Reading, ...]:
    """Return the readings at the channel positions that their landed pulses stand for.

    Valid: readings taken with these end points and this travel.
    """
    return tuple(replace(reading, percent=landed_percent(setting.pulse, reading.percent)) for reading in readings)


def _running_positions(setting: ChannelSetting, modes: tuple[ModeCurve, ...]) -> tuple[Position, ...]:
    """Return every position at which the motor is meant to run: today's curve values and those to set."""
    today = [
        Position(f"{mode.name} (today)", mode.today_percent) for mode in setting.modes if mode.today_percent is not None
    ]
    to_set = [Position(f"{mode.mode} (to set)", mode.curve_percent) for mode in modes if mode.curve_percent is not None]
    return (*today, *to_set)


def _curve_checks(
    law: FittedLaw, setting: ChannelSetting, modes: tuple[ModeCurve, ...], gears: ThroughGears
) -> Iterable[Verdict]:
    """Return the checks of every flight mode: the value to set, today's value, the head maker's limit.

    Before them, what bears out head speeds that were worked out through the gears.
    """
    if gears.check is not None:
        yield gears.check
    if not setting.modes:
        yield Verdict.unknown("curve", "no flight mode is named: no head speed to set", needs=("flight_mode",))
    for mode, curve in zip(setting.modes, modes, strict=True):
        yield curve_verdict(curve)
        for check in (todays_curve(law, mode, setting), head_speed_limit(curve, setting, gears.share)):
            if check is not None:
                yield doubted_check(check, gears)


def _law_verdict(law: FittedLaw, void: Sequence[VoidReading]) -> Verdict:
    """Judge that the law is known by measurement and was tested by it; `void`: readings that no longer count."""
    check = "set_point_law"
    if not law.known:
        since = ", ".join(dict.fromkeys(change for one in void for change in one.since))
        older = f"; {len(void)} that are kept no longer count: {since} changed since they were taken" if void else ""
        return Verdict.unknown(check, law.because + older, needs=("readings",))
    if not law.tested:
        return Verdict.unknown(check, f"{law_name(law.kind)}, untested: {law.because}", needs=("readings",))
    slope = slope_interval(law)
    if slope is not None and slope[0] <= 0.0:
        return Verdict.unknown(
            check, "the readings lie too close together to show how the head speed rises", needs=("readings",)
        )
    return Verdict(check=check, verdict=Outcome.PASS, reason=f"{law_name(law.kind)}: {law.because}")


def _warnings(machine: Machine, setting: ChannelSetting, law: FittedLaw, readings: Sequence[Reading]) -> Iterable[str]:
    """Return what an answer rests on that nobody measured."""
    typical = [key for key in machine.typical() if key.startswith("channel.")]
    if typical:
        yield f"typical values were taken for {', '.join(typical)}: margins in µs and steps rest on them"
    above_us = hold_above_learned_low_us(setting)
    if above_us is not None:
        yield (
            f"throttle hold lies {above_us:.4g} us above the learned low end: check, blades off, "
            "that the controller arms there"
        )
    yield from stick_down_warnings(machine, setting)
    for reading in readings:
        most_rpm = faster_than_driven(machine, reading)
        if most_rpm is not None:
            yield (
                f"{said(reading)} is faster than the motor drives the head even without load ({most_rpm:.0f} rpm by "
                "Kv, cells and teeth): read it again, and check Kv, cells and teeth"
            )
    for reading in turned_between(setting, readings):
        yield (
            f"{said(reading)} lies between cut-off and start: a motor that runs may be lowered there, but none starts "
            "there; if it started there, the thresholds in the machine file are wrong"
        )
    doubted = [reading for reading in readings if not spread_is_stated(reading)]
    if doubted:
        yield (
            f"{len(doubted)} of {len(readings)} readings have no spread: ±{READING_DOUBT:.1%} is taken "
            "(common practice, no source)"
        )
    if law.kind is Kind.PIECEWISE and not law.bend:
        yield "between the readings only the rise is certain: an interval there spans from one reading to the next"
