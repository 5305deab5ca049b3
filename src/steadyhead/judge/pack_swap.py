"""Whether another pack was put in while nothing drives: a pack at rest rises slowly, and never falls."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from steadyhead.judge.pieces import median
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.trace.trace import Series, Trace

RELAXES_S, STEP_S, OTHER_SHARE = 1.0, 0.5, 0.03
"""A second after the load a resting pack recovers by less than 3 % in half a second; common practice, no source."""
PERHAPS_SHARE, PERHAPS_STEPS = 0.005, 1.5
"""Receiver, servos and drift of a sensor make less of the voltage at rest, its own steps no more than one and a half;
common practice, no source."""
LEVEL_S, FEWEST_ROWS, LAST_LEVELS, FEWEST_LEVELS = 1.0, 3, 2, 4
"""A level is the median of a second, and of three rows or more; the last two stand for the pack at the start."""
NO_PACK_SHARE = 0.5
"""Less than half of the voltage is no pack at all: a plug pulled, or a row lost; own choice."""
DRAWS_MORE_A = 2.0
"""So much more or less current is a load, and a voltage that falls or rises with it tells nothing; own choice."""
NOT_DRIVEN = ("coast", "stopped")
STARTS = ("soft_spool", "quick_spool")


@dataclass(frozen=True, kw_only=True)
class Swap:
    """When another pack was put in, s, before which start of the motor, and whether the voltage leaves no doubt."""

    at_s: float
    start_s: float
    sure: bool


def with_swaps(signals: Signals, stretches: Sequence[Stretch]) -> tuple[tuple[Stretch, ...], tuple[Swap, ...]]:
    """Return the stretches with what another pack changes in them, and when each was, or may have been, put in.

    A controller that was without power starts softly, whatever its ramp; nobody changes the pack of a head that
    turns, so that it stands from then on.
    """
    told: list[Stretch] = []
    swaps: list[Swap] = []
    since_s = signals.start_s
    for stretch in stretches:
        swap = None
        if stretch.kind in STARTS and told and told[-1].kind in NOT_DRIVEN:
            swap = swap_between(signals, since_s, stretch.start_s)
        if stretch.kind not in NOT_DRIVEN:
            since_s = stretch.end_s
        if swap is not None:
            swaps.append(swap)
        if swap is None or not swap.sure:
            is_told = stretch.kind_told and (swap is None or stretch.kind == "soft_spool")
            told.append(stretch if is_told == stretch.kind_told else replace(stretch, kind_told=is_told))
            continue
        if told[-1].kind == "coast" and told[-1].start_s < swap.at_s:
            stood = replace(told[-1], kind="stopped", start_s=swap.at_s, airborne=False)
            told[-1:] = [replace(told[-1], end_s=swap.at_s), stood]
        told.append(replace(stretch, kind="soft_spool", kind_told=True))
    return tuple(told), tuple(swaps)


def swap_between(signals: Signals, start_s: float, end_s: float) -> Swap | None:
    """Return when another pack was put in between two times in which nothing drives; None where nothing shows it.

    Valid: a pack that differs by 3 % of its voltage, one that is half a percent lower perhaps; one alike is not seen.
    """
    part = signals.within(start_s + RELAXES_S, end_s - STEP_S)
    if signals.voltage_v is None or part.stop - part.start < FEWEST_ROWS:
        return None
    higher_s = _stepped_up_s(signals, signals.voltage_v, part)
    if higher_s is not None:
        return Swap(at_s=higher_s, start_s=end_s, sure=True)
    fell = _fell(signals, signals.voltage_v, part)
    return None if fell is None else Swap(at_s=fell[0], start_s=end_s, sure=fell[1])


def has_fallen(before_v: float, now_v: float, step_v: float) -> bool | None:
    """Whether a voltage at rest lies below an earlier one, at rest or under load, as that of one pack never can.

    `step_v` is the step in which it was written. None where receiver, servos or a sensor would have to take unusually
    much.
    """
    if now_v < (1.0 - OTHER_SHARE) * before_v:
        return True
    return None if before_v - now_v > max(PERHAPS_SHARE * before_v, PERHAPS_STEPS * step_v) else False


def highest_at_rest_v(trace: Trace, driven_until_s: float) -> float | None:
    """Return the highest level of the pack voltage from a second after the motor last drove to the end, V.

    Where the log ends before, the last seconds of the load stand for it: no pack rests lower. None without any voltage.
    """
    volts = trace.channels.get("pack_voltage_v")
    if volts is None:
        return None
    known = np.isfinite(volts)
    stamps, volts = trace.time_s[known], volts[known]
    rests = stamps >= driven_until_s + RELAXES_S
    if int(rests.sum()) < FEWEST_ROWS:
        rests = stamps >= trace.time_s[-1] - LEVEL_S
    if int(rests.sum()) < FEWEST_ROWS:
        return None
    stamps, volts = stamps[rests], volts[rests]
    rows_a_second = (stamps.size - 1) / max(float(stamps[-1] - stamps[0]), 1e-9)
    return float(_levels(volts, max(FEWEST_ROWS, round(LEVEL_S * rows_a_second))).max())


def _levels(volts: Series, rows: int) -> Series:
    """Return the medians of so many neighbouring values, counted from the end.

    Shapes: volts (n,) -> (n // rows,), one at least.
    Valid: n of 1 or more.
    """
    count = max(1, volts.size // rows)
    return np.asarray(np.median(volts[-count * min(rows, volts.size) :].reshape(count, -1), axis=1))


def _stepped_up_s(signals: Signals, volts: Series, part: slice) -> float | None:
    stamps = signals.time_s
    later = np.minimum(stamps.searchsorted(stamps[part] + STEP_S), stamps.size - 1)
    rise = volts[later] / np.maximum(volts[part], 1e-3) - 1.0
    if signals.current_a is not None:
        rise = np.where(signals.current_a[part] > signals.current_a[later] + DRAWS_MORE_A, 0.0, rise)
    k = int(rise.argmax())
    stays = float(np.median(volts[later[k] : part.stop])) if later[k] < part.stop else float(volts[later[k]])
    before_v = float(np.median(volts[part][: k + 1]))
    steps = float(rise[k]) > OTHER_SHARE and stays > (1.0 + OTHER_SHARE) * before_v > 0.0
    return 0.5 * float(stamps[part.start + k] + stamps[later[k]]) if steps else None


def _fell(signals: Signals, volts: Series, part: slice) -> tuple[float, bool] | None:
    """Return when the voltage fell to stay, s, and whether by more than anything else makes of it."""
    size = max(FEWEST_ROWS, signals.samples(LEVEL_S))
    count = (part.stop - part.start) // size
    if count < FEWEST_LEVELS:
        return None
    first = part.stop - count * size
    levels = _levels(volts[part], size)
    levels = np.where(levels < NO_PACK_SHARE * float(levels.max()), 0.0, levels)
    high, last_v = int(levels.argmax()), median(levels[-LAST_LEVELS:])
    high_v = float(levels[high])
    fallen = has_fallen(high_v, last_v, signals.voltage_step_v)
    if high >= count - LAST_LEVELS or last_v <= 0.0 or fallen is False:
        return None
    if signals.current_a is not None:
        draws_a, drew_a = (
            median(signals.current_a[rows])
            for rows in (slice(part.stop - LAST_LEVELS * size, part.stop), _rows_of(first, size, high))
        )
        if draws_a > drew_a + DRAWS_MORE_A:
            return None
    last_high = int(np.flatnonzero(levels >= 0.5 * (high_v + last_v))[-1])
    begin = first + last_high * size
    near = volts[begin : min(begin + 2 * size, part.stop)]
    row = begin + int(np.flatnonzero(near >= 0.5 * (high_v + last_v))[-1])
    at_s = 0.5 * float(signals.time_s[row] + signals.time_s[min(row + 1, part.stop - 1)])
    return at_s, fallen is True


def _rows_of(first: int, size: int, level: int) -> slice:
    return slice(first + level * size, first + (level + 1) * size)
