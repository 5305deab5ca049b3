"""Changes worth trying, one thing at a time: each is the machine with that change made, and what it touches."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from steadyhead.advise.evidence import BAIL_OUT, CHANNEL, GOVERNOR, PLAN, SOFT_START, TIMES, Evidence, Seen
from steadyhead.channel.answer import channel
from steadyhead.channel.result import Reading
from steadyhead.flight.governor_answer import governor
from steadyhead.flight.governor_result import Ramp
from steadyhead.flight.quick_ramp import QUICK, SOFT
from steadyhead.flight.tuning_advice import GAIN_KEYS, gains_are_own, moves, turned
from steadyhead.machine.description import Machine
from steadyhead.plan.choices import packs, pinions, swapped
from steadyhead.plan.solved import solve
from steadyhead.words.progress import Say
from steadyhead.words.verdict import Outcome

RPM = 30.0 / math.pi
SPEED_STEPS = (-0.02, -0.04, -0.06, -0.08, -0.1, 0.02, 0.04, 0.06)
"""Shares by which a head speed is tried lower and higher; common practice, no source."""
PINIONS_TRIED = 3
"""Of the plan's table of pinions the best so many."""
ROOM = 1.1
"""A ramp is made so much longer than the shortest that holds."""
OWN_GAIN_CHECKS = ("modulus_margin", "gain_margin", "phase_margin", "climb_droop", "overspeed", "recovery")
STEP_BY_STEP = "turn one step at a time and log a climb-out after each"
NOT_ENOUGH = "no gains from a quarter to four times today's hold every tolerance: these come nearest, then look again"
GAINS_NEED = "log a flight with climb-outs and let the learn command fit the gains, or state them as measured"


@dataclass(frozen=True, kw_only=True)
class Trial:
    """One change, not yet judged."""

    key: str
    what: str
    today: str
    to: str
    machine: Machine
    touches: tuple[str, ...]
    """Parts whose checks are worked out anew."""
    relative: bool = False
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class NoNumber:
    """A change without a number: today's value is not known."""

    key: str
    why: str
    measure: str


Tried = Trial | NoNumber


def trials(machine: Machine, seen: Evidence, readings: Sequence[Reading], say: Say) -> Iterator[Tried]:
    """Yield the changes that the failing checks ask for; none for a machine on which nothing fails."""
    failing = [one for one in seen.every if one.fails]
    if CHANNEL in seen.parts:
        yield from _channel_trials(machine, readings, failing)
    if PLAN in seen.parts:
        yield from _drive_trials(machine, failing, say)
    if seen.governor is not None:
        yield from _gain_trials(machine, seen, say)
        yield from _ramp_trials(machine, seen.governor.ramps, failing)


def _channel_trials(machine: Machine, readings: Sequence[Reading], failing: Sequence[Seen]) -> Iterator[Tried]:
    names = {one.check.check for one in failing}
    answer = channel(machine, readings)
    for number, (row, curve) in enumerate(zip(machine.flight_mode, answer.modes, strict=True), start=1):
        if f"todays_curve: {row.name}" not in names or curve.curve_percent is None or row.channel is None:
            continue
        if curve.verdict is Outcome.PASS:
            key, percent = f"flight_mode.{number}.channel", curve.curve_percent
            today = f"{100.0 * row.channel.si:g} %"
            yield Trial(
                key=key, what=f"curve value of {row.name}", today=today, to=f"{percent:.2f} %",
                machine=machine.replaced({key: percent / 100.0}), touches=(CHANNEL,), note=curve.reason,
            )  # fmt: skip
    window, percent_now = answer.autorotation_window_percent, answer.autorotation_percent
    wanted = {"autorotation_window", "restart_delay", "quick_restart_granted", "quick_restart_prompt"}
    if not names & wanted or window is None or percent_now is None:
        return
    for percent, where in (
        (_whole(0.5 * (window[0] + window[1]), window), "middle"),
        (_whole(window[1], window), "top"),
    ):
        key = "channel.autorotation"
        yield Trial(
            key=key, what="autorotation position", today=f"{percent_now:g} %", to=f"{percent:g} %",
            machine=machine.replaced({key: percent / 100.0}), touches=(CHANNEL, BAIL_OUT),
            note=f"the {where} of the window {window[0]:.3g} to {window[1]:.3g} %; prove it on the bench, blades off",
        )  # fmt: skip


def _whole(percent: float, window: tuple[float, float]) -> float:
    """Return the whole percent at or below, where one lies inside the window."""
    whole = math.floor(percent + 1e-9)
    return float(whole) if window[0] <= whole <= window[1] else percent


def _drive_trials(machine: Machine, failing: Sequence[Seen], say: Say) -> Iterator[Tried]:
    """Yield the best other pinions, the best other pack, and for each failing flight mode other head speeds."""
    drive = [one for one in failing if one.part == PLAN or one.check.check == "step_held"]
    if not drive:
        return
    say("solve pinions and packs")
    solved = solve(machine)
    parts = (PLAN, GOVERNOR)
    teeth = machine.gears.pinion_teeth.number
    for one in [choice for choice in pinions(solved) if not choice.current][:PINIONS_TRIED]:
        yield Trial(
            key="gears.pinion_teeth", what="pinion", today=f"{teeth:g} teeth", to=one.name,
            machine=machine.replaced({"gears.pinion_teeth": float(one.pinion_teeth)}), touches=parts,
            note=one.reasons[-1],
        )  # fmt: skip
    choice = packs(solved)
    if choice and not choice[0].current:
        numbers, note = swapped(machine, choice[0].name)
        fitted = next(one.name for one in choice if one.current)
        yield Trial(
            key="pack", what="pack", today=fitted, to=choice[0].name, machine=machine.replaced(numbers), touches=parts,
            note=note or "the flying mass changes with the pack",
        )  # fmt: skip
    for number, row in enumerate(machine.flight_mode, start=1):
        if any(one.place.startswith(f"{row.name}, ") for one in drive):
            yield from _speed_trials(machine, number)


def _speed_trials(machine: Machine, number: int) -> Iterator[Trial]:
    row, key = machine.flight_mode[number - 1], f"flight_mode.{number}.head_speed"
    order = [mode.head_speed.si for mode in machine.flight_mode]
    for share in SPEED_STEPS:
        speed = row.head_speed.si * (1.0 + share)
        if any((speed - other) * (row.head_speed.si - other) < 0.0 for other in order):
            continue
        yield Trial(
            key=key, what=f"head speed of {row.name}", today=f"{row.head_speed.si * RPM:.0f} rpm",
            to=f"{speed * RPM:.0f} rpm", machine=machine.replaced({key: speed}), touches=(PLAN,),
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
    point = tuned.suggested or max(tuned.points, key=lambda one: (one.machines_share, one.modulus_margin))
    gain, time_s = (machine.value(key) for key in GAIN_KEYS)
    if gain is None or time_s is None:
        return
    turned_to = (gain.si * point.gain_factor, time_s.si * point.gain_factor / point.integral_factor)
    yield Trial(
        key=f"{GAIN_KEYS[0]}, {GAIN_KEYS[1]}", what="gains of the governor", today="as they stand", to=moves(point),
        machine=machine.replaced(dict(zip(GAIN_KEYS, turned_to, strict=True))), touches=(GOVERNOR,), relative=True,
        note=STEP_BY_STEP if tuned.suggested else f"{NOT_ENOUGH}; {STEP_BY_STEP}",
    )  # fmt: skip


def _ramp_trials(machine: Machine, every: Sequence[Ramp], failing: Sequence[Seen]) -> Iterator[Tried]:
    """Yield a spool time that every flight mode's ramp and the limits of its time allow."""
    kinds: tuple[tuple[str, str, str, str, Callable[[Seen], bool]], ...] = (
        (QUICK, "governor.quick_spool", "limits.quick_spool", BAIL_OUT, _asks("quick_restart_time", QUICK)),
        (SOFT, "governor.soft_spool", "limits.soft_spool", SOFT_START, _asks("soft_start_time", SOFT)),
    )
    for kind, key, limit, part, asks in kinds:
        today, ramps = machine.value(key), [one for one in every if one.kind == kind]
        if not any(asks(one) for one in failing) or today is None:
            continue
        low, high = machine.value(f"{limit}_low"), machine.value(f"{limit}_high")
        least = max([low.si if low else 0.0, *(_safe(one) for one in ramps)])
        most = high.si if high else math.inf
        to = _spool_s(today.si, least, most, _too_slow(failing))
        if to is None:
            continue
        unknown = sorted({name for one in ramps for name in one.unknown_limits})
        yield Trial(
            key=key, what=f"time of the {kind} spool-up", today=f"{today.si:g} s",
            to=f"{turned(to / today.si) or 'leave it'} ({to:.1f} s)", machine=machine.replaced({key: to}),
            touches=(GOVERNOR, TIMES, part), relative=True,
            note=f"not held against {', '.join(unknown)}: nobody stated them" if unknown else "",
        )  # fmt: skip


def _spool_s(today_s: float, least_s: float, most_s: float, too_slow: float) -> float | None:
    """Return another spool time, s, inside what ramp and limits allow; None where there is none or today's will do.

    `too_slow` is how many times as long as allowed a flown restart took, 1 or less where it was in time.
    """
    if least_s > most_s:
        return None
    if today_s < least_s:
        return min(ROOM * least_s, most_s)
    if today_s > most_s:
        return 0.5 * (least_s + most_s)
    wanted = max(least_s, today_s / (ROOM * too_slow))
    return wanted if too_slow > 1.0 and wanted < today_s else None


def _too_slow(failing: Sequence[Seen]) -> float:
    late = [one.excess for one in failing if one.part == BAIL_OUT and one.check.check == "quick_restart_time"]
    return 1.0 + max(late, default=0.0)


def _asks(check: str, kind: str) -> Callable[[Seen], bool]:
    return lambda one: one.check.check == check or one.place.startswith(f"{kind} ramp")


def _safe(one: Ramp) -> float:
    """Return the shortest ramp that keeps the known limits on every drawn machine, s; endless where none does."""
    if one.shortest_s is None:
        return math.inf
    return one.shortest_s_interval[1] if one.shortest_s_interval else one.shortest_s
