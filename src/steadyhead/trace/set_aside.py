"""Takes out of a log what was never measured: impossible values, rows that only repeat, frozen sensors."""

from collections.abc import Mapping

import numpy as np

from steadyhead.trace.frozen import frozen, held_rows, stills_of
from steadyhead.trace.impossible import impossible
from steadyhead.trace.mapping import option_for
from steadyhead.trace.quick_look import Looks
from steadyhead.trace.side_by_side import side_by_side
from steadyhead.trace.trace import CHANNELS, Series

_MOST_IMPOSSIBLE = 0.5
"""Share of values that cannot be, beyond which the others are no measurement of the channel either; own choice."""


def set_aside(values: dict[str, Series], time_s: Series, named: Mapping[str, str], looks: Looks = ()) -> list[str]:
    """Make what was never measured missing, in place, and return a warning for each count; `named` are the headings.

    A channel most of whose values cannot be is taken out of `values`: it is another quantity, or in another unit.

    `looks` are series that were looked at before.

    Shapes: each channel (n,), time_s (n,).
    """
    warnings, names = [], list(values)
    duty, current = values.get("duty"), values.get("pack_current_a")
    wrong = side_by_side(lambda name: impossible(name, values[name], time_s, duty, current, looks), names, time_s.size)
    for name, flags in zip(names, wrong, strict=True):
        series = values[name]
        count = 0 if flags is None else int(flags.sum())
        if flags is None or not count:
            continue
        there = int(np.count_nonzero(~np.isnan(series)))
        if count > _MOST_IMPOSSIBLE * there:
            del values[name]
            said = f"{named[name]}: left out, {count} of its {there} values cannot be {CHANNELS[name]}"
            warnings.append(f'{said}; if it is in another unit: --column "{option_for(named[name], name, "UNIT")}"')
            continue
        values[name] = np.where(flags, np.nan, series)
        warnings.append(f"{count} impossible values in {named[name]}")
    names = list(values)
    stills = stills_of(values, time_s.size)
    held = held_rows(values, time_s, stills)
    if held is not None:
        for name in set(values) - {"throttle_percent"}:  # the switch stands still most of the time: its word is taken
            values[name] = np.where(held, np.nan, values[name])
        warnings.append(f"{int(held.sum())} rows repeat the one before in every channel: nothing was measured")
    stuck = side_by_side(lambda name: frozen(name, values, time_s, stills), names, time_s.size)
    for name, flags in zip(names, stuck, strict=True):
        if flags is None:
            continue
        values[name] = np.where(flags, np.nan, values[name])
        warnings.append(f"{int(flags.sum())} values in {named[name]} stand still while the rest moves: a frozen sensor")
    return warnings
