"""A soft start with rows lost, or a clock set ahead, within it: the ramp tells how much time passed. Invented data."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.ramp_holes import untold_s
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.unit.judge.made_signals import made
from tests.unit.judge.test_pack_swap import one_flight
from tests.unit.judge.test_telemetry import MACHINE


def soft_start(soft_s: float, at_s: float, *, ahead_s: float = 0.0, lost_s: float = 0.0) -> Verdict:
    """Judge a soft start within which the clock was set ahead, or rows were lost."""
    rows = one_flight(1.0, 0.2, soft_s=soft_s)
    t = rows.pop("time_s")
    keep = (t < at_s) | (t >= at_s + lost_s)
    t, rows = t[keep], {name: values[keep] for name, values in rows.items()}
    moved = t + np.where(t >= at_s, ahead_s, 0.0)
    judged = judge(MACHINE, Trace(source="made", time_s=moved, channels=rows, rows_read=t.size))
    return next(check for check in judged.checks if check.check == "soft_start_time")


@pytest.mark.parametrize("at_s", [8.0, 10.0])
def test_a_start_that_only_a_clock_set_ahead_makes_long_enough_is_unknown(at_s: float) -> None:
    check = soft_start(7.0, at_s, ahead_s=4.0)
    assert check.verdict is Outcome.UNKNOWN
    assert check.figure_interval is not None
    assert check.figure_interval[0] < 7.2 < check.figure_interval[1] < 11.6


def test_rows_lost_within_a_start_leave_its_time_as_it_is() -> None:
    assert soft_start(12.0, 8.0, lost_s=3.0).verdict is Outcome.PASS
    assert soft_start(7.0, 8.0, lost_s=3.0).verdict is Outcome.FAIL


def test_a_clock_set_ahead_costs_nothing_where_the_rest_is_long_enough() -> None:
    assert soft_start(15.0, 10.0, ahead_s=4.0).verdict is Outcome.PASS


def test_the_speed_gained_over_a_hole_tells_how_long_it_lasted() -> None:
    t = np.concatenate([np.arange(0.0, 4.0, 0.02), np.arange(7.0, 12.0, 0.02)])
    ramp = 100.0 * t
    assert untold_s(made(t, head_speed_rpm=ramp), 0.0, 12.0) == pytest.approx((0.0, 0.0), abs=0.05)
    jumped = np.where(t < 5.0, ramp, ramp - 300.0)
    assert untold_s(made(t, head_speed_rpm=jumped), 0.0, 12.0) == pytest.approx((3.0, 0.0), abs=0.05)
    stands = np.full(t.size, 500.0)
    assert untold_s(made(t, head_speed_rpm=stands), 0.0, 12.0) == pytest.approx((3.0, 0.0), abs=0.05)
    assert untold_s(made(t, head_speed_rpm=ramp), 5.0, 12.0) == (0.0, 0.0)
