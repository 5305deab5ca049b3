"""A wrong count of teeth is told and judged by the head; a log of another machine passes nothing on its file."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.motor_share import motor_share
from steadyhead.judge.other_machine import RESTS_ON_THE_FILE
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.test_slip import flown


def geared(times: float, *, faster: float = 1.0) -> Trace:
    """Return a flight whose motor side comes out so many times too fast by the file, and whose duty is lower."""
    trace = flown()
    motor = trace.channels["motor_side_speed_rpm"] * times
    channels = {**trace.channels, "motor_side_speed_rpm": motor, "duty": trace.channels["duty"] / faster}
    return dataclasses.replace(trace, channels=channels)


TEETH = MACHINE.gears.pinion_teeth.number


@pytest.mark.parametrize("more", [-2.0, -1.0, 1.0])
def test_a_wrong_count_of_teeth_is_told_and_changes_no_verdict_on_how_the_head_was_held(more: float) -> None:
    right, wrong = judge(MACHINE, flown()), judge(MACHINE, geared((TEETH + more) / TEETH))
    assert [s.kind for s in wrong.segments] == [s.kind for s in right.segments]
    told, expected = ({c.check: c.verdict for c in one.checks} for one in (wrong, right))
    for check in ("steady_band", "climb_droop", "recovery", "quick_restart_granted", "soft_start_time"):
        assert told[check] is expected[check]
    assert not any("does not fit this machine file" in word for word in wrong.warnings)
    assert any("check gear teeth" in word for word in wrong.warnings)


def test_the_pinion_that_would_fit_is_named() -> None:
    words = judge(MACHINE, geared(TEETH / (TEETH + 1.0))).warnings
    assert any(f"a pinion of {TEETH + 1:.0f} teeth would fit, the machine file says {TEETH:.0f}" in w for w in words)


def test_a_log_that_neither_gears_nor_kv_fit_passes_nothing_that_rests_on_the_file() -> None:
    right = {c.check: c.verdict for c in judge(MACHINE, flown()).checks}
    judgement = judge(MACHINE, geared(1.25, faster=0.7))
    told = {c.check: c for c in judgement.checks}
    assert any("the log does not fit this machine file" in word for word in judgement.warnings)
    passed = [name for name in RESTS_ON_THE_FILE if right.get(name) is Outcome.PASS]
    assert "tip_speed" in passed
    assert not [name for name in RESTS_ON_THE_FILE if name in told and told[name].verdict is Outcome.PASS]
    assert told["steady_band"].verdict is right["steady_band"]


def test_a_bearing_that_runs_free_is_no_wrong_ratio() -> None:
    head = np.full(4000, 2000.0)
    free = np.where(np.arange(4000) % 400 < 160, 0.5 + 0.001 * (np.arange(4000) % 400), 1.0)
    assert motor_share(head, head * free, None) == 1.0
    assert motor_share(head, 0.92 * head, None) == pytest.approx(0.92)
    assert motor_share(head, 1.08 * head, None) == 1.0
    assert motor_share(None, head, None) == 1.0
