"""The reading that would tell most: where to read next, and why."""

import math
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from steadyhead.channel.fitted_law import FittedLaw, head_speed_interval_rpm, head_speed_rpm, percent_for, reach_percent
from steadyhead.channel.line_fit import Line, Points, Series, affine
from steadyhead.channel.pulse import landed_percent
from steadyhead.channel.reading_doubt import READING_DOUBT, Z90
from steadyhead.channel.setting import ChannelSetting

CANDIDATE_STEP_PERCENT = 1.0
NEARLY_AS_GOOD = 0.98
"""Of candidates within this share of the best, the slowest head speed is asked for: the kinder test."""
FIRST_STEP_PERCENT = 20.0
"""How far from a single reading the second one is asked for where no flight mode says where. Common practice."""
HALF_CHANNEL_PERCENT = 50.0


class NextReading(NamedTuple):
    """Channel position to read next, percent, and why there; None where no position can be asked for."""

    percent: float | None
    because: str


def next_reading(law: FittedLaw, setting: ChannelSetting) -> NextReading:
    """Return the channel position whose head speed would tell most.

    no reading: a flight mode's value of today · one: the farthest one that is needed · a line that nothing tested:
    where a bow of the law would show most · a line that was tested: a flight mode outside what was read, else where the
    greatest doubt over the flight modes shrinks most · piecewise: the middle of the widest gap round a flight mode
    Valid: only positions between the start threshold and full channel that stay under the head maker's limit.
    Source: sequential design, D- and G-optimality (Atkinson, Donev and Tobias 2007, from memory).
    """
    targets = target_percents(law, setting)
    if law.points.positions < 2:
        return _first_readings(law.points, targets, setting)
    candidates = _candidates(law, setting, targets)
    if candidates.size == 0:
        return NextReading(None, "no position left to read under the head-speed limit")
    if law.line is None or law.flat is not None:
        return _widest_gap(law, targets, candidates, setting)
    if not law.tested:
        return _test_of_the_line(law, candidates, setting)
    beyond = _beyond_what_was_read(law, targets, setting)
    if beyond is not None:
        return beyond
    return _least_doubt(law, targets, candidates, setting)


def target_percents(law: FittedLaw, setting: ChannelSetting) -> tuple[float, ...]:
    """Positions that the flight modes need: by the law where it reaches, else today's value."""
    found = []
    for mode in setting.modes:
        percent = None
        if law.known:
            low, high = reach_percent(law, setting.lowest_running_percent)
            percent = percent_for(law, mode.head_speed_rpm, low, high)
        percent = mode.today_percent if percent is None else percent
        if percent is not None:
            found.append(percent)
    return tuple(found)


def _first_readings(points: Points, targets: tuple[float, ...], setting: ChannelSetting) -> NextReading:
    """Ask for the first or the second reading."""
    lowest = setting.lowest_running_percent
    if points.percent.size == 0:
        percent = min(targets, default=max(HALF_CHANNEL_PERCENT, lowest))
        return NextReading(
            landed_percent(setting.pulse, percent),
            "nothing is read yet: begin with the slowest position needed",
        )
    here = float(points.percent[0])
    away = [percent for percent in targets if abs(percent - here) > 1.0]
    below = here - FIRST_STEP_PERCENT
    percent = max(away, key=lambda at: abs(at - here)) if away else (below if below > lowest else here)
    if percent == here:
        percent = min(here + FIRST_STEP_PERCENT, 100.0)
    return NextReading(
        landed_percent(setting.pulse, percent),
        f"one position ({here:g} %) cannot tell a proportional law from one with an offset: a second, far away, can",
    )


def _candidates(law: FittedLaw, setting: ChannelSetting, targets: tuple[float, ...]) -> Series:
    """Positions that may be asked for: over what is read and needed, running, and not too fast."""
    low = max(min((law.span_percent[0], *targets)), setting.lowest_running_percent)
    high = min(max((law.span_percent[1], *targets)), 100.0)
    places = np.arange(math.ceil(low), math.floor(high) + 0.5, CANDIDATE_STEP_PERCENT)
    return _under_the_limit(law, setting, np.array([landed_percent(setting.pulse, float(at)) for at in places]))


def _under_the_limit(law: FittedLaw, setting: ChannelSetting, landed: Series) -> Series:
    """Keep the positions that stay under the head maker's limit, with the doubt of the law, or were read under it."""
    if setting.head_speed_max_rpm is None or landed.size == 0:
        return landed
    fastest = np.array([head_speed_interval_rpm(law, float(at))[1] for at in landed])
    within = law.points.percent[law.points.rpm <= setting.head_speed_max_rpm]
    read_safely = float(within.max()) if within.size else -math.inf
    return landed[(fastest <= setting.head_speed_max_rpm) | (landed <= read_safely)]


def _test_of_the_line(law: FittedLaw, candidates: Series, setting: ChannelSetting) -> NextReading:
    """Ask where a law with a bow would leave the line by most, in standard errors of that comparison.

    power = |(x - x1)(x - x2)| / sqrt(s^2 + variance of the line at x), x1 and x2 the outer positions read
    """
    first, last = law.span_percent
    line = law.line or affine(law.points)
    bow = np.abs((candidates - first) * (candidates - last))
    doubt = np.hypot(_reading_deviation(law, candidates), _line_deviation(line, candidates))
    percent = _best(bow / doubt, candidates)
    return NextReading(
        percent,
        f"two positions fix a line and nothing tests it: at {percent:.4g} % a law that bends would show most",
    )


def _beyond_what_was_read(law: FittedLaw, targets: tuple[float, ...], setting: ChannelSetting) -> NextReading | None:
    """Ask at the flight mode that lies farthest outside the readings: there the law is only drawn on, not tested."""
    first, last = law.span_percent
    landed = np.array([landed_percent(setting.pulse, at) for at in targets])
    runs = (landed >= setting.lowest_running_percent) & (landed <= 100.0)
    outside = _under_the_limit(law, setting, landed[runs & ((landed < first) | (landed > last))])
    if outside.size == 0:
        return None
    percent = float(outside[np.argmax(np.maximum(first - outside, outside - last))])
    return NextReading(
        percent, f"a flight mode needs {percent:.4g} %, outside what was read ({first:.4g} to {last:.4g} %)"
    )


def _least_doubt(
    law: FittedLaw, targets: tuple[float, ...], candidates: Series, setting: ChannelSetting
) -> NextReading:
    """Ask where one more reading shrinks the greatest doubt over the flight modes most."""
    aims = np.array(targets or law.span_percent)
    worst = np.array([_worst_after(law.points, float(at), aims, law) for at in candidates])
    percent = _best(1.0 / worst, candidates)
    line = law.rival or law.line or affine(law.points)
    now = law.factor * float(_line_deviation(line, aims).max())
    then = law.factor * float(worst[np.argmin(np.abs(candidates - percent))])
    return NextReading(
        percent,
        f"a reading at {percent:.4g} % takes the greatest doubt over the flight modes "
        f"from ±{now:.3g} to ±{then:.3g} rpm",
    )


def _widest_gap(law: FittedLaw, targets: tuple[float, ...], candidates: Series, setting: ChannelSetting) -> NextReading:
    """Ask for the middle of the two readings round a flight mode between which the head speed is least known."""
    places = np.unique(law.points.percent)
    gaps = list(pairwise(places))
    needed = [gap for gap in gaps if any(gap[0] < at < gap[1] for at in targets)] or gaps
    low, high = max(needed, key=lambda gap: _doubt_between_rpm(law, float(gap[0]), float(gap[1])))
    middle = 0.5 * (low + high)
    percent = float(candidates[np.argmin(np.abs(candidates - middle))])
    return NextReading(
        percent,
        f"between {low:g} and {high:g} % the head speed is known least: a reading at {percent:.4g} % halves that gap",
    )


def _doubt_between_rpm(law: FittedLaw, low_percent: float, high_percent: float) -> float:
    """Width of the interval in the middle of a gap, rpm."""
    low_rpm, high_rpm = head_speed_interval_rpm(law, 0.5 * (low_percent + high_percent))
    return high_rpm - low_rpm


def _worst_after(points: Points, percent: float, aims: Series, law: FittedLaw) -> float:
    """Greatest standard error over the aims once one more reading is taken, rpm."""
    more = Points(
        np.append(points.percent, percent),
        np.append(points.rpm, head_speed_rpm(law, percent)),
        np.append(points.deviation_rpm, _reading_deviation(law, np.array([percent]))),
        points.stated,
    )
    return float(_line_deviation(affine(more), aims).max())


def _reading_deviation(law: FittedLaw, percent: Series) -> Series:
    """Standard deviation expected of a reading at each position, rpm: as good as those there are."""
    if law.points.stated:
        return np.full(percent.shape, float(np.median(law.points.deviation_rpm)))
    return np.array([max(READING_DOUBT * head_speed_rpm(law, float(at)), 1.0) / Z90 for at in percent])


def _line_deviation(line: Line, percent: Series) -> Series:
    """Standard error of a line at each position, rpm."""
    return np.sqrt(line.level_variance + line.slope_variance * (percent - line.centre_percent) ** 2)


def _best(worth: Series, candidates: Series) -> float:
    """Return the slowest candidate that is nearly as good as the best."""
    return float(candidates[np.flatnonzero(worth >= NEARLY_AS_GOOD * worth.max())[0]])
