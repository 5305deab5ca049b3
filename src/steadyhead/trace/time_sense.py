"""Whether time, current and charge of a log make sense together: a wrong unit of one of them shows here."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from steadyhead.trace.clock import TIME_UNITS, units_that_fit
from steadyhead.trace.headings import heading_of
from steadyhead.trace.mapping import option_for
from steadyhead.trace.pace import Pace, pace_of
from steadyhead.trace.quick_look import even_rows, sample_of
from steadyhead.trace.trace import SAID, ColumnRead, Trace
from steadyhead.trace.units import PARTS_OF_AN_AMPERE
from steadyhead.trace.unsure import UnsureColumns

_FAR_OFF = 5.0
"""Current times time over the charge that is counted: beyond this factor a unit is wrong, not a sensor; own choice."""
_FEWEST_MAH = 20.0
_LONGEST_RUN_S = 3.0 * 3600.0
"""No pack drives a rotor without a pause for longer; own choice, made wide."""
_RUNS_SHARE = 0.5
_MAH_PER_AS = 1.0 / 3.6
_AS_SHARE = 0.15
"""Current and charge that agree so well (a natural logarithm) in ampere-seconds are no chance; own choice."""
_ROWS = 40_000
"""Enough rows of a long log for a sum that is held against a factor of five; own choice."""
_SAME_UNIT = 0.3
"""Current and charge that agree so well (a natural logarithm) show a unit of time; own choice."""
_WRITTEN_IN = {**PARTS_OF_AN_AMPERE, "A": 1.0}
_PLAIN_STEP_S = 0.5
"""Rows that come no slower are believed to do so: then the current is doubted, not the time; own choice."""


def in_good_sense(source: str, trace: Trace, heading: str, *, sure: bool, unsaid_s: float | None = None) -> Trace:
    """Return the trace, less current and charge where they contradict each other by far.

    `heading` is that of the time; `sure` says that a person named its unit, or that it needs none. Rows that come twice
    a second or quicker are believed to do so, unless the rotor or the charge tell that the time is in another unit than
    `unsaid_s`, one count of it by its heading or its steps; None where a person said it, or where it needs no unit.

    Raises: UnsureColumns when the time can only be in another unit.
    """
    sure = sure or float(np.median(np.diff(sample_of(trace.time_s[:5000])))) <= _PLAIN_STEP_S
    if not sure and _longest_run_s(trace) > _LONGEST_RUN_S:
        raise _ask(source, heading, "by it the rotor runs for hours without a pause")
    if sure and unsaid_s is None and (odd := pace_of(trace)) in (Pace.TOO_QUICK, Pace.TOO_SLOW):
        said = f"by the time in {heading} the rotor starts or runs down {odd.value}: is it right?"
        trace = trace.noted(warnings=(said,))
    ratio = _current_over_charge(trace)
    if unsaid_s is not None:
        believe_or_ask(source, trace, heading, unsaid_s)
    if ratio is None or 1.0 / _FAR_OFF <= ratio <= _FAR_OFF:
        return trace if ratio is None else _without_ampere_seconds(trace, ratio)
    if not sure:
        raise _ask(source, heading, _of_charge(ratio))
    named = {column.channel: column for column in trace.columns}
    return _without_both(trace, ratio, named["pack_current_a"], named["charge_used_mah"].heading)


def believe_or_ask(source: str, trace: Trace, heading: str, count_s: float) -> None:
    """Ask for the unit of a time, written or guessed, where the rotor, or the charge, fits another unit only.

    `count_s` is one count of the time as it was read.

    Raises: UnsureColumns.
    """
    pace = pace_of(trace)
    if pace is Pace.FITS:
        return
    ratio = _current_over_charge(trace)
    step = float(np.median(np.diff(sample_of(trace.time_s[:5000])))) / count_s
    guessed = [unit for unit, factor in TIME_UNITS.items() if factor == count_s]
    others = {unit: TIME_UNITS[unit] / count_s for unit in units_that_fit(step)}
    if pace is not Pace.UNTOLD:
        fits = [unit for unit, scale in others.items() if pace_of(trace, scale) is Pace.FITS]
        if fits:
            raise _ask(source, heading, f"by it the rotor starts or runs down {pace.value}", fits + guessed)
    elif ratio is not None and not 1.0 / _FAR_OFF <= ratio <= _FAR_OFF:
        fits = [unit for unit, scale in others.items() if abs(np.log(ratio * scale)) < _SAME_UNIT]
        if fits:
            why = f"{_of_charge(ratio)}: the time, the current or the charge is in another unit"
            raise _ask(source, heading, why, fits + guessed)


def _without_ampere_seconds(trace: Trace, ratio: float) -> Trace:
    """Return the trace less a charge without a unit that the current says to be in ampere-seconds, not mAh."""
    column = next(column for column in trace.columns if column.channel == "charge_used_mah")
    bare = heading_of(column.heading).unit is None and column.confidence != SAID
    if not bare or abs(np.log(ratio / _MAH_PER_AS)) > _AS_SHARE:
        return trace
    option = option_for(column.heading, "charge_used_mah", "As")
    said = f"{column.heading}: left out, it has no unit, and by the current it counts ampere-seconds, not mAh"
    return _without(trace, ("charge_used_mah",), f'{said}: --column "{option}" or --column "{option[:-2]}mAh"')


def _without_both(trace: Trace, ratio: float, current: ColumnRead, charge: str) -> Trace:
    """Return the trace less both, whoever said what they are: what a person says may be a slip, too."""
    unit = heading_of(current.heading).unit
    now = unit.factor if unit is not None else 1.0
    fits = [unit for unit, factor in _WRITTEN_IN.items() if abs(np.log(ratio * factor / now)) < _SAME_UNIT]
    said_unit = unit.said if unit is not None else "1/10 A"
    better = fits[0] if fits and current.confidence != SAID else said_unit
    option = option_for(current.heading, "pack_current_a", better)
    odd = pace_of(trace)
    one = "one of them" if odd is Pace.FITS else "the current, the charge or the time"
    time = "" if odd is Pace.FITS else ", nor is it sure that the time is right"
    said = (
        f"{current.heading} makes {ratio:.2g} times the charge that {charge} counts: {one} is in another unit, "
        f'neither is used{time}; say the unit that is wrong, for example --column "{option}", or leave that '
        f'column out: --column "{option_for(charge, "ignore")}"'
    )
    return _without(trace, ("pack_current_a", "charge_used_mah"), said)


def _without(trace: Trace, gone: tuple[str, ...], said: str) -> Trace:
    return replace(
        trace,
        channels={name: values for name, values in trace.channels.items() if name not in gone},
        warnings=(*trace.warnings, said),
        columns=tuple(column for column in trace.columns if column.channel not in gone),
    )


def _current_over_charge(trace: Trace) -> float | None:
    """Return the integral of the current over the charge counted in the same time; None where too little flowed."""
    current, charge = trace.get("pack_current_a"), trace.get("charge_used_mah")
    if current is None or charge is None:
        return None
    rows = even_rows(trace.time_s.size, _ROWS)
    current, charge, stamps = current[rows], charge[rows], trace.time_s[rows]
    counted = np.flatnonzero(np.isfinite(charge))
    if not counted.size:
        return None
    first, last = int(counted[0]), int(counted[-1])
    there = np.flatnonzero(np.isfinite(current[first : last + 1])) + first
    if there.size < 2:
        return None
    amperes, time_s = current[there], stamps[there]
    made = float(np.sum(0.5 * (amperes[1:] + amperes[:-1]) * np.diff(time_s))) * _MAH_PER_AS
    if made <= 0.0:
        return None
    # A count may begin again with each flight, or be blank in most rows: of two sums the one that agrees better counts.
    sums = (float(np.maximum(np.diff(charge[counted]), 0.0).sum()), float(np.ptp(charge[counted])))
    ratios = [made / used for used in sums if used > 0.0 and max(made, used) > _FEWEST_MAH]
    return min(ratios, key=lambda ratio: abs(np.log(ratio)), default=None)


def _longest_run_s(trace: Trace) -> float:
    speed = next((s for n in ("head_speed_rpm", "motor_side_speed_rpm") if (s := trace.get(n)) is not None), None)
    if speed is None or trace.duration_s <= _LONGEST_RUN_S:
        return 0.0
    runs = np.nan_to_num(speed) > _RUNS_SHARE * float(np.quantile(sample_of(speed), 0.99))
    edges = np.flatnonzero(np.diff(np.concatenate(([0], runs.view(np.int8), [0]))))
    ends = zip(edges[::2], edges[1::2], strict=True)
    return max((float(trace.time_s[stop - 1] - trace.time_s[first]) for first, stop in ends), default=0.0)


def _of_charge(ratio: float) -> str:
    return f"by it the current makes {ratio:.2g} times the charge that the log counts"


def _ask(source: str, heading: str, why: str, fitting: Sequence[str] = ("s", "ms", "50 Hz")) -> UnsureColumns:
    options = tuple(option_for(heading, "time_s", unit) for unit in dict.fromkeys(fitting))
    return UnsureColumns(source, read=f"a time column {heading!r}: {why}", options=options)
