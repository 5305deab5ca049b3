"""Changes worth trying, one thing at a time: each is the machine with that change made, and what it touches."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from steadyhead.advise.evidence import Evidence
from steadyhead.advise.flown_amounts import SAME_SPEED
from steadyhead.advise.ramp_trials import ramp_trials, teeth_trials
from steadyhead.advise.seen import BAIL_OUT, CHANNEL, CLIMB_OUT, GLIDE, GOVERNOR, HEIGHT, PLAN, RAMPS, Seen
from steadyhead.advise.trial import NoNumber, Trial, Tried, trial_of
from steadyhead.channel.answer import channel
from steadyhead.channel.autorotation_window import clear_percent, clear_places
from steadyhead.channel.machine_setting import channel_setting
from steadyhead.channel.result import Reading
from steadyhead.flight.governor_answer import governor
from steadyhead.flight.governor_result import TuningPoint
from steadyhead.flight.governor_tolerances import tolerances
from steadyhead.flight.tuning_advice import (
    GAIN_KEYS,
    STEP_BY_STEP,
    at_once,
    gains_are_own,
    is_stable,
    moves,
    nearest,
)
from steadyhead.machine.description import Machine
from steadyhead.plan.choices import packs, pinions, swapped
from steadyhead.plan.solved import Solved, solve
from steadyhead.words.progress import Say
from steadyhead.words.verdict import Outcome

RPM = 30.0 / math.pi
SPEED_STEPS = (-0.02, -0.04, -0.06, -0.08, -0.1, 0.02, 0.04, 0.06)
"""Shares by which a head speed is tried lower and higher; common practice, no source."""
PINIONS_TRIED = 3
"""Of the plan's table of pinions the best so many; besides, one tooth either way, which spoils least."""
ASKS_FOR_DRIVE = ("step_held", "duty_margin", "cell_voltage", "pinion_tooth")
"""Checks of load steps, flights and ramps that another pinion or pack may mend, besides those of the plan."""
OWN_GAIN_CHECKS = ("modulus_margin", "gain_margin", "phase_margin", "climb_droop", "overspeed", "recovery")
PLACES = ("high in it for a prompt restart, yet clear of the upper edge", "the middle")
NOT_ENOUGH = "no gains that were tried hold every tolerance: these come nearest, then look again"
QUARTER, CUTS = 0.25, 3
"""The map of gains reaches down to a quarter of its middle; three times over is a sixty-fourth."""
RISES = 2
"""It reaches up to four times its middle; twice over is sixty-four times. Own choice."""
NOT_YET = "not every tolerance is held with them"
NEVER_STABLE = "the loop hunts with every gain tried here, down to a sixty-fourth of today's: do not fly on any of them"
LOOK_FIRST = "look for play, a slipping drive and a slow or poor speed signal"
CLEAR_OF = 1.1
"""The map looks at every third frequency and may miss the nearest point to -1 by a little; own choice."""
GAINS_NEED = "log a flight with climb-outs and let the learn command fit the gains, or state them as measured"


def trials(
    machine: Machine, seen: Evidence, readings: Sequence[Reading], say: Say, logged: Sequence[Seen] = ()
) -> Iterator[Tried]:
    """Yield the changes that the failing checks ask for; none for a machine on which nothing fails.

    `logged` are the checks of logs: a spool-up is made so much shorter that it would have been in time there, too.
    """
    failing = [one for one in seen.every if one.fails]
    if CHANNEL in seen.parts:
        yield from _channel_trials(machine, readings, failing)
    if PLAN in seen.parts:
        yield from _drive_trials(machine, seen.solved or solve(machine), failing, say)
    if seen.governor is not None:
        yield from _gain_trials(machine, seen, say)
        flown = [one for one in logged if one.fails]
        yield from ramp_trials(machine, seen.governor.ramps, [*failing, *flown])
    if RAMPS in seen.parts:
        yield from teeth_trials(machine, failing)


def _channel_trials(machine: Machine, readings: Sequence[Reading], failing: Sequence[Seen]) -> Iterator[Tried]:
    names = {one.check.check for one in failing}
    answer = channel(machine, readings)
    for number, (row, curve) in enumerate(zip(machine.flight_mode, answer.modes, strict=True), start=1):
        if f"todays_curve: {row.name}" not in names or curve.curve_percent is None or row.channel is None:
            continue
        if curve.verdict is Outcome.PASS:
            key, percent = f"flight_mode.{number}.channel", curve.curve_percent
            today = f"{100.0 * row.channel.si:g} %"
            yield trial_of(
                machine, {key: percent / 100.0}, (key, f"curve value of {row.name}", today, f"{percent:.2f} %"),
                (CHANNEL,), note=curve.reason,
            )  # fmt: skip
    window, percent_now = answer.autorotation_window_percent, answer.autorotation_percent
    clear, places = (look(channel_setting(machine)) for look in (clear_percent, clear_places))
    wanted = {"autorotation_window", "restart_delay", "quick_restart_granted", "quick_restart_prompt"}
    if not names & wanted or window is None or clear is None or places is None or percent_now is None:
        return
    inside = any(one.check == "autorotation_window" and one.verdict is Outcome.PASS for one in answer.checks)
    tried = {_whole(place, clear): where for place, where in zip(reversed(places), PLACES, strict=True)}
    for percent, where in reversed(tried.items()):
        key = "channel.autorotation"
        yield trial_of(
            machine, {key: percent / 100.0}, (key, "autorotation position", f"{percent_now:g} %", f"{percent:g} %"),
            (CHANNEL, BAIL_OUT, HEIGHT),
            note=f"{where}: the window is {window[0]:.3g} to {window[1]:.3g} %; prove it on the bench, blades off",
            must_mend=inside,
        )  # fmt: skip


def _whole(percent: float, clear: tuple[float, float]) -> float:
    """Return the whole percent at or below, where that stands clear of both edges of the window."""
    whole = math.floor(percent + 1e-9)
    return float(whole) if clear[0] <= whole <= clear[1] else percent


def _drive_trials(machine: Machine, solved: Solved, failing: Sequence[Seen], say: Say) -> Iterator[Tried]:
    """Yield the best other pinions, the best other pack, and for each failing flight mode other head speeds."""
    drive = [one for one in failing if one.part == PLAN or one.check.check in ASKS_FOR_DRIVE]
    if not drive:
        return
    say("solve pinions and packs")
    parts = (PLAN, GOVERNOR, RAMPS, CLIMB_OUT, HEIGHT)
    teeth = machine.gears.pinion_teeth.number
    others = [choice for choice in pinions(solved) if not choice.current]
    near = [one for one in others[PINIONS_TRIED:] if abs(one.pinion_teeth - teeth) == 1]
    for one in (*others[:PINIONS_TRIED], *near):
        key = "gears.pinion_teeth"
        yield trial_of(
            machine, {key: float(one.pinion_teeth)}, (key, "pinion", f"{teeth:g} teeth", one.name), parts,
            note=one.reasons[-1],
        )  # fmt: skip
    choice = packs(solved)
    if choice and not choice[0].current:
        numbers, note = swapped(machine, choice[0].name)
        fitted = next(one.name for one in choice if one.current)
        yield trial_of(
            machine, numbers, ("pack", "pack", fitted, choice[0].name), parts,
            note=note or "the flying mass changes with the pack",
        )  # fmt: skip
    for number, row in enumerate(machine.flight_mode, start=1):
        if any(one.place.startswith(f"{row.name}, ") for one in drive):
            yield from _speed_trials(machine, number)


def _speed_trials(machine: Machine, number: int) -> Iterator[Trial]:
    """Yield other head speeds of a flight mode; none past that of another mode, or so near that both become one."""
    row, key = machine.flight_mode[number - 1], f"flight_mode.{number}.head_speed"
    order = [mode.head_speed.si for mode in machine.flight_mode]
    for share in SPEED_STEPS:
        speed = row.head_speed.si * (1.0 + share)
        if any((speed - other) * (row.head_speed.si - other) < 0.0 for other in order):
            continue
        if any(abs(speed - other) <= SAME_SPEED * other < abs(row.head_speed.si - other) for other in order):
            continue
        today, to = f"{row.head_speed.si * RPM:.0f} rpm", f"{speed * RPM:.0f} rpm"
        yield trial_of(
            machine, {key: speed}, (key, f"head speed of {row.name}", today, to),
            (PLAN, GOVERNOR, RAMPS, CLIMB_OUT, GLIDE, HEIGHT),
            note="the curve value of this flight mode has to be set again",
        )  # fmt: skip


def _gain_trials(machine: Machine, seen: Evidence, say: Say) -> Iterator[Tried]:
    """Yield the gains that hold every tolerance; where today's are typical only what to measure."""
    loop = [one for one in seen.parts[GOVERNOR] if one.check.check in OWN_GAIN_CHECKS]
    if not gains_are_own(machine):
        beyond = [one for one in loop if one.excess > 0.0]
        if beyond:
            why = f"today's gains are not known; with typical ones: {beyond[0]}"
            yield NoNumber(key=f"{GAIN_KEYS[0]}, {GAIN_KEYS[1]}", why=why, measure=GAINS_NEED)
        return
    if not any(one.fails for one in loop):
        return
    tuned = governor(machine, say=say).tuning
    held = tolerances(machine)
    point, holds = tuned.suggested or nearest(tuned.points, held), tuned.suggested is not None
    note = STEP_BY_STEP if holds else f"{NOT_ENOUGH}; {STEP_BY_STEP}"
    if not holds and min(one.modulus_margin for one in tuned.points) >= held.modulus.value:
        point, holds = _raised_until_held(machine, say, point)
        note = STEP_BY_STEP if holds else f"{NOT_ENOUGH}; {STEP_BY_STEP}"
    too_near = point.modulus_margin < held.modulus.value
    if too_near:
        point, holds = _cut_until_stable(machine, say)
    if too_near or not is_stable(tuned.today):
        note = at_once(point) if holds else f"{at_once(point)}; {NOT_YET}"
    if not is_stable(point):
        yield NoNumber(key=f"{GAIN_KEYS[0]}, {GAIN_KEYS[1]}", why=NEVER_STABLE, measure=LOOK_FIRST)
        return
    words = (f"{GAIN_KEYS[0]}, {GAIN_KEYS[1]}", "gains of the governor", "as they stand", moves(point))
    yield trial_of(
        machine, _turned(machine, point.gain_factor, point.integral_factor), words, (GOVERNOR, CLIMB_OUT, HEIGHT),
        relative=True, note=note,
    )  # fmt: skip


def _turned(machine: Machine, gain: float, integral: float) -> dict[str, float]:
    """Return both gains of a machine turned by factors, as its keys have them."""
    today = {key: value.si for key in GAIN_KEYS if (value := machine.value(key)) is not None}
    factors = dict(zip(GAIN_KEYS, (gain, gain / integral), strict=True))
    return {key: value * factors[key] for key, value in today.items()}


def _raised_until_held(machine: Machine, say: Say, near: TuningPoint) -> tuple[TuningPoint, bool]:
    """Return the gains nearest to today's, far above them, that hold every tolerance, and whether any do; else `near`.

    For a loop so weak that with the most of both gains on the map it is still clear of hunting.
    """
    rise = 1.0
    for _ in range(RISES):
        rise /= QUARTER
        tuned = governor(machine.replaced(_turned(machine, rise, rise)), say=say).tuning
        whole = [
            replace(one, gain_factor=rise * one.gain_factor, integral_factor=rise * one.integral_factor)
            for one in tuned.points
            if one.verdict is Outcome.PASS
        ]
        if whole:
            return min(
                whole, key=lambda one: math.hypot(math.log(one.gain_factor), math.log(one.integral_factor))
            ), True
    return near, False


def _cut_until_stable(machine: Machine, say: Say) -> tuple[TuningPoint, bool]:
    """Return gains far below today's that stay clear of hunting, as factors of today's, and whether all is held.

    A head that hunts is not to be flown a second time to find out how far it still has to go: one bold cut is safer.
    """
    cut, held = 1.0, tolerances(machine)
    for _ in range(CUTS):
        cut *= QUARTER
        tuned = governor(machine.replaced(_turned(machine, cut, cut)), say=say).tuning
        clear = [one for one in tuned.points if one.modulus_margin >= CLEAR_OF * held.modulus.value]
        point = tuned.suggested or nearest(clear or tuned.points, held)
        if clear:
            break
    whole = replace(point, gain_factor=cut * point.gain_factor, integral_factor=cut * point.integral_factor)
    return whole, tuned.suggested is not None
