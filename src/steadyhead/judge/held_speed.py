"""Takes a pass back where the head ran for seconds at a speed that the pass does not account for."""

from dataclasses import replace

import numpy as np

from steadyhead.judge.events import FULL_DUTY
from steadyhead.judge.measured import Measured
from steadyhead.judge.pieces import mean, median
from steadyhead.judge.result import LoadEvent
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.steady import AFTER_LOAD_S, LEAVING_S, SETTLE_S
from steadyhead.words.verdict import Outcome, Verdict

RESTS_ON_SET_SPEED = ("steady_band", "climb_droop", "recovery")
HELD_S = 3.0
"""A mean over so long is no peak after a load; own choice."""
FASTER_SHARE = 0.02
"""The usual band of a hover, from end to end: what lies further above was not held at the set speed taken."""
LEVEL_PARTS, LEVEL_SHARE = 3, 0.005
"""So many parts in a row within so much are one level: no load in flight holds a head as still; own choice."""
DUTY = ("duty",)
NOT_CUT_BACK = ("a log in which the controller holds one speed at each channel position",)
DROOPS_PERCENT = 1.0
"""A governor with duty left brings the head nearer under a load that lasts; common practice, no source. One that does
not stays below its set speed without a load, too."""
STOOD_S = 2.0
"""A duty at its stop for so long after the head is there is the drive's limit, no last push of a ramp; own choice."""


def another_level(found: Measured) -> bool:
    """Whether the head stayed for LEVEL_PARTS times HELD_S at a speed well off the set speed taken, on one level.

    Without a throttle channel a slow change of set speed looks like that.
    """
    for stretch in found.governed:
        run: list[float] = []
        for share, _, _ in _held(found.signals, stretch):
            run = [*run, share] if run and max(*run, share) - min(*run, share) <= LEVEL_SHARE else [share]
            if len(run) >= LEVEL_PARTS and abs(share) > FASTER_SHARE:
                return True
    return False


def as_held(check: Verdict, found: Measured) -> Verdict:
    """Return a pass that rests on the set speed as unknown where the head ran well above it for seconds.

    The head may have sunk with the pack since. With a duty in the log the set speed is read where the governor had its
    say, and the duty tells the rest. A band passes only where the head was inside it whenever no hard load was on.
    """
    steady = [s for s in found.governed if not s.ramping]
    if check.check == "overspeed" and check.verdict is Outcome.FAIL:
        return _unless_cut_back(check, steady, found)
    if check.check not in RESTS_ON_SET_SPEED or check.verdict is not Outcome.PASS:
        return check
    return _within_band(_unless(check, steady, found), steady, found)


def _within_band(check: Verdict, stretches: list[Stretch], found: Measured) -> Verdict:
    """Return a band that passes in plain hover as unknown where the head lay outside it elsewhere, no hard load on."""
    if check.check != "steady_band" or check.limit is None or check.verdict is not Outcome.PASS:
        return check
    off = [
        held
        for stretch in stretches
        if stretch.airborne
        for held in _clear_of_loads(stretch, found)
        if 100.0 * abs(held[0]) > check.limit
    ]
    if not off:
        return check
    share, at_s, set_rpm = max(off, key=lambda held: abs(held[0]))
    why = (
        f"{check.reason}; but from {at_s:.0f} s the head ran at {(1.0 + share) * set_rpm:.0f} rpm for {HELD_S:g} s, "
        f"set {set_rpm:.0f}, and the log does not show what it flew"
    )
    return replace(check, verdict=Outcome.UNKNOWN, reason=why, needs=("collective_deg or pack_current_a",))


def _clear_of_loads(stretch: Stretch, found: Measured) -> list[tuple[float, float, float]]:
    """Return what `_held` does, without the parts that a hard load reaches into."""
    loads = [(event.start_s - HELD_S, event.end_s + AFTER_LOAD_S) for event in found.events]
    parts = _held(found.signals, stretch)
    return [held for held in parts if not any(begin < held[1] < end for begin, end in loads)]


def reached_as_held(check: Verdict, found: Measured, at_s: float) -> Verdict:
    """Return a pass of a restart as unknown where the head had run well above the speed that it came back to.

    So, too, where the duty stood at its stop when it was there: the speed is then the drive's, not the governor's.
    """
    if check.verdict is not Outcome.PASS:
        return check
    deepest = max((event.droop_percent or 0.0 for event in found.events if not _at_stop(event)), default=0.0)
    if deepest >= DROOPS_PERCENT:
        why = (
            f"{check.reason}; but the governor lets the head droop by {deepest:.1f} %: which speed is set is not known"
        )
        return replace(check, verdict=Outcome.UNKNOWN, reason=why, needs=("a governor that does not droop",))
    if found.signals.duty is not None:
        there_s = at_s + (check.figure or 0.0)
        part = found.signals.within(there_s, there_s + STOOD_S)
        if part.stop - part.start < 2 or median(found.signals.duty[part]) < FULL_DUTY:
            return check
        why = f"{check.reason}; but the duty stood at its stop then: the set speed may be higher"
        return replace(check, verdict=Outcome.UNKNOWN, reason=why, needs=("a restart on a full pack",))
    set_rpm = next((s.set_rpm for s in found.stretches if s.asked_s >= at_s and s.set_rpm is not None), None)
    return _unless(check, [s for s in found.governed if s.set_rpm == set_rpm and s.start_s < at_s], found)


def _at_stop(event: LoadEvent) -> bool:
    """Whether the duty stood at its stop in a load: then the drive let the head droop, not the governor."""
    return (event.duty_max or 0.0) >= FULL_DUTY


def _unless(check: Verdict, stretches: list[Stretch], found: Measured) -> Verdict:
    if found.signals.duty is not None:
        return _unless_cut_back(check, stretches, found)
    fast = max((held for s in stretches for held in _held(found.signals, s)), default=None)
    if fast is None or fast[0] <= FASTER_SHARE:
        return check
    share, at_s, set_rpm = fast
    why = (
        f"{check.reason}; but from {at_s:.0f} s the head ran at {(1.0 + share) * set_rpm:.0f} rpm at the same channel "
        f"position: the {set_rpm:.0f} rpm where it ran longest may not be the set speed"
    )
    return replace(check, verdict=Outcome.UNKNOWN, reason=why, needs=DUTY)


def _unless_cut_back(check: Verdict, stretches: list[Stretch], found: Measured) -> Verdict:
    """Return a verdict as unknown where the head was driven faster, on one level, at the same channel position.

    A governor holds one speed; a controller that is hot, or whose pack is low, takes duty or speed back for a while. A
    head that is driven faster takes more duty, one that runs ahead of its motor takes less.
    """
    duty = found.signals.duty
    if duty is None:
        return check
    for stretch in stretches:
        parts = _clear_of_loads(stretch, found)
        held = [(one, mean(duty[found.signals.within(one[1], one[1] + HELD_S)])) for one in parts]
        usual = median(np.array([d for (share, _, _), d in held if abs(share) <= FASTER_SHARE]))
        fast = sorted(one for one, d in held if one[0] > FASTER_SHARE and d > usual)
        levels = zip(fast, fast[LEVEL_PARTS - 1 :], strict=False)
        level = next((low for low, high in levels if high[0] - low[0] <= LEVEL_SHARE), None)
        if level is not None:
            share, at_s, set_rpm = level
            why = (
                f"{check.reason}; but about {at_s:.0f} s the head was driven at {(1.0 + share) * set_rpm:.0f} rpm at "
                f"the same channel position: the {set_rpm:.0f} rpm where it ran longest may be what a hot controller, "
                "or one with a low pack, had cut back to"
            )
            return replace(check, verdict=Outcome.UNKNOWN, reason=why, needs=NOT_CUT_BACK)
    return check


def _held(signals: Signals, stretch: Stretch) -> list[tuple[float, float, float]]:
    """Return for each HELD_S of a stretch by what share its mean speed lay above the set speed, when, and that."""
    speed, set_rpm = signals.speed_rpm, stretch.set_rpm
    begin_s = stretch.start_s + SETTLE_S
    count = int((stretch.end_s - LEAVING_S - begin_s) / HELD_S)
    if speed is None or not set_rpm or count < 1:
        return []
    edges = begin_s + HELD_S * np.arange(count + 1)
    rows = signals.time_s.searchsorted(edges - 1e-9)
    sizes = np.diff(rows)
    full = (sizes >= 2).nonzero()[0]
    sums = np.add.reduceat(speed[: rows[-1]], rows[full]) if full.size else np.empty(0)
    if full.size < count:  # a sum runs on over the rows of the parts that are too short
        sums = np.array([np.add.reduce(speed[rows[k] : rows[k + 1]]) for k in full])
    shares = sums / sizes[full] / set_rpm - 1.0
    return list(zip(shares.tolist(), edges[full].tolist(), [set_rpm] * full.size, strict=True))
