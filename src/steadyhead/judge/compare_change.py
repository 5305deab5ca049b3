"""One figure of both sides: its change with the doubt, and how many more flights would tell."""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from steadyhead.judge.compare_figures import Compared, Sample
from steadyhead.judge.compare_result import Change, Said
from steadyhead.judge.flight_scatter import Flights, difference_of_flights, flights_that_tell, seen_within
from steadyhead.judge.noise import Difference, difference_from_one, difference_of

ONE_FLIGHT = "from one flight to the next more may differ than within one: repeat each side on another day"
SCATTER_OF_OTHER = "a single value on one side is taken to scatter as those of the other side do: log that side again"
FEWEST_FOR_ONE = 3
"""A single value is held against three or more of the other side."""
TAIL = 0.95
"""A 90 % interval ends at this quantile of the normal distribution."""
WITHIN = "no change at all lies within its 90 % interval"
FEW = "its 90 % interval leaves no room for no change, but of so many figures a few do so by chance"


class Measured(NamedTuple):
    """A figure with its change, and the samples it rests on."""

    kept: Compared
    change: Change
    before: list[Sample]
    after: list[Sample]


def measured_change(
    kept: Compared, rpm: tuple[float | None, float | None], before: list[Sample], after: list[Sample]
) -> Measured:
    """Return a figure of one pair of flight modes with its change and its doubt, not yet said to have moved."""
    flights = len({s.flight for s in before}) >= 2 and len({s.flight for s in after}) >= 2
    old, new = (_flight_means(side) if flights else [s.value for s in side] for side in (before, after))
    one = Change(
        figure=kept.figure,
        unit=kept.unit,
        set_rpm=rpm[0],
        set_rpm_after=rpm[1],
        before=float(np.mean(old)) if old else None,
        after=float(np.mean(new)) if new else None,
        before_count=len(old),
        after_count=len(new),
        counted="flights" if flights else "windows and loads",
        change=None,
        change_interval=None,
        chance=None,
        said=Said.UNTOLD,
        reason="",
    )
    return Measured(kept, _with_doubt(kept, one, before, after, flights=flights), before, after)


def _with_doubt(kept: Compared, one: Change, before: list[Sample], after: list[Sample], *, flights: bool) -> Change:
    if one.before is None or one.after is None:
        return replace(one, reason=f"only the logs {'before' if one.before is not None else 'after'} show it")
    old, new = (np.array([s.value for s in side]) for side in (before, after))
    seen: Difference | None
    alone = False
    if flights or all(s.doubt is not None for s in (*before, *after)):
        seen = difference_of_flights(_flights(before, several=flights), _flights(after, several=flights), kept.step)
    elif min(old.size, new.size) >= 2:
        seen = difference_of(old, new, kept.step)
    else:
        alone = max(old.size, new.size) >= FEWEST_FOR_ONE
        seen = difference_from_one(old, new, kept.step) if alone else None
    if seen is None:
        return replace(one, change=one.after - one.before, reason="a single value has no scatter: log it again")
    return replace(
        one,
        change=seen.change,
        change_interval=(seen.change - seen.doubt, seen.change + seen.doubt),
        chance=seen.chance,
        reason=SCATTER_OF_OTHER if alone else "" if flights else ONE_FLIGHT,
    )


def too_few(found: Measured, chance: float) -> Change:
    """Return a figure whose interval leaves no room for no change, but whose chance is not as small as is asked."""
    more = flights_that_tell(_flights(found.before), _flights(found.after), found.kept.step, chance)
    tell = "; fly each side again" if more is None else f"; about {more} flights a side would tell, if it stays as seen"
    return replace(found.change, said=Said.FEW, flights_to_tell=more, reason=_also(f"{FEW}{tell}", found.change))


def within_noise(found: Measured) -> Change:
    """Return a figure that did not move by more than noise."""
    return replace(found.change, said=Said.NOISE, reason=_also(WITHIN, found.change))


def _also(words: str, change: Change) -> str:
    return f"{words}; {change.reason}" if change.reason else words


def _flights(samples: list[Sample], *, several: bool = True) -> Flights:
    from scipy.special import ndtri

    each = _by_flight(samples)
    doubts = [_own_doubt(one) for one in each]
    own, free = seen_within(
        [np.array([s.value for s in one]) for one in each], doubts, float(ndtri(TAIL)), several=several
    )
    return Flights(np.array(_flight_means(samples)), own, free)


def _own_doubt(samples: list[Sample]) -> float | None:
    known = [s.doubt for s in samples if s.doubt is not None]
    return float(np.mean(known)) if len(known) == len(samples) else None


def _by_flight(samples: list[Sample]) -> list[list[Sample]]:
    flights = dict.fromkeys(sample.flight for sample in samples)
    return [[s for s in samples if s.flight == flight] for flight in flights]


def _flight_means(samples: list[Sample]) -> list[float]:
    return [float(np.mean([s.value for s in one])) for one in _by_flight(samples)]
