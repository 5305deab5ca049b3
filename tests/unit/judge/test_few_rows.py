"""What rows that are few or far apart cannot show of a droop, a current, a stop: invented logs."""

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from steadyhead.judge.checks_droop import climb_droop
from steadyhead.judge.conformance_hold import driven_in_hold
from steadyhead.judge.hold import HoldStop
from steadyhead.judge.quick_current import IN_LONG_ROWS, between_rows_a
from steadyhead.words.verdict import Outcome
from tests.unit.judge.made_signals import governed, made


def droop_of(rows_s: float, swings: float, *, is_head: bool = True) -> Any:
    """Return the droop of one climb of 3.5 s in a head of 2000 rpm that swings at 3.9 Hz."""
    time_s = np.arange(0.0, 60.0, rows_s)
    speed = 2000.0 * (1.0 + swings * np.sin(2.0 * np.pi * 3.9 * time_s))
    name = "head_speed_rpm" if is_head else "motor_side_speed_rpm"
    signals = made(time_s, **{name: speed})
    late, before = signals.within(32.1, 33.5), signals.within(28.5, 30.0)
    droop = (speed[before].mean() - speed[late].mean()) / 20.0
    climb = SimpleNamespace(
        kind="climb", start_s=30.0, end_s=33.5, set_rpm=2000.0, droop_percent=droop, duty_max=None,
        undershoot_percent=droop,
    )  # fmt: skip
    found = SimpleNamespace(signals=signals, events=(climb,), governed=(governed(5.0, 60.0, 2000.0),))
    limit = SimpleNamespace(value=4.0, unit="%", origin="made", __str__=lambda: "4 %")
    return climb_droop(cast(Any, found), cast(Any, SimpleNamespace(limit=lambda _: limit)))


def test_the_interval_of_a_droop_in_few_rows_holds_how_they_scatter() -> None:
    low, high = droop_of(1.0, 0.05).figure_interval
    assert low < 0.0 < high
    assert droop_of(1.0, 0.05).unless_it_may_hold("").verdict is not Outcome.FAIL


def test_quick_rows_even_a_swing_out() -> None:
    low, high = droop_of(0.02, 0.05).figure_interval
    assert high - low == pytest.approx(0.2, abs=0.05)


def test_a_droop_of_the_motor_side_says_that_it_is_none_of_the_head() -> None:
    assert "motor side was measured" in droop_of(0.02, 0.0, is_head=False).reason
    assert "motor side" not in droop_of(0.02, 0.0).reason


@pytest.mark.parametrize(("rows_s", "times"), [(0.05, 0.0), (0.25, IN_LONG_ROWS), (1.0, IN_LONG_ROWS)])
def test_between_slow_rows_a_short_peak_of_the_current_is_unseen(rows_s: float, times: float) -> None:
    time_s = np.arange(0.0, 60.0, rows_s)
    current = np.where(time_s > 30.0, 30.0, 20.0)
    signals = made(time_s, head_speed_rpm=2000.0 + 0.0 * time_s, pack_current_a=current)
    most, _ = between_rows_a(signals, (governed(5.0, 60.0, 2000.0),))
    assert most == pytest.approx(times * 30.0)


@pytest.mark.parametrize(("doubt_s", "is_sure"), [(1.0, False), (0.02, True)])
def test_a_stop_between_two_slow_values_of_the_channel_is_no_driven_hold(doubt_s: float, is_sure: bool) -> None:
    stop = HoldStop(at_s=20.0, percent=0.0, after_s=1.8, doubt_s=doubt_s, seen=True)
    found = cast(Any, SimpleNamespace(holds=(stop,), hold_percent=0.0))
    logic = cast(Any, SimpleNamespace(stop_percent=12.0, stop_delay_s=0.03))
    (told,) = driven_in_hold(found, logic, 0.4)
    assert bool(told.doubt) is not is_sure
