"""Takes a pass back where the head ran for seconds at a speed that the pass does not account for."""

from bisect import bisect_left
from itertools import accumulate
from typing import NamedTuple

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


class Part(NamedTuple):
    """HELD_S of a stretch: by what share its mean speed lay above the set speed, when it began, and that set speed."""

    share: float
    at_s: float
    set_rpm: float

    @property
    def speed_rpm(self) -> float:
        """Return the mean speed, rpm."""
        return (1.0 + self.share) * self.set_rpm


class Doubt(NamedTuple):
    """Why a verdict may not stand, and what would settle it."""

    why: str
    needs: tuple[str, ...]


def another_level(found: Measured) -> bool:
    """Whether the head stayed for LEVEL_PARTS times HELD_S at a speed well off the set speed taken, on one level.

    Without a throttle channel a slow change of set speed looks like that.
    """
    for stretch in found.governed:
        run: list[float] = []
        for share, *_ in _held(found.signals, stretch):
            run = [*run, share] if run and max(*run, share) - min(*run, share) <= LEVEL_SHARE else [share]
            if len(run) >= LEVEL_PARTS and abs(share) > FASTER_SHARE:
                return True
    return False


def as_held(checks: tuple[Verdict, ...], found: Measured) -> tuple[Verdict, ...]:
    """Return passes that rest on the set speed as unknown where the head ran well above it for seconds.

    The head may have sunk with the pack since. With a duty in the log the set speed is read where the governor had its
    say, and the duty tells the rest. A band passes only where the head was inside it whenever no hard load was on.
    """
    steady = [s for s in found.governed if not s.ramping]
    clear = _clear_of_loads(steady, found)
    faster = _faster(steady, found) if found.signals.duty is None else _cut_back(clear, found.signals)
    is_cut_back = faster is not None and found.signals.duty is not None
    return tuple(_as_held(check, faster, clear, is_cut_back=is_cut_back) for check in checks)


def _as_held(
    check: Verdict, faster: Doubt | None, clear: list[tuple[Stretch, list[Part]]], *, is_cut_back: bool
) -> Verdict:
    if check.check == "overspeed" and check.verdict is Outcome.FAIL:
        return _unless(check, faster) if is_cut_back else check
    if check.check not in RESTS_ON_SET_SPEED or check.verdict is not Outcome.PASS:
        return check
    return _within_band(_unless(check, faster), clear)


def _within_band(check: Verdict, clear: list[tuple[Stretch, list[Part]]]) -> Verdict:
    """Return a band that passes in plain hover as unknown where the head lay outside it elsewhere, no hard load on."""
    if check.check != "steady_band" or check.limit is None or check.verdict is not Outcome.PASS:
        return check
    parts = [part for stretch, parts in clear if stretch.airborne for part in parts]
    off = [part for part in parts if 100.0 * abs(part.share) > check.limit]
    if not off:
        return check
    part = max(off, key=lambda part: abs(part.share))
    why = (
        f"from {part.at_s:.0f} s the head ran at {part.speed_rpm:.0f} rpm for {HELD_S:g} s, "
        f"set {part.set_rpm:.0f}, and the log does not show what it flew"
    )
    return check.but(why, needs=("collective_deg or pack_current_a",))


def _clear_of_loads(stretches: list[Stretch], found: Measured) -> list[tuple[Stretch, list[Part]]]:
    """Return for each stretch what `_held` does, without the parts that a hard load reaches into."""
    loads = sorted((event.start_s - HELD_S, event.end_s + AFTER_LOAD_S) for event in found.events)
    begins = [begin for begin, _ in loads]
    ends = list(accumulate((end for _, end in loads), max))

    def is_clear(part: Part) -> bool:
        before = bisect_left(begins, part.at_s)
        return before == 0 or ends[before - 1] <= part.at_s

    return [(s, [part for part in _held(found.signals, s) if is_clear(part)]) for s in stretches]


def reached_as_held(check: Verdict, found: Measured, at_s: float) -> Verdict:
    """Return a pass of a restart as unknown where the head had run well above the speed that it came back to.

    So, too, where the duty stood at its stop when it was there: the speed is then the drive's, not the governor's.
    """
    if check.verdict is not Outcome.PASS:
        return check
    deepest = max((event.droop_percent or 0.0 for event in found.events if not _at_stop(event)), default=0.0)
    if deepest >= DROOPS_PERCENT:
        why = f"the governor lets the head droop by {deepest:.1f} %: which speed is set is not known"
        return check.but(why, needs=("a governor that does not droop",))
    if found.signals.duty is not None:
        there_s = at_s + (check.figure or 0.0)
        part = found.signals.within(there_s, there_s + STOOD_S)
        if part.stop - part.start < 2 or median(found.signals.duty[part]) < FULL_DUTY:
            return check
        why = "the duty stood at its stop then: the set speed may be higher"
        return check.but(why, needs=("a restart on a full pack",))
    set_rpm = next((s.set_rpm for s in found.stretches if s.asked_s >= at_s and s.set_rpm is not None), None)
    return _unless(check, _faster([s for s in found.governed if s.set_rpm == set_rpm and s.start_s < at_s], found))


def _at_stop(event: LoadEvent) -> bool:
    """Whether the duty stood at its stop in a load: then the drive let the head droop, not the governor."""
    return (event.duty_max or 0.0) >= FULL_DUTY


def _unless(check: Verdict, doubt: Doubt | None) -> Verdict:
    """Return a verdict as unknown where there is a doubt."""
    if doubt is None:
        return check
    return check.but(doubt.why, needs=doubt.needs)


def _faster(stretches: list[Stretch], found: Measured) -> Doubt | None:
    """Return what the log says against the set speed where the head ran well above it for a part."""
    fast = max((part for s in stretches for part in _held(found.signals, s)), default=None)
    if fast is None or fast.share <= FASTER_SHARE:
        return None
    why = (
        f"from {fast.at_s:.0f} s the head ran at {fast.speed_rpm:.0f} rpm at the same channel position: "
        f"the {fast.set_rpm:.0f} rpm where it ran longest may not be the set speed"
    )
    return Doubt(why, DUTY)


def _cut_back(clear: list[tuple[Stretch, list[Part]]], signals: Signals) -> Doubt | None:
    """Return what the log says against the set speed where the head was driven faster, on one level, at one position.

    A governor holds one speed; a controller that is hot, or whose pack is low, takes duty or speed back for a while. A
    head that is driven faster takes more duty, one that runs ahead of its motor takes less.
    """
    duty = signals.duty
    if duty is None:
        return None
    for _, parts in clear:
        driven = [(part, mean(duty[signals.within(part.at_s, part.at_s + HELD_S)])) for part in parts]
        usual = median(np.array([d for part, d in driven if abs(part.share) <= FASTER_SHARE]))
        fast = sorted(part for part, d in driven if part.share > FASTER_SHARE and d > usual)
        levels = zip(fast, fast[LEVEL_PARTS - 1 :], strict=False)
        level = next((low for low, high in levels if high.share - low.share <= LEVEL_SHARE), None)
        if level is not None:
            why = (
                f"about {level.at_s:.0f} s the head was driven at {level.speed_rpm:.0f} rpm at the same channel "
                f"position: the {level.set_rpm:.0f} rpm where it ran longest may be what a hot controller, "
                "or one with a low pack, had cut back to"
            )
            return Doubt(why, NOT_CUT_BACK)
    return None


def _held(signals: Signals, stretch: Stretch) -> list[Part]:
    """Return each HELD_S of a stretch."""
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
    return [Part(share, at_s, set_rpm) for share, at_s in zip(shares.tolist(), edges[full].tolist(), strict=True)]
