"""Values that cannot be: outside any bound, or away and back faster than the thing measured can move."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.quick_look import Look, Looks, look_among, look_at, sample_of
from steadyhead.trace.trace import Series

Flags = NDArray[np.bool_]


class Bound(NamedTuple):
    """What a channel may read, and what no single fault-free sample may do.

    A leap of `jump_share` of the channel's own level, or of `jump` in its unit, in one row, and back within
    `back_within_s`, is a fault. A slow log allows larger leaps: `rate_per_s` of the level, at most `rate_most` of it.
    Common practice, no source: wide of anything a machine of class 400 to 800 does.
    """

    low: float
    high: float
    jump_share: float = 0.0
    jump: float = 0.0
    rate_per_s: float = 0.0
    rate_most: float = np.inf
    back_within_s: float = 0.35


BOUNDS: dict[str, Bound] = {
    "head_speed_rpm": Bound(-100.0, 6000.0, jump_share=0.06, rate_per_s=4.0, rate_most=0.5),
    "motor_side_speed_rpm": Bound(-100.0, 6000.0, jump_share=0.06, rate_per_s=4.0, rate_most=0.5),
    "throttle_percent": Bound(-60.0, 160.0),
    "duty": Bound(-0.1, 1.2),
    "pack_voltage_v": Bound(-0.5, 120.0, jump_share=0.35),
    "lowest_cell_v": Bound(-0.05, 6.0, jump_share=0.35),
    "pack_current_a": Bound(-300.0, 1000.0),
    "charge_used_mah": Bound(-1e4, 1e5, jump=60.0, back_within_s=2.5),
    "controller_temperature_c": Bound(-60.0, 400.0, jump=25.0, back_within_s=2.5),
    "pack_temperature_c": Bound(-60.0, 300.0, jump=25.0, back_within_s=2.5),
    "motor_temperature_c": Bound(-60.0, 500.0, jump=25.0, back_within_s=2.5),
    "height_m": Bound(-1000.0, 10000.0, jump=15.0),
    "climb_speed_m_s": Bound(-150.0, 150.0),
    "collective_deg": Bound(-40.0, 40.0),
    "collective_percent": Bound(-160.0, 160.0),
    "link_percent": Bound(-10.0, 110.0),
    "air_temperature_c": Bound(-60.0, 80.0),
    "air_pressure_hpa": Bound(300.0, 1100.0),
}
_SLOW_SHARE = 0.06
"""A speed below this share of the level is too slow to tell a doubled reading of it; own choice."""
_DEAD_SHARE = 0.4
"""A pack that reads less than this share of its usual voltage while the log is written is a sensor fault."""
OCTAVE_SHARE = 0.05
OCTAVE_S = 0.5
"""Pulses counted wrong by two, over a step of a slow log with rows lost; common practice, no source."""
BEYOND_SHARE, BEYOND_PER_S = 1.25, 1.6
"""So far above its level no motor drives a head, and the air and its own drag move it by fewer levels a second; own
choice."""
MOST_PASSES = 3
"""One fault within another is seen once that is out of the way."""
_LONG_DROP_S = 5.0
_SOONEST_BACK_S = 1.0
"""No motor is cut and called back sooner; own choice."""
_DUTY_LEADS_ROWS = 5
_USUAL_ROWS = 20_000
_MOTOR_GONE_S = 4.5
"""A motor that had stopped would take longer to come back to speed; own choice."""
_DRAWN_SHARE, _BEFORE_ROWS = 0.3, 10
"""A motor that draws this share of what it drew in the rows before still turns; own choice."""
_GONE_SHARE, _RUNS_SHARE, _GONE_S = 0.02, 0.15, 0.5


def impossible(
    name: str, values: Series, time_s: Series, duty: Series | None, current: Series | None = None, looks: Looks = ()
) -> Flags | None:
    """Return which samples of a channel cannot be; None when a quick look finds nothing to look for.

    `looks` are series that were looked at before. A motor speed that falls to zero and comes back while duty and
    `current` go on was lost by its sensor.

    Shapes: values (n,), time_s (n,), duty (n,) or None, current (n,) or None -> (n,)
    Valid: any sample rate; a fall of speed that the duty explains is left alone.
    """
    bound = BOUNDS[name]
    leaps_matter = bool(bound.jump or bound.jump_share)
    look = look_among(looks, values)
    if values.size > 1 and (look is None or (leaps_matter and not np.isfinite(look.fall))):
        look = look_at(values, steps_too=leaps_matter)
    in_bounds = look is not None and bound.low <= look.low and look.high <= bound.high
    if look is not None and in_bounds and _is_calm(name, values, bound, look):
        return None
    if name == "pack_current_a" and in_bounds:
        return _current_gone(values, time_s, duty)
    with np.errstate(invalid="ignore"):
        flags: Flags = np.asarray(np.isinf(values) | (values < bound.low) | (values > bound.high))
    if name == "pack_current_a":
        return flags | _current_gone(np.where(flags, np.nan, values), time_s, duty)
    if not leaps_matter:
        return flags
    for _ in range(MOST_PASSES):
        if not _flag_leaps(name, values, time_s, duty, flags):
            break
    if name == "motor_side_speed_rpm" and duty is not None and current is not None:
        flags |= _motor_gone(np.where(flags, np.nan, values), time_s, duty, current)
    return flags


def _motor_gone(values: Series, time_s: Series, duty: Series, current: Series) -> Flags:
    """Flag a motor speed that is gone for up to four seconds while duty and current go on as before."""
    flags = np.zeros(values.size, np.bool_)
    level = level_of(values)
    runs = values > _RUNS_SHARE * level
    gone = np.nan_to_num(values, nan=np.inf) <= _GONE_SHARE * level
    edges = np.flatnonzero(np.diff(np.concatenate(([0], gone.view(np.int8), [0]))))
    for first, stop in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        before = first - 1
        if before < 0 or stop >= values.size or not (runs[before] and runs[stop]):
            continue
        if time_s[stop] - time_s[before] > _MOTOR_GONE_S or values[stop] < 0.5 * values[before]:
            continue
        duty_held = np.fmin.reduce(duty[first:stop]) > 0.5 * duty[before] > 0.0
        drawn, drawn_before = _middle(current[first:stop]), _middle(current[max(0, first - _BEFORE_ROWS) : first])
        if duty_held and drawn > _DRAWN_SHARE * drawn_before > 0.0:
            flags[first:stop] = True
    return flags


def _middle(values: Series) -> float:
    there = values[np.isfinite(values)]
    return float(np.median(there)) if there.size else 0.0


def _flag_leaps(name: str, values: Series, time_s: Series, duty: Series | None, flags: Flags) -> bool:
    """Flag what leaps away and back among the samples that are not flagged; return whether there was any."""
    good = np.flatnonzero(~flags & np.isfinite(values))
    if good.size < 5:
        return False
    there, when, bound = values[good], time_s[good], BOUNDS[name]
    level = level_of(there)
    if name in ("pack_voltage_v", "lowest_cell_v"):
        level = float(np.median(sample_of(there)))
        flags[good[there < _DEAD_SHARE * level]] = True
    leaps = np.flatnonzero(np.abs(np.diff(there)) > _least_leap(bound, there, when, level))
    if level <= 0.0 or not leaps.size or leaps.size > max(1000, 0.05 * good.size):
        return False
    found = False
    for first, last in _excursions(there, when, leaps, bound, level, head=name == "head_speed_rpm"):
        if not _explained(there, good, first, last, duty):
            flags[good[first : last + 1]] = found = True
    return found


def _least_leap(bound: Bound, values: Series, when: Series, level: float) -> Series | float:
    """Return, for each step, the leap that needs an explanation; a doubled reading of a slow rotor is one, too."""
    if not bound.jump_share:
        return bound.jump
    least = np.full(when.size - 1, bound.jump_share * level)
    if bound.rate_per_s:
        slow = values[:-1] > _SLOW_SHARE * level
        doubled = np.where(slow & (np.diff(values) > 0), np.maximum(0.75 * values[:-1], _SLOW_SHARE * level), np.inf)
        least = np.minimum(least, doubled)
        rate = np.minimum(bound.rate_per_s * np.diff(when), bound.rate_most) * level
        beyond = np.maximum(values[1:], values[:-1]) > BEYOND_SHARE * level
        rate = np.where(beyond, np.minimum(rate, BEYOND_PER_S * np.diff(when) * level), rate)
        least = np.where(_octave(values, when), least, np.maximum(least, rate))
    return least


def _octave(values: Series, when: Series) -> Flags:
    """Whether each step doubles or halves the speed within OCTAVE_S, as a sensor does that counts wrongly.

    Shapes: values (n,), when (n,) -> (n - 1,)
    """
    low, high = np.minimum(values[:-1], values[1:]), np.maximum(values[:-1], values[1:])
    return np.asarray(
        (low > 0.0) & (np.abs(high - 2.0 * low) <= 2.0 * OCTAVE_SHARE * low) & (np.diff(when) <= OCTAVE_S)
    )


def _is_calm(name: str, values: Series, bound: Bound, look: Look) -> bool:
    """Whether no step of the series is a leap, nor any voltage dead."""
    if name == "pack_current_a":
        return look.low > _GONE_SHARE * level_of(values)
    if not (bound.jump or bound.jump_share):
        return True
    least_leap = bound.jump_share * level_of(values) if bound.jump_share else bound.jump
    if bound.rate_per_s:
        least_leap = min(least_leap, _SLOW_SHARE * level_of(values))
    if name in ("pack_voltage_v", "lowest_cell_v"):
        usual = float(np.median(sample_of(values)))
        least_leap = bound.jump_share * usual
        if look.low < _DEAD_SHARE * usual:
            return False
    return max(look.rise, -look.fall) <= least_leap


def level_of(values: Series) -> float:
    """Return the level a channel reaches, blind to a few wild samples: the 99th percentile of its middle of three."""
    some = sample_of(values)
    if some.size >= 3:
        one, two, three = some[:-2], some[1:-1], some[2:]
        some = np.maximum(np.minimum(one, two), np.minimum(np.maximum(one, two), three))
    return float(np.quantile(some, 0.99)) if some.size else 0.0


def _current_gone(values: Series, time_s: Series, duty: Series | None) -> Flags:
    """Flag a current gone for three rows at most while the duty goes on: the reading was lost, not the current."""
    flags = np.zeros(values.size, bool)
    if duty is None:
        return flags
    level = level_of(values)
    gone = values <= _GONE_SHARE * level
    for first in np.flatnonzero(gone[1:] & (values[:-1] > _RUNS_SHARE * level)) + 1:
        last = first
        while last + 1 < values.size and last < first + 2 and gone[last + 1]:
            last += 1
        if last + 1 >= values.size or time_s[last + 1] - time_s[first - 1] > _GONE_S:
            continue
        back = values[last + 1] > 0.5 * values[first - 1]
        if back and np.min(duty[first : last + 2]) > 0.8 * duty[first - 1] > 0.0:
            flags[first : last + 1] = True
    return flags


def _excursions(
    values: Series, when: Series, leaps: NDArray[np.int64], bound: Bound, level: float, *, head: bool
) -> list[tuple[int, int]]:
    """Return first and last sample of each excursion, told by its leap away or, over a hole there, by its leap back."""
    forth = _away_and_back(values, when, leaps, bound, level, head=head)
    last = values.size - 1
    back = _away_and_back(values[::-1], -when[::-1], last - 1 - leaps[::-1], bound, level, head=head)
    seen = set(forth)
    return forth + [span for a, b in back if (span := (last - b, last - a)) not in seen]


def _away_and_back(
    values: Series, when: Series, leaps: NDArray[np.int64], bound: Bound, level: float, *, head: bool
) -> list[tuple[int, int]]:
    """Pair each leap away with the leap back, when that follows soon and lands near where it began.

    A doubled or halved speed may come back over a hole, where the step is no leap, and may last; a speed far beyond its
    level, too, but that does not last.
    """
    out: list[tuple[int, int]] = []
    after = 0
    usual_s = float(np.median(np.diff(when[:_USUAL_ROWS])))
    for nth, at in enumerate(leaps.tolist()):
        if at < after:
            continue
        from_rpm, to_rpm = float(values[at]), float(values[at + 1])
        away = abs(to_rpm - from_rpm)
        step_s = float(when[at + 1] - when[at])
        soon_s = bound.back_within_s + 2.0 * max(step_s, usual_s)
        low, high = min(from_rpm, to_rpm), max(from_rpm, to_rpm)
        octave = low > 0.0 and abs(high / low - 2.0) <= 2.0 * OCTAVE_SHARE and step_s <= OCTAVE_S
        if octave or (bound.rate_per_s and to_rpm > BEYOND_SHARE * level):
            # A motor that is cut may halve its speed between two slow rows, and be called back.
            lasts_s = max(soon_s, _SOONEST_BACK_S) if to_rpm < from_rpm and not head else _LONG_DROP_S
            stop = int(when.searchsorted(when[at] + (lasts_s if octave else soon_s), side="right"))
            near = np.abs(values[at + 1 : stop] - from_rpm) < 0.5 * away
            back = at + int(near.argmax()) if near.any() else None
        else:
            dropped = head and abs(to_rpm) < 0.05 * abs(from_rpm)
            longest_s = _LONG_DROP_S if dropped else soon_s
            back = _leap_back(values, when, at, leaps[nth + 1 : nth + 9].tolist(), longest_s)
        if back is not None:
            out.append((at + 1, back))
            after = back + 1
    return out


def _leap_back(values: Series, when: Series, at: int, later: list[int], longest_s: float) -> int | None:
    """Return the later leap that lands near where the one at `at` began; None when none does soon enough."""
    away = abs(float(values[at + 1] - values[at]))
    for back in later:
        if when[back + 1] - when[at] > longest_s:
            return None
        returned = abs(float(values[back + 1] - values[at])) < 0.5 * away
        if returned and np.all(np.abs(values[at + 1 : back + 1] - values[at]) > 0.3 * away):
            return back
    return None


def _explained(values: Series, good: NDArray[np.int64], first: int, last: int, duty: Series | None) -> bool:
    """Whether the motor was off just then, so that the fall may be real."""
    if duty is None or values[first] > values[first - 1]:
        return False
    start = int(good[first])
    before = duty[max(0, start - _DUTY_LEADS_ROWS) : start]
    during = duty[max(0, start - 1) : good[last] + 1]
    if not np.isfinite(during).any() or not np.isfinite(before).any():
        return False
    return bool(np.nanmin(during) < 0.5 * np.nanmax(before))
