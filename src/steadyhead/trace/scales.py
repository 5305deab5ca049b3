"""A factor that may be meant both ways, as in `A/10` or `V x 100`: the figures decide, or nobody does."""

from dataclasses import replace

import numpy as np

from steadyhead.trace.cell_columns import CELL_HIGH_V, CELL_LOW_V
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.impossible import level_of
from steadyhead.trace.meaning import Claim
from steadyhead.trace.quick_look import sample_of
from steadyhead.trace.trace import Series

_PACKS_V = (CELL_LOW_V, 60.0)
_PEAKS_A = (0.5, 400.0)
_CHARGES_MAH = (20.0, 30_000.0)
_COOLEST_C, _HOTTEST_C = (-40.0, 70.0), 250.0
_SHARES_PERCENT = (20.0, 110.0)
_ANGLES_DEG = (2.0, 40.0)
"""What such a machine reads in one flight: common practice, no source, made wide, so that only one factor is left."""
_KELVIN_ZERO_C = 273.15


def settled(claim: Claim, gearing: Gearing) -> Claim | None:
    """Return the claim with the one factor that fits what such a machine reads; None when both do, or none does."""
    unit = claim.heading.unit
    if unit is None or unit.other_factor is None or claim.by_person or claim.column.number is None:
        return claim
    fits = [factor for factor in (unit.factor, unit.other_factor) if _fits(claim, factor, gearing)]
    if len(fits) != 1:
        return None
    sure = replace(unit, factor=fits[0], other_factor=None)
    return replace(claim, heading=replace(claim.heading, unit=sure))


def _fits(claim: Claim, factor: float, gearing: Gearing) -> bool:
    values = sample_of(claim.column.number if claim.column.number is not None else np.empty(0)) * factor
    unit = claim.heading.unit
    if not values.size or unit is None:
        return False
    level = level_of(np.abs(values))
    if unit.dimension == "voltage":
        return _is_voltage(claim, level, gearing)
    if unit.dimension == "temperature":
        return _is_temperature(values - (_KELVIN_ZERO_C if unit.key in ("k", "kelvin") else 0.0))
    low, high = {
        "current": _PEAKS_A,
        "charge": _CHARGES_MAH,
        "share": _SHARES_PERCENT,
        "angle": _ANGLES_DEG,
    }.get(unit.dimension, (np.inf, -np.inf))
    return bool(low <= (float(np.ptp(values)) if unit.dimension == "charge" else level) <= high)


def _is_voltage(claim: Claim, level: float, gearing: Gearing) -> bool:
    if claim.meaning != "pack_voltage_v":
        return CELL_LOW_V <= level <= CELL_HIGH_V
    low, high = (CELL_LOW_V * gearing.cells, CELL_HIGH_V * gearing.cells) if gearing.cells else _PACKS_V
    return low <= level <= high


def _is_temperature(values: Series) -> bool:
    coolest = float(values.min())
    return _COOLEST_C[0] <= coolest <= _COOLEST_C[1] and float(values.max()) <= _HOTTEST_C
