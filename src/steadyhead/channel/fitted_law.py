"""A fitted set-point law and what can be read off it: head speed, its doubt, and the position for a head speed."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from steadyhead.channel.bow import bow_deviation_rpm
from steadyhead.channel.knee_gap import gap_about, softest_rpm
from steadyhead.channel.line_fit import Line, Points
from steadyhead.channel.monotone_fit import bounds_rpm
from steadyhead.channel.one_bend import bend_bounds_rpm
from steadyhead.channel.result import Interval

TOP_PERCENT = 100.0
BISECTIONS = 60


class Kind(StrEnum):
    """The laws that are told apart."""

    PROPORTIONAL = "proportional"
    AFFINE = "affine"
    FLOOR = "affine with a floor"
    CEILING = "affine with a ceiling"
    PIECEWISE = "monotone piecewise"
    UNKNOWN = "unknown"


_SAID = {
    Kind.PROPORTIONAL: "in proportion",
    Kind.AFFINE: "straight line with an offset",
    Kind.FLOOR: "straight line with an offset, level at its low end",
    Kind.CEILING: "straight line with an offset, level at its top",
    Kind.PIECEWISE: "rising from reading to reading",
    Kind.UNKNOWN: "not known",
}


def law_name(kind: str) -> str:
    """Return a kind of law as a person says it.

    Raises: ValueError when it is none.
    """
    return _SAID[Kind(kind)]


@dataclass(frozen=True, kw_only=True)
class FittedLaw:
    """The law that the readings speak for.

    `points` are the readings, `positions` one point for each channel position, raised to a rising row where the law
    is piecewise. `factor`: half width of the 90 % interval in standard errors. `tested`: whether the readings
    could have shown that it bends. `rival`: the line with an offset that stands behind a proportional law and
    widens its doubt. `bend`: sense of a piecewise law that bends one way, 0 where it does not.
    """

    kind: Kind
    because: str
    points: Points
    positions: Points
    factor: float
    tested: bool = False
    line: Line | None = None
    rival: Line | None = None
    flat: Line | None = None
    curve: Callable[[float], float] | None = None
    bend: int = 0
    residual_rpm: float | None = None

    @property
    def known(self) -> bool:
        """Whether there is a law at all."""
        return self.kind is not Kind.UNKNOWN

    @property
    def span_percent(self) -> Interval:
        """Lowest and highest position read; only for a law made from readings."""
        return float(self.points.percent[0]), float(self.points.percent[-1])


def head_speed_rpm(law: FittedLaw, percent: float) -> float:
    """Head speed that the law asks for at a position, rpm; never below 0.

    Valid: a known law.
    """
    if law.curve is not None:
        return law.curve(percent)
    if law.line is None:
        return float("nan")
    rpm = law.line.rpm(percent)
    if law.flat is not None:
        rpm = _clamp(law, rpm, law.flat.level_rpm)
    return max(rpm, 0.0)


def head_speed_interval_rpm(law: FittedLaw, percent: float) -> Interval:
    """90 % interval of that head speed, rpm.

    a line: fit ± factor · root of its variance and that of a bow which the readings do not rule out · with a flat:
    the same clamp on both ends of both intervals, and between slope and flat the softest bend · proportional: joined
    with the interval of the line with an offset ·
    piecewise: the bounds that the rise leaves, and a bend that goes one way
    Valid: a known law; beyond the readings the shape itself is an assumption that the interval does not cover.
    """
    if law.curve is not None:
        return _piecewise_interval_rpm(law, law.curve(percent), percent)
    if law.line is None:
        return 0.0, float("inf")
    bow_rpm = bow_deviation_rpm(law.points, percent) if law.flat is None else 0.0
    low, high = _band(law.line, percent, law.factor, bow_rpm)
    if law.rival is not None:
        rival_low, rival_high = _band(law.rival, percent, law.factor, bow_rpm)
        low, high = min(low, rival_low), max(high, rival_high)
    if law.flat is not None:
        flat_low, flat_high = _band(law.flat, percent, law.factor)
        low, high = _clamp(law, low, flat_low), _clamp(law, high, flat_high)
        low, high = _with_soft_knee(law, law.line.percent(law.flat.level_rpm), percent, (low, high))
    return max(low, 0.0), max(high, 0.0)


def _with_soft_knee(law: FittedLaw, knee_percent: float, percent: float, sharp: Interval) -> Interval:
    """Widen the interval of a sharp knee by that of the softest bend that its readings leave open, rpm."""
    ceiling, gap = law.kind is Kind.CEILING, gap_about(law.positions, knee_percent)
    softest = softest_rpm(law.positions, gap, percent, law.factor, ceiling=ceiling)
    if softest is None:
        return sharp
    return (min(sharp[0], softest), sharp[1]) if ceiling else (sharp[0], max(sharp[1], softest))


def _piecewise_interval_rpm(law: FittedLaw, middle_rpm: float, percent: float) -> Interval:
    """Bounds of a piecewise law at a position, rpm; never without the curve itself."""
    low, high = bounds_rpm(law.positions, percent, law.factor)
    if law.bend:
        bend_low, bend_high = bend_bounds_rpm(law.positions, percent, law.factor, law.bend)
        low, high = max(low, bend_low), min(high, bend_high)
    return max(min(low, middle_rpm), 0.0), max(high, middle_rpm)


def slope_at(law: FittedLaw, percent: float) -> float:
    """Slope of the law at a position, rpm per percent.

    Valid: a known law; at a knee, the mean of both sides.
    """
    half = 0.25
    low, high = percent - half, percent + half
    if law.curve is not None:
        low, high = max(low, law.span_percent[0]), min(high, law.span_percent[1])
    return (head_speed_rpm(law, high) - head_speed_rpm(law, low)) / (high - low)


def percent_for(law: FittedLaw, rpm: float, low_percent: float, high_percent: float) -> float | None:
    """Position within the given ones at which the law asks for a head speed, percent; None when it never does.

    Valid: a law that does not fall. On a flat, the position where the flat begins, seen from the slope.
    """
    low, high = low_percent, high_percent
    if not head_speed_rpm(law, low) <= rpm <= head_speed_rpm(law, high):
        return None
    if law.line is not None and law.flat is None:
        return min(max(law.line.percent(rpm), low), high)
    flat_floor = law.kind is Kind.FLOOR
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        asked = head_speed_rpm(law, middle)
        if asked < rpm or (flat_floor and asked == rpm):
            low = middle
        else:
            high = middle
    return high


def reach_rpm(law: FittedLaw, lowest_percent: float) -> Interval | None:
    """Lowest and highest head speed that the law can ask for, rpm, from a position up to full channel.

    Valid: a piecewise law is known between its readings only.
    """
    if not law.known:
        return None
    low, high = reach_percent(law, lowest_percent)
    return head_speed_rpm(law, low), head_speed_rpm(law, high)


def reach_percent(law: FittedLaw, lowest_percent: float) -> Interval:
    """Positions over which the law is held to be known, percent."""
    if law.curve is not None:
        return law.span_percent
    return lowest_percent, TOP_PERCENT


def knots(law: FittedLaw, lowest_percent: float) -> tuple[tuple[float, float], ...]:
    """Points along the law, enough to draw it: percent, rpm."""
    if not law.known:
        return ()
    low, high = reach_percent(law, lowest_percent)
    if law.curve is not None:
        places = np.unique(np.concatenate([np.linspace(low, high, 41), law.points.percent]))
    elif law.line is not None and law.flat is not None:
        places = np.unique(np.clip([low, law.line.percent(law.flat.level_rpm), high], low, high))
    else:
        places = np.unique([low, high])
    return tuple((float(at), head_speed_rpm(law, float(at))) for at in places)


def _clamp(law: FittedLaw, rpm: float, flat_rpm: float) -> float:
    """Hold a head speed under the ceiling or above the floor."""
    return min(rpm, flat_rpm) if law.kind is Kind.CEILING else max(rpm, flat_rpm)


def _band(line: Line, percent: float, factor: float, bow_rpm: float = 0.0) -> Interval:
    """90 % interval of a line at a position, rpm; `bow_rpm` is the standard error of a bow."""
    middle, half = line.rpm(percent), factor * math.hypot(line.deviation_rpm(percent), bow_rpm)
    return middle - half, middle + half
