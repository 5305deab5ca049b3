"""A motor that stopped while the channel asked for running, as something that no run logic says."""

from collections.abc import Iterator

from steadyhead.judge.disagreement import Disagreement
from steadyhead.judge.measured import Measured
from steadyhead.judge.motor_state import CUT_S, CUT_SHARE
from steadyhead.judge.parts import true_runs
from steadyhead.judge.segments import DRIVEN

CAUSES = "a cut by the controller (heat, low voltage, lost signal) or a fault; do not fly before you know which"
NEEDS = ("a log with duty and throttle channel in quick rows, without holes",)


def cuts(found: Measured) -> Iterator[Disagreement]:
    """Return every time the motor stopped, or may have, though the channel asked for running."""
    for stretch in found.stretches:
        cut = stretch.cut
        if cut is None:
            continue
        back = "did not come back" if cut.back_s is None else f"came back {cut.back_s - cut.stop_s:.1f} s later"
        says = f"the motor stopped at {cut.stop_s:.1f} s though the channel asked for running, and {back}: {CAUSES}"
        yield _stopped(cut.stop_s, says, cut.doubt)
    if found.signals.duty is None:
        yield from _unseen(found)


def _stopped(at_s: float, says: str, doubt: str) -> Disagreement:
    return Disagreement(
        at_s=at_s, kind="stopped by itself", is_dangerous=True, says=says, doubt=doubt, needs=NEEDS
    )  # fmt: skip


def _unseen(found: Measured) -> Iterator[Disagreement]:
    """Return where a head fell far below its set speed in governed running, and no duty shows what the motor did.

    What falls so far at the end of a stretch, and is called off there, is the stop itself.
    """
    signals = found.signals
    for k, stretch in enumerate(found.stretches):
        if stretch.kind != "governed" or stretch.set_rpm is None or signals.speed_rpm is None:
            continue
        part = signals.within(max(stretch.start_s, stretch.ready_s), stretch.end_s)
        goes_on = k + 1 == len(found.stretches) or found.stretches[k + 1].kind in DRIVEN
        for first, stop in true_runs(signals.speed_rpm[part] < CUT_SHARE * stretch.set_rpm):
            begin_s, end_s = (float(signals.time_s[part.start + row]) for row in (first, stop - 1))
            if end_s - begin_s < CUT_S or (part.start + stop >= part.stop and not goes_on):
                continue
            says = f"the head fell far below its set speed at {begin_s:.1f} s though the channel asked for running"
            yield _stopped(begin_s, f"{says}: the motor may have stopped", "no duty shows whether it did")
            break
