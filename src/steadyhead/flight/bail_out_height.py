"""Thousands of bail-outs at once, and what they say: the height that keeps a chance, rounded up."""

import math

import numpy as np
from numpy.typing import NDArray

from steadyhead.channel.run_logic import Place
from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out_case import Ready
from steadyhead.flight.bail_out_columns import TOLD
from steadyhead.flight.bail_out_device import flown_on_card, on_card
from steadyhead.flight.bail_out_flight import bail_outs
from steadyhead.flight.bail_out_result import HeightLost, Interval
from steadyhead.flight.batches import in_batches

NOBODY_LEVEL = math.inf
RPM = 30.0 / math.pi
TENTHS = 0.05
"""Each end of a 90 % interval."""

Floats = NDArray[np.float64]


def flown(own: Ready, cases: Floats) -> Floats:
    """Return what every case tells, flown on the machine's device; a few of them always on the processor.

    Shapes: cases (n, 33) as `bail_out_columns.CASE` -> (n, 19) as `bail_out_columns.TOLD`.
    """
    if on_card(own, cases.shape[0]):
        return flown_on_card(own, cases)
    told = np.empty((cases.shape[0], len(TOLD)))

    def part(here: slice) -> None:
        bail_outs(own.craft, own.map, own.setting, own.limits, cases[here], told[here])

    in_batches(cases.shape[0], part, threads=own.threads)
    return told


def heights(told: Floats) -> Floats:
    """Return the height that each flight lost, m; infinite where it never came level. Shapes: (n, 19) -> (n,)"""
    return np.where(told[:, columns.CODE] == columns.LEVEL_REACHED, told[:, columns.LOST], NOBODY_LEVEL)


def least_height(lost_m: Floats, chance: float) -> tuple[float | None, Interval | None]:
    """Return the height that a share of the flights keeps, m rounded up, and its own 90 % interval from the counting.

    The interval is that of the order statistics: k flights of n below the quantile are binomial.
    Shapes: lost_m (n,)
    Valid: n (1 - chance) of five or more, else the upper end is unknown.
    Source: distribution-free interval of a quantile; David and Nagaraja, Order Statistics, 2003 (from memory).
    """
    ordered, number = np.sort(lost_m), lost_m.size
    at = min(math.ceil(chance * number), number) - 1
    low, high = _counted(TENTHS, number, chance), _counted(1.0 - TENTHS, number, chance)
    low = max(low - 1, 0)
    value = rounded_up(ordered[at])
    if value is None or high >= number or not math.isfinite(ordered[high]):
        return value, None
    return value, (float(ordered[low]), float(ordered[high]))


def _counted(share: float, number: int, chance: float) -> int:
    """Return the quantile of a binomial count; scipy.stats has it, too, but takes seconds to load."""
    from scipy.special import bdtr

    return int(np.searchsorted(bdtr(np.arange(number + 1.0), number, chance), share))


def rounded_up(height_m: float) -> float | None:
    """Return a height as told: the next whole metre above, None where there is none."""
    return float(math.ceil(height_m)) if math.isfinite(height_m) else None


def height_lost(
    own: Ready, restart: str, base: Floats, cases: Floats, chance: float
) -> tuple[HeightLost, Floats, Floats]:
    """Return what one way of restarting takes, what the machine as described tells, and what all drawn ones tell.

    Shapes: base (33,), cases (n, 33) -> told (19,), (n, 19).
    """
    own_told = flown(own, base[None, :])[0]
    told = flown(own, cases)
    lost = heights(told)
    value, interval = least_height(lost, chance)
    level = own_told[columns.CODE] == columns.LEVEL_REACHED
    low, high = np.quantile(lost, [TENTHS, 1.0 - TENTHS], method="inverted_cdf")
    return (
        HeightLost(
            restart=restart,
            ramp_s=float(base[columns.SPOOL]),
            height_lost_m=float(own_told[columns.LOST]) if level else None,
            height_lost_m_interval=(float(low), float(high)) if math.isfinite(high) else None,
            least_height_m=value,
            least_height_m_interval=interval,
            chance=chance,
            level_after_s=float(own_told[columns.TIME]) if level else None,
            head_speed_low_rpm=float(own_told[columns.HEAD_LOW]) * RPM,
            drawn=int(cases.shape[0]),
            never_level=int(np.sum(~np.isfinite(lost))),
        ),
        own_told,
        told,
    )


def granted(own: Ready, cases: Floats) -> Floats:
    """Return the same cases with the autorotation position in the middle of the idle band, where the motor stays on.

    Shapes: cases (n, 33) or (33,) -> the same.
    """
    rules = own.setting.rules
    out = cases.copy()
    out[..., columns.FROM] = 0.5 * (rules.stop_percent + rules.start_percent)
    return out


def with_ramp(cases: Floats, ramp_s: float) -> Floats:
    """Return the same cases with another quick ramp. Shapes: cases (n, 33) or (33,) -> the same."""
    out = cases.copy()
    out[..., columns.SPOOL] = ramp_s
    return out


def place_of_autorotation(own: Ready) -> float | None:
    """Return the channel value of the autorotation position, percent."""
    return own.rig.logic.at(Place.AUTOROTATION)[0].percent
