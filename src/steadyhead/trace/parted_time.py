"""A time written in several columns, hours, minutes, seconds or milliseconds: added up to one."""

from itertools import combinations

import numpy as np

from steadyhead.trace.meaning import Claim
from steadyhead.trace.quick_look import sample_of
from steadyhead.trace.trace import Series

_FORWARD = 0.995
"""Share of the steps of the sum that go forward; own choice."""
_MOST_PARTS = 4
_HOUR_S, _DAY_S = 3600.0, 86400.0


def parted_time(claims: list[Claim]) -> tuple[tuple[Claim, ...], Series] | None:
    """Return the columns that make one time, and its seconds; None where one column says it all.

    Equation: t = sum of each column times its unit; the finest column begins again where the next one steps.
    Shapes: (n,)
    Valid: all but the finest in whole numbers.
    """
    parts = [c for c in claims if c.column.number is not None and c.heading.unit is not None and not c.by_person]
    parts = sorted(parts, key=lambda claim: -_factor(claim))[:_MOST_PARTS]
    for count in range(len(parts), 1, -1):
        for chosen in combinations(parts, count):
            seconds = _sum(chosen)
            if seconds is not None:
                return chosen, seconds
    return None


def _sum(chosen: tuple[Claim, ...]) -> Series | None:
    factors = [_factor(claim) for claim in chosen]
    numbers = [claim.column.number for claim in chosen if claim.column.number is not None]
    if len(set(factors)) < len(factors) or not bool((np.diff(numbers[-1]) < 0.0).any()):
        return None
    if any(np.any(sample_of(part) % 1.0) for part in numbers[:-1]):
        return None
    for part, factor, above in zip(numbers[1:], factors[1:], factors, strict=False):
        if float(np.nanmax(np.abs(part), initial=0.0)) * factor >= 1.001 * above:
            return None
    total = np.sum([part * factor for part, factor in zip(numbers, factors, strict=True)], axis=0)
    steps = np.diff(total)
    steps = np.where(steps < -0.5 * _DAY_S, 0.0, steps) if factors[0] == _HOUR_S else steps  # midnight
    return total if steps.size and float((steps >= 0.0).mean()) >= _FORWARD else None


def _factor(claim: Claim) -> float:
    return claim.heading.unit.factor if claim.heading.unit is not None else 0.0
