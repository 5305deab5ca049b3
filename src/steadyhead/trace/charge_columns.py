"""Charge used, from a column that counts it up, counts it down, or says what is left."""

import numpy as np

from steadyhead.trace.headings import Heading
from steadyhead.trace.impossible import level_of
from steadyhead.trace.offered import Converted
from steadyhead.trace.quick_look import sample_of
from steadyhead.trace.trace import Series

_AMPERE_HOURS_BELOW = 30.0
"""No pack of these machines gives so little in mAh, and none so much in Ah; common practice, no source."""
_FALLS_SHARE = 0.9
"""A count that falls by this share of all it moves counts down; own choice."""
_OFFSET_MAH = 5.0


def charge_used(meaning: str, name: str, values: Series, heading: Heading) -> Converted | None:
    """Return the charge used since the first row, mAh; None for a column that stands still: no count.

    Shapes: values (n,)
    """
    warnings: tuple[str, ...] = ()
    if heading.unit is None and 0.0 < level_of(np.abs(values)) < _AMPERE_HOURS_BELOW:
        values, warnings = values * 1000.0, (f"{name}: no unit, taken as Ah",)
    some = sample_of(values)
    if some.size < 2 or float(np.ptp(some)) == 0.0:
        return None if some.size else Converted("charge_used_mah", values)
    start = float(values[int(np.isfinite(values).argmax())])
    falls = _share_of_falls(some)
    if meaning == "charge_left_mah":
        if falls <= 1.0 - _FALLS_SHARE:
            return None
        counted = f"{name}: charge left, counted down from the first"
        return Converted("charge_used_mah", start - values, (counted,), warnings)
    if falls >= _FALLS_SHARE:
        doubt = f"{name}: counts down from {start:g} mAh: turned round, so that the charge used grows"
        return Converted("charge_used_mah", start - values, (), (*warnings, doubt))
    offset = abs(start) > _OFFSET_MAH
    taken_off = (f"{name}: {start:g} mAh at the first row taken off",) if offset else ()
    used = values - start if offset else values
    return Converted("charge_used_mah", used, (f"{name}: charge used", *taken_off), warnings)


def _share_of_falls(some: Series) -> float:
    steps = np.diff(some)
    moved = float(np.abs(steps).sum())
    return float(-steps[steps < 0.0].sum()) / moved if moved else 0.0
