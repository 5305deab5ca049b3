"""Takes a verdict back where the speed sensor smooths more than the verdict can bear."""

from collections.abc import Sequence
from dataclasses import replace
from math import log

import numpy as np

from steadyhead.judge.measured import Measured
from steadyhead.judge.overshoot import Overshoot, behind_lag_percent
from steadyhead.judge.result import LoadEvent
from steadyhead.judge.sensor_lag import GRID_S, Lag
from steadyhead.judge.steady import STEP_SHARE, Calm
from steadyhead.judge.transient import SENSOR_LAG_S, SLOW_SENSOR_S
from steadyhead.words.verdict import Outcome, Verdict

LONGEST_S = float(GRID_S[-1])
FREE_BEARING = (
    "only the motor side was measured, and on unloading its current falls to that of a motor without load: "
    "the head may have run faster through the one-way bearing"
)
QUICK_SENSOR = ("a quicker speed sensor, or a recording to listen to",)
USUAL_SHARE = 0.5
"""Many controllers smooth over half of SLOW_SENSOR_S, and then half as much is hidden; common practice, no source."""
LONE_ROW_S = 0.12
LONE_SHARE = 0.01
ALIKE_SHARE = 0.25
"""A rotor that loses one part in a hundred within a tenth of a second does not regain it in the next; own choice."""
STILL_ON_ITS_WAY_S = 8.0
"""So long after a load that the head was not seen back from, its band is not steady running; own choice."""
ARRIVED_SHARE = 0.01


def overspeed_as_sensed(verdict: Verdict, found: Measured) -> Verdict:
    """Return a pass of overspeed as far as the sensor can show it: unknown where its lag may hide more than the limit.

    The lag is read at a cut of the motor; a log that shows none keeps its pass, and says what a slow sensor may hide,
    unless a sensor half as slow may hide more than the limit.
    Valid: a motor-side speed tells the lag worse, so there only the least lag that it shows takes a pass back.
    """
    if verdict.verdict is not Outcome.PASS or verdict.limit is None:
        return verdict
    limit = verdict.limit
    if not any(_may_exceed(peak, limit, LONGEST_S) for peak in found.peaks):
        return verdict
    lag = found.lag
    if lag is not None:
        lag_s = lag.high_s if found.signals.speed_is_head else lag.low_s
        high = [peak.at_s for peak in found.peaks if _may_exceed(peak, limit, lag_s)]
        hides = [s for s in found.governed if any(s.start_s <= at_s <= s.end_s for at_s in high)]
        behind = max((behind_lag_percent(found.signals, stretch, lag_s) for stretch in hides), default=0.0)
        if behind > limit:
            why = f"{_smooths(lag)}, behind which it may have been {behind:.2g} %"
            return verdict.but(why, needs=QUICK_SENSOR)
        if found.signals.speed_is_head:
            return verdict
    behind = max(peak.behind_slow_sensor_percent for peak in found.peaks)
    if behind <= verdict.limit:
        return verdict
    smooths = f"if the controller smooths its logged speed over {SLOW_SENSOR_S:g} s, it may have been {behind:.2g} %"
    told = replace(verdict, reason=f"{verdict.reason}; {smooths}: see its manual, or listen to a recording")
    usual = max(p.percent + USUAL_SHARE * (p.behind_slow_sensor_percent - p.percent) for p in found.peaks)
    return told if usual <= limit else replace(told, verdict=Outcome.UNKNOWN, needs=QUICK_SENSOR)


def _may_exceed(peak: Overshoot, limit: float, lag_s: float) -> bool:
    """Whether a peak may exceed the limit behind a lag, by what it may have been behind SLOW_SENSOR_S."""
    hidden = peak.behind_slow_sensor_percent - peak.percent
    return peak.percent + hidden * max(lag_s / SLOW_SENSOR_S, 1.0) > limit


def restart_as_sensed(verdict: Verdict, found: Measured, *, to_set_speed: bool) -> Verdict:
    """Return a failed restart as unknown where the lag of the speed sensor may have made it: it shows all of it late.

    Equation: behind a lag T a ramp of r a second arrives T ln(T r / 0.01) late within 1 %, r the whole set speed within
    the time that was read; a start comes T late.
    """
    ends, limit = verdict.figure_interval, verdict.limit
    if verdict.verdict is not Outcome.FAIL or ends is None or limit is None or verdict.figure is None:
        return verdict
    lag = found.lag
    if lag is None:
        return verdict
    late_s = _late_s(lag.high_s, verdict.figure) if to_set_speed else lag.high_s
    if verdict.figure <= limit or min(ends) - late_s > limit:
        return verdict
    why = f"{_smooths(lag)}, which shows it late"
    return verdict.but(why, needs=QUICK_SENSOR)


def arrives_late_s(found: Measured, took_s: float) -> float:
    """Return how late a speed sensor may show a head at its set speed that took so long, s.

    Valid: by what most sensors smooth, where the log shows no lag or one that may be so small; a motor-side speed tells
    it worse, so there only the least that it shows counts.
    """
    lag = found.lag
    if lag is None or lag.low_s <= SENSOR_LAG_S:
        return _late_s(SENSOR_LAG_S, took_s)
    return _late_s(lag.lag_s if found.signals.speed_is_head else lag.low_s, took_s)


def _late_s(lag_s: float, took_s: float) -> float:
    return lag_s * max(log(lag_s / (max(took_s, lag_s) * ARRIVED_SHARE)), 1.0)


def recovery_through_bearing(verdict: Verdict, free_s: float | None) -> Verdict:
    """Return a pass of recovery seen from the motor side alone, where the motor drove the head again soon enough.

    While the bearing runs free the head is above its set speed, unseen; once the motor drives, both turn as one.
    """
    if free_s is None or verdict.limit is None or free_s > verdict.limit:
        return Verdict.unknown(verdict.check, FREE_BEARING, needs=("head speed measured at the head",))
    drove = f"only the motor side was measured: it drove the head again within {free_s:.2g} s after every load, "
    drove += "if its one-way bearing does not slip: then the head falls further, unseen"
    return replace(verdict, reason=f"{verdict.reason}; {drove}")


def not_settled(start_s: float, events: Sequence[LoadEvent]) -> bool:
    """Whether the head was not yet seen back from the load before a window: then its way back is no steady running."""
    before = [event for event in events if event.end_s <= start_s]
    if not before or start_s - before[-1].end_s > STILL_ON_ITS_WAY_S:
        return False
    return before[-1].unload_recovery_s is None


def band_as_sensed(verdict: Verdict, found: Measured, windows: Sequence[Calm]) -> Verdict:
    """Return a failed band as unknown where every window is too wide by lone rows only: no rotor jumps to and fro so.

    Valid: rows quicker than LONE_ROW_S; a row is lone where both beside it agree with each other far better.
    """
    if verdict.verdict is not Outcome.FAIL or verdict.limit is None or not windows:
        return verdict
    if found.signals.speed_rpm is None or found.signals.interval_s > LONE_ROW_S:
        return verdict
    for window, part in zip(windows, found.signals.parts(windows), strict=True):
        values = found.signals.speed_rpm[part]
        middle, beside = values[1:-1], 0.5 * (values[:-2] + values[2:])
        apart = np.abs(values[2:] - values[:-2])
        away = np.abs(middle - beside)
        kept = middle[~((away > LONE_SHARE * window.set_rpm) & (apart < ALIKE_SHARE * away))]
        if not kept.size or 50.0 * float(np.ptp(kept)) / window.set_rpm > verdict.limit:
            return verdict
    why = "only lone rows lie outside, and no rotor is back within a row"
    return verdict.but(why, needs=("a log without faulty speeds",))


def _smooths(lag: Lag) -> str:
    return (
        f"the logged speed lags by {lag.low_s:.2g} to {lag.high_s:.2g} s, as the motor's cut at {lag.at_s:.1f} s shows"
    )


def too_coarse(found: Measured) -> str:
    """Say that the speed is written in steps too wide to show how steady the head runs; nothing where it is not so."""
    step_rpm, governed = found.signals.speed_step_rpm, found.governed
    if found.windows or not governed or step_rpm <= STEP_SHARE * max(s.set_rpm or 0.0 for s in governed):
        return ""
    return f"the speed is written in steps of {step_rpm:.0f} rpm, too wide to show how steadily the head runs"
