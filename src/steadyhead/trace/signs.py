"""A discharge that is logged as a negative current is turned round, or left out: no pack gives minus twenty amperes."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from steadyhead.trace.impossible import level_of
from steadyhead.trace.quick_look import even_rows, sample_of
from steadyhead.trace.rivals import Found
from steadyhead.trace.trace import SAID, Series

_NEGATIVE_TIMES = 3.0
"""A current whose negative part outweighs the rest so many times runs the other way; own choice."""
_RUNS_FROM_A = 2.0
"""Less is the zero of a sensor, not a flight; own choice."""
_LOAD_SHARE, _IDLE_SHARE = 0.3, 0.05
_FEWEST_ROWS = 5
_LEAST_SAG_SHARE = 0.002
"""Packs sag by a hundredth or more in flight; a tenth of that is no sag: own choice."""


def discharge_forward(found: Mapping[str, Found]) -> tuple[Found | None, str]:
    """Return the pack current with discharge positive, and what to say; None for a current whose sense nobody can tell.

    Valid: a pack's voltage sags under load, its charge used grows, the duty is higher under load.
    """
    current = found["pack_current_a"]
    values = current.values
    some = sample_of(values)
    pushed, drawn = float(np.maximum(some, 0.0).sum()), float(-np.minimum(some, 0.0).sum())
    if drawn <= _NEGATIVE_TIMES * pushed or level_of(-some) < _RUNS_FROM_A or current.confidence == SAID:
        return current, ""
    load = 0.0 - values
    if _is_discharge(load, found):
        said = f"{current.heading}: negative while the pack gives current: turned round, discharge counts positive"
        return replace(current, values=load, doubtful=True), said
    return None, (
        f"{current.heading}: left out, it is negative most of the time and nothing in the log says that this is "
        "discharge"
    )


def _is_discharge(load: Series, found: Mapping[str, Found]) -> bool:
    """Whether other channels say that the pack gives current where `load` is high."""
    if "pack_voltage_v" in found:
        rise = _rise_beside_charge(found["pack_voltage_v"].values, load)
        if rise is not None:
            return rise < 0.0
    if "charge_used_mah" in found:
        used = found["charge_used_mah"].values[np.isfinite(found["charge_used_mah"].values)]
        if used.size > 1 and used[-1] != used[0]:
            return bool(used[-1] > used[0])
    if "duty" in found:
        rise = _rise_under_load(found["duty"].values, load)
        return rise is not None and rise > 0.0
    return False


def _rise_beside_charge(volts: Series, load: Series) -> float | None:
    """Return by what share of itself a voltage is higher under load, what the pack lost meanwhile taken out.

    None where the log does not show it.
    Equation: u = a + b i + c q, q the sum of i: least squares; the share is b times the level of i over a.
    Shapes: volts (n,), load (n,)
    """
    taken = np.cumsum(np.nan_to_num(load))
    rows = even_rows(load.size)
    there = np.isfinite(volts[rows]) & np.isfinite(load[rows])
    level, most = level_of(load), float(np.abs(taken).max(initial=0.0))
    if int(there.sum()) < _FEWEST_ROWS or level <= 0.0 or most <= 0.0:
        return None
    terms = np.column_stack([np.ones(int(there.sum())), load[rows][there] / level, taken[rows][there] / most])
    full, rise, _ = np.linalg.lstsq(terms, volts[rows][there], rcond=None)[0]
    share = float(rise / full) if full > 0.0 else 0.0
    return share if abs(share) >= _LEAST_SAG_SHARE else None


def _rise_under_load(values: Series, load: Series) -> float | None:
    """Return by how much a channel is higher under load than idle; None where one of the two is not there."""
    level = level_of(load)
    loaded = values[np.isfinite(values) & (load > _LOAD_SHARE * level)]
    idle = values[np.isfinite(values) & (load < _IDLE_SHARE * level)]
    if min(loaded.size, idle.size) < _FEWEST_ROWS:
        return None
    return float(np.median(loaded) - np.median(idle))
