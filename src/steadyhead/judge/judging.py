"""Judges a log against a machine: segments, figures, verdicts, advice."""

from dataclasses import replace
from typing import NamedTuple

from steadyhead.judge.advice import advice
from steadyhead.judge.charge_counter import words as counter_words
from steadyhead.judge.charge_left import Use, charge_left_of_packs
from steadyhead.judge.checks_drive import drive_checks, is_broken_off, use_of
from steadyhead.judge.checks_governing import governing_checks, unless_it_swings
from steadyhead.judge.checks_logic import logic_checks
from steadyhead.judge.conformance import conformance
from steadyhead.judge.current_sense import current_in_doubt, unless_current_in_doubt
from steadyhead.judge.figures import segment_figures, steady_figures
from steadyhead.judge.flights import flight_figures, flights, trace_within
from steadyhead.judge.head_room import head_rooms
from steadyhead.judge.joining import joined
from steadyhead.judge.log_runs import runs_of, seam_words
from steadyhead.judge.measured import Measured, measured
from steadyhead.judge.modes_missed import unless_speed_is_off
from steadyhead.judge.other_machine import misfit, unless_another_flew_it
from steadyhead.judge.owner import Owner, owner
from steadyhead.judge.plausible import implausible, unless_always_at_the_stop
from steadyhead.judge.result import FlightFigures, Judgement
from steadyhead.judge.set_apart import as_set, level_doubt, not_followed, set_apart
from steadyhead.judge.signals import Signals, signals
from steadyhead.judge.simulated_log import WARNING as SIMULATED
from steadyhead.judge.simulated_log import unless_simulated
from steadyhead.judge.trends import trends
from steadyhead.judge.unseen_worst import unless_unseen
from steadyhead.judge.without_channel import FLAT_S
from steadyhead.judge.worst_figure import worst_of
from steadyhead.machine.description import Machine
from steadyhead.trace.heard_remarks import BARE, BLADES_ON
from steadyhead.trace.trace import Trace
from steadyhead.words.cautions import ALL
from steadyhead.words.verdict import Verdict, unknown_of, worst

CHECKS = (
    "steady_band",
    "climb_droop",
    "overspeed",
    "recovery",
    "no_hunting",
    "duty_margin",
    "hover_duty",
    "cell_voltage",
    "charge_left",
    "soft_start_time",
    "quick_restart_granted",
    "quick_restart_time",
    "quick_restart_prompt",
    "no_start_in_autorotation_position",
    "hold_stops_motor",
    "hold_clears_quick_restart",
    "run_logic_conformance",
    "esc_current",
    "pack_resistance",
    "tip_speed",
    "head_speed_limit",
)
"""Every check, in the order in which it is shown."""

OF_ONE_PACK = ("pack_resistance",)
"""Checks that make no sense over two packs, beside the charge left in each."""

RESTS_ON = (
    "rotor.blades",
    "rotor.radius",
    "rotor.chord",
    "rotor.collective_max",
    "motor.kv",
    "motor.resistance",
    "pack.capacity",
    "rotor.inertia",
    "motor.no_load_current",
    "pack.cell_voltage_min",
)
"""Keys of the machine file, beside the limits, that figures of a log rest on."""


def judge(
    machine: Machine, trace: Trace, *, blades_heard: bool = False, bare_heard: bool = False, level_s: float = FLAT_S
) -> Judgement:
    """Return the judgement of one log: segments, events, steady windows, verdicts and advice.

    `bare_heard` says that the drive was heard all along and no blades: then no pitch loads it.

    A file that holds several runs of its logger is judged run by run.

    Valid: any trace; what a log cannot show comes out as unknown, never as pass.
    """
    runs, numbers = runs_of(trace), owner(machine)
    parts = [_judged(machine, numbers, run, blades_heard, bare_heard, level_s) for run in runs]
    if len(parts) == 1:
        return parts[0]
    whole = joined(parts, numbers)
    return replace(whole, rows_read=trace.rows_read, warnings=(*seam_words(runs), *whole.warnings), trace=trace)


def _judged(
    machine: Machine, numbers: Owner, trace: Trace, blades_heard: bool, bare_heard: bool, level_s: float
) -> Judgement:
    """Return the judgement of one run of a logger."""
    cleaned = signals(trace, numbers.collective_max_deg)
    if cleaned is None:
        return _nothing(machine, trace, "the log is too short to judge")
    found = measured(
        cleaned,
        numbers,
        blades_heard=blades_heard or BLADES_ON in trace.ear,
        bare_heard=bare_heard or BARE in trace.ear,
        level_s=level_s,
    )
    doubted = current_in_doubt(found, numbers)
    doubts = Doubts(current=doubted, level=level_doubt(found))
    held = _held(found, machine, numbers, trace, doubts)
    flown = _flights(found, machine, numbers, trace, held, doubts.level)
    checks = _ordered(
        unless_it_swings(
            (
                *_by_pack(held, flown, numbers),
                *as_set(_for_sure(logic_checks(found, machine, numbers)), doubts.level, None),
                conformance(found, machine),
            ),
            found,
        )
    )
    other = misfit(found, machine)
    checks = unless_current_in_doubt(unless_another_flew_it(checks, other), doubted)
    checks = _as_recorded(checks, trace)
    figures = tuple(each for each, _, _ in flown)
    return Judgement(
        log=trace.source,
        machine=machine.name,
        machine_revision=machine.revision,
        rows_read=trace.rows_read,
        warnings=(
            *((SIMULATED,) if trace.simulated else ()),
            *trace.warnings,
            *_warnings(cleaned, found),
            *(said for said in (other, doubted) if said),
            *implausible(found, machine),
        ),
        history=trace.history,
        segments=segment_figures(found),
        steady=steady_figures(found),
        events=found.events,
        bail_outs=tuple(r.figures for r in found.restarts),
        checks=checks,
        advice=advice(found, checks, machine),
        verdict=worst(c.verdict for c in checks),
        unknowns=_unknowns(checks, machine),
        pack_resistance_mohm=_milli(found.pack.resistance_ohm),
        pack_resistance_mohm_interval=_interval(found),
        energy_wh=found.pack.energy_wh,
        charge_used_mah=found.pack.charge_mah,
        cautions=ALL,
        typical=tuple(key for key in machine.typical() if key.startswith("limits.") or key in RESTS_ON),
        columns=trace.columns,
        head_room=head_rooms(found, machine),
        flights=figures,
        trends=trends(figures),
        trace=trace,
    )


class Doubts(NamedTuple):
    """Why the current of a log cannot be that of the flight, and why its set speeds may not have been set."""

    current: str | None
    level: str | None


def _held(found: Measured, machine: Machine, numbers: Owner, trace: Trace, doubts: Doubts) -> tuple[Verdict, ...]:
    """Judge how the head speed was held and what the drive bore, of a whole log or of one flight."""
    checks = (*governing_checks(found, machine, numbers), *drive_checks(found, machine, numbers, trace))
    checks = unless_unseen(_for_sure(checks), found, trace)
    held = unless_always_at_the_stop(unless_it_swings(checks, found), found)
    held = as_set(held, doubts.level, not_followed(found))
    return _as_recorded(unless_speed_is_off(unless_current_in_doubt(held, doubts.current), found, machine), trace)


def _as_recorded(checks: tuple[Verdict, ...], trace: Trace) -> tuple[Verdict, ...]:
    """Return checks as unknown that the recording left so, and passes of a simulated trace: neither won a proof."""
    checks = unknown_of(trace.left_open, checks, LEFT_OPEN, needs=("a log with a speed sensor",))
    return unless_simulated(checks, trace)


def _for_sure(checks: tuple[Verdict, ...]) -> tuple[Verdict, ...]:
    """Return fails as unknown where their own doubt reaches to the good side of the limit, as a pass is."""
    return tuple(check if check.check in FAILS_IN_DOUBT else check.unless_it_may_hold(LESS_DOUBT) for check in checks)


LEFT_OPEN = "the recording in which this trace was heard left it unknown"
LESS_DOUBT = "a log that shows it with less doubt: quicker rows, finer steps, less noise"
FAILS_IN_DOUBT = ("charge_left", "recovery")
"""The doubt of the charge is that of the cell's curve, which no log makes smaller; a fail within it says so, and asks
for no more than landing sooner. Recovery weighs noise by itself: its interval is for one row of many; own choice."""


def _flights(
    found: Measured,
    machine: Machine,
    numbers: Owner,
    trace: Trace,
    held: tuple[Verdict, ...],
    level_doubted: str | None,
) -> list[tuple[FlightFigures, Use, tuple[Verdict, ...]]]:
    """Return each flight with what it took from its pack, and with the verdicts on it alone."""
    parts = flights(found)
    answers = []
    for k, flight in enumerate(parts):
        inside = trace if len(parts) == 1 else trace_within(trace, flight)
        checks = held
        if len(parts) > 1:
            doubts = Doubts(current=current_in_doubt(flight.found, numbers), level=level_doubted)
            checks = _held(flight.found, machine, numbers, inside, doubts)
        before = parts[k - 1] if k else None
        figures = flight_figures(k + 1, flight, before, checks, machine, numbers, inside)
        use = replace(use_of(flight.found, numbers), number=figures.number, fresh=figures.pack_changed)
        answers.append((figures, use, checks))
    return answers


def _by_pack(
    held: tuple[Verdict, ...], flown: list[tuple[FlightFigures, Use, tuple[Verdict, ...]]], numbers: Owner
) -> tuple[Verdict, ...]:
    """Where packs were, or may have been, changed within a log, what is said of the pack is the worst of its packs."""
    if all(figures.pack_changed is False for figures, _, _ in flown[1:]):
        return held
    charge = charge_left_of_packs([use for _, use, _ in flown], numbers)
    changed = any(figures.pack_changed for figures, _, _ in flown)
    return tuple(
        charge if check.check == charge.check
        else _worst_flight(check, flown) if changed and check.check in OF_ONE_PACK
        else check
        for check in held
    )  # fmt: skip


def _worst_flight(check: Verdict, flown: list[tuple[FlightFigures, Use, tuple[Verdict, ...]]]) -> Verdict:
    own = [(figures.number, one) for figures, _, checks in flown for one in checks if one.check == check.check]
    shown = worst_of([one for _, one in own])
    number = next(number for number, one in own if one is shown)
    return replace(shown, reason=f"flight {number}: {shown.reason}")


def _ordered(checks: tuple[Verdict, ...]) -> tuple[Verdict, ...]:
    rank = {name: k for k, name in enumerate(CHECKS)}
    return tuple(sorted(checks, key=lambda c: rank.get(c.check, len(rank))))


def _warnings(cleaned: Signals, found: Measured) -> tuple[str, ...]:
    words = [f"{count} impossible values in {name} were left out" for name, count in cleaned.replaced.items()]
    words.extend(counter_words(cleaned.counts_anew_s))
    words.extend(apart.says for apart in set_apart(found))
    lost = not_followed(found)
    words.extend((lost,) if lost else ())
    if cleaned.speed_rpm is None:
        words.append("the log has no head speed and no motor speed: no governing figure can be given")
    elif not cleaned.speed_is_head:
        words.append(
            "only the motor side was measured: while the motor is off or idles, the head speed is not known, "
            "and the log cannot show when the head came to rest"
        )
    if is_broken_off(found):
        words.append("the log ends while the motor drives: what came after that is not in it")
    if not found.channel_seen:
        words.append("the log has no throttle channel: starts and stops are read from speed and duty")
    return tuple(words)


def _unknowns(checks: tuple[Verdict, ...], machine: Machine) -> tuple[str, ...]:
    needs = [need for check in checks for need in check.needs]
    keys = ("rotor.radius", "rotor.collective_max", "pack.resistance_when_new", "controller.current_burst")
    typical = [f"{key} (typical value used)" for key in machine.typical() if key in keys]
    return tuple(dict.fromkeys(needs + typical))


def _milli(ohm: float | None) -> float | None:
    return None if ohm is None else 1000.0 * ohm


def _interval(found: Measured) -> tuple[float, float] | None:
    low, high = found.pack.resistance_ohm_low, found.pack.resistance_ohm_high
    return None if low is None or high is None else (1000.0 * low, 1000.0 * high)


def _nothing(machine: Machine, trace: Trace, why: str) -> Judgement:
    checks = tuple(Verdict.unknown(name, why, needs=("a longer log",)) for name in CHECKS)
    return Judgement(
        log=trace.source,
        machine=machine.name,
        machine_revision=machine.revision,
        rows_read=trace.rows_read,
        warnings=(*trace.warnings, why),
        history=trace.history,
        segments=(),
        steady=(),
        events=(),
        bail_outs=(),
        checks=checks,
        advice=(),
        verdict=worst(c.verdict for c in checks),
        unknowns=("a longer log",),
        pack_resistance_mohm=None,
        pack_resistance_mohm_interval=None,
        energy_wh=None,
        charge_used_mah=None,
        cautions=ALL,
        columns=trace.columns,
        trace=trace,
    )
