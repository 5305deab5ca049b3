"""What the map of gains says in words: what each gain does to this machine, and which way to turn today's."""

import math
from collections.abc import Sequence

from steadyhead.flight.governor_result import TuningPoint
from steadyhead.flight.governor_tolerances import Tolerances
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome

GAIN_KEYS = ("governor.gain", "governor.integral_time")
TYPICAL_SAYS = (
    "today's gains are not known, typical ones stand in for them: how far to turn your device's own numbers is unknown "
    "until the gains are learned from a log with load changes in it"
)
STEP_BY_STEP = "turn one step at a time and log a climb-out after each"
AT_ONCE = (
    "{turn} in one step, with the head at rest: on the way there the loop may still hunt, and a head that hunts is not "
    "to be flown; then log a hover, judge it, and come back up step by step if it droops"
)
NOTHING = 0.005
MANY = 1.9
"""From this factor on a gain is told in times, not in per cent."""
A_TENTH = 0.15
"""Below this a gain is told as what is left of it: steps of 5 % would hide a factor."""


def gains_are_own(machine: Machine) -> bool:
    """Return whether both gains are stated, measured or fitted for this machine."""
    found = [machine.value(key) for key in GAIN_KEYS]
    return all(value is not None and not value.is_typical for value in found)


def advice(
    today: TuningPoint, good: TuningPoint | None, points: Sequence[TuningPoint], held: Tolerances, own: bool
) -> str:
    """Return in words what to do with today's gains; relative, because every device counts its gains in its own way."""
    said = _said(today, good, points, held)
    return said if own else f"{TYPICAL_SAYS}; for the typical gains it would be: {said}"


def explanation(points: Sequence[TuningPoint], size: int) -> tuple[str, ...]:
    """Return what one line more of each gain does to this machine, from the map itself."""
    middle = size // 2
    here = points[middle * size + middle]
    more_p, more_i = points[(middle + 1) * size + middle], points[middle * size + middle + 1]
    return (
        f"about 20 % more proportional gain: {_changes(here, more_p)}",
        f"about 20 % more integral gain: {_changes(here, more_i)}",
        "proportional gain sets how deep the head dips before the governor answers, and costs distance from hunting "
        "through the age of the measured speed; integral gain brings the head back the rest of the way, and costs "
        "phase: too much of it swings past the set speed",
    )


def turned(factor: float) -> str:
    """Return a change of a gain in words, in steps of 5 %: "raise by about 20 %"; empty when there is none."""
    if factor >= MANY:
        return f"raise to about {factor:.1f} times today's"
    if factor < A_TENTH:
        return f"lower to about {100.0 * factor:.0f} % of today's"
    share = 5.0 * round(abs(factor - 1.0) * 20.0)
    if share == 0.0:
        return ""
    return f"{'raise' if factor > 1.0 else 'lower'} by about {share:.0f} %"


def moves(point: TuningPoint) -> str:
    """Return the way from today's gains to others in words."""
    pairs = (("P", point.gain_factor), ("I", point.integral_factor))
    return "; ".join(f"{name}: {turned(factor)}" for name, factor in pairs if turned(factor)) or "leave both gains"


def at_once(point: TuningPoint) -> str:
    """Return that a head that hunts is turned to other gains in one step, and not flown on the way there."""
    both = point.gain_factor < 1.0 and point.integral_factor < 1.0
    return AT_ONCE.format(turn="cut both" if both else "turn them")


def in_steps(today: TuningPoint, point: TuningPoint) -> str:
    """Return how to go from today's gains to others: step by step, where today's loop dies out."""
    return STEP_BY_STEP if is_stable(today) else at_once(point)


def nearest(points: Sequence[TuningPoint], held: Tolerances) -> TuningPoint:
    """Return the gains that come nearest where none hold every tolerance on all drawn machines.

    Those that hold them on most; of those alike the ones that lie least beyond the tolerances in the sum, an unstable
    loop last; of those alike the farthest from hunting.
    """
    return min(points, key=lambda one: (-one.machines_share, round(_beyond(one, held), 3), -one.modulus_margin))


def is_stable(point: TuningPoint) -> bool:
    """Return whether the loop dies out with gains in every flight mode and charge."""
    return point.modulus_margin > 0.0


def _beyond(point: TuningPoint, held: Tolerances) -> float:
    """Return how far gains lie beyond each tolerance, shares of it, in the sum; a head that is not back counts once."""
    if not is_stable(point):
        return math.inf
    beyond = max(1.0 - point.modulus_margin / held.modulus.value, 0.0)
    for limit, figure in ((held.droop, point.drop_percent), (held.overspeed, point.rise_percent)):
        if limit is not None:
            beyond += max(figure / limit.value - 1.0, 0.0)
    if held.recovery is not None:
        beyond += 1.0 if point.recovery_s is None else max(point.recovery_s / held.recovery.value - 1.0, 0.0)
    return beyond


def _said(today: TuningPoint, good: TuningPoint | None, points: Sequence[TuningPoint], held: Tolerances) -> str:
    if today.verdict is Outcome.PASS:
        return "leave the gains: they hold every tolerance on every machine drawn from the spread"
    if good is not None:
        return f"{moves(good)} ({_worst(good)}); {in_steps(today, good)}"
    best = max(points, key=lambda point: (point.verdict is not Outcome.FAIL, point.machines_share, -_away(point)))
    if best.verdict is Outcome.FAIL and best.machines_share == 0.0:
        return f"no gains from a quarter to four times today's hold every tolerance: {_blocking(points, held)}"
    return (
        f"no gains hold every tolerance on all drawn machines; the best hold them on {best.machines_share:.0%}: "
        f"{moves(best)}; a smaller doubt on the machine would decide"
    )


def _away(point: TuningPoint) -> float:
    return math.hypot(math.log(point.gain_factor), math.log(point.integral_factor))


def _worst(point: TuningPoint) -> str:
    back = "not back in time" if point.recovery_s is None else f"back after {point.recovery_s:.2f} s"
    return (
        f"at worst {point.drop_percent:.1f} % below and {point.rise_percent:.1f} % above the set speed, {back}, "
        f"distance from hunting {point.modulus_margin:.2f}"
    )


def _blocking(points: Sequence[TuningPoint], held: Tolerances) -> str:
    parts = []
    for name, limit, least in (
        ("droop", held.droop, min(point.drop_percent for point in points)),
        ("overspeed", held.overspeed, min(point.rise_percent for point in points)),
    ):
        if limit is not None and least > limit.value:
            parts.append(f"{name} is at least {least:.1f} %, limit {limit.value:g} %")
    back = [point.recovery_s for point in points if point.recovery_s is not None]
    if held.recovery is not None and (not back or min(back) > held.recovery.value):
        parts.append("the head is never back in time")
    if max(point.modulus_margin for point in points) < held.modulus.value:
        parts.append("the loop is always too near to hunting")
    return ", ".join(parts) or "what one gain mends the other spoils"


def _changes(here: TuningPoint, there: TuningPoint) -> str:
    parts = [
        _change("drop", here.drop_percent, there.drop_percent, ".2f", " %"),
        _change("rise", here.rise_percent, there.rise_percent, ".2f", " %"),
        _change("distance from hunting", here.modulus_margin, there.modulus_margin, ".3f", ""),
    ]
    if here.recovery_s is not None and there.recovery_s is not None:
        parts.insert(2, _change("recovery", here.recovery_s, there.recovery_s, ".2f", " s"))
    elif here.recovery_s != there.recovery_s:
        parts.insert(2, "back in time" if here.recovery_s is None else "no longer back in time")
    return ", ".join(parts)


def _change(name: str, before: float, after: float, spec: str, unit: str) -> str:
    if abs(after - before) <= NOTHING * max(abs(before), abs(after)):
        return f"{name} stays {after:{spec}}{unit}"
    return f"{name} {before:{spec}} to {after:{spec}}{unit}"
