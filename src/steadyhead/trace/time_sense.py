"""Whether time, current and charge of a log make sense together: a wrong unit of one of them shows here."""

from dataclasses import replace

import numpy as np

from steadyhead.trace.quick_look import even_rows, sample_of
from steadyhead.trace.trace import Trace
from steadyhead.trace.unsure import UnsureColumns

_FAR_OFF = 5.0
"""Current times time over the charge that is counted: beyond this factor a unit is wrong, not a sensor; own choice."""
_FEWEST_MAH = 20.0
_LONGEST_RUN_S = 3.0 * 3600.0
"""No pack drives a rotor without a pause for longer; own choice, made wide."""
_RUNS_SHARE = 0.5
_MAH_PER_AS = 1.0 / 3.6
_ROWS = 40_000
"""Enough rows of a long log for a sum that is held against a factor of five; own choice."""
_PLAIN_STEP_S = 0.5
"""Rows that come no slower are believed to do so: then the current is doubted, not the time; own choice."""


def in_good_sense(source: str, trace: Trace, heading: str, *, sure: bool) -> Trace:
    """Return the trace, less current and charge where they contradict each other by far.

    `heading` is that of the time; `sure` says that a person named its unit, or that it needs none. Rows that come twice
    a second or quicker are believed to do so.

    Raises: UnsureColumns when the time can only be in another unit.
    """
    sure = sure or float(np.median(np.diff(sample_of(trace.time_s[:5000])))) <= _PLAIN_STEP_S
    if not sure and _longest_run_s(trace) > _LONGEST_RUN_S:
        raise _ask(source, heading, "by it the rotor runs for hours without a pause")
    ratio = _current_over_charge(trace)
    if ratio is None or 1.0 / _FAR_OFF <= ratio <= _FAR_OFF:
        return trace
    if not sure:
        raise _ask(source, heading, f"by it the current makes {ratio:.2g} times the charge that the log counts")
    named = {column.channel: column for column in trace.columns}
    if any(named[name].confidence == "said by you" for name in ("pack_current_a", "charge_used_mah")):
        return trace
    return _without_both(trace, ratio, named["pack_current_a"].heading, named["charge_used_mah"].heading)


def _without_both(trace: Trace, ratio: float, current: str, charge: str) -> Trace:
    gone = ("pack_current_a", "charge_used_mah")
    said = (
        f"{current} makes {ratio:.2g} times the charge that {charge} counts: one of them is in another unit, "
        f'neither is used; say which: --column "{current}=pack_current_a:mA", for example'
    )
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


def _ask(source: str, heading: str, why: str) -> UnsureColumns:
    options = tuple(f"{heading}=time_s:{unit}" for unit in ("s", "ms", "50 Hz"))
    return UnsureColumns(source, read=f"a time column {heading!r}: {why}", options=options)
