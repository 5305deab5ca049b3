"""Readings from steady windows."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.readings import readings
from steadyhead.judge.result import SteadyWindow
from steadyhead.trace.trace import Trace
from tests.property.test_judge_any_trace import MACHINE


def window(percent: float | None, mean_rpm: float, seconds: float, duty: float | None = 0.7) -> SteadyWindow:
    return SteadyWindow(
        start_s=10.0, end_s=10.0 + seconds, set_rpm=mean_rpm, mean_rpm=mean_rpm, channel_percent=percent,
        band_half_width_percent=0.2, hunting_hz=None, hunting_percent=None, duty_mean=duty,
        pack_voltage_mean_v=None, pack_current_mean_a=None,
    )  # fmt: skip


def of(*windows: SteadyWindow) -> list[tuple[float, float, float]]:
    empty = judge(MACHINE, Trace(source="log", time_s=np.empty(0), channels={}, rows_read=0))
    found = readings(dataclasses.replace(empty, steady=windows))
    return [(r.percent, r.head_speed_rpm, r.spread_rpm) for r in found]


def test_windows_of_one_position_become_one_reading_weighted_by_time() -> None:
    ((percent, rpm, spread),) = of(window(70.0, 2000.0, 3.0), window(70.2, 2002.0, 9.0))
    assert percent == pytest.approx(70.15)
    assert rpm == pytest.approx(2001.5)
    assert spread >= 1.0


def test_windows_at_full_duty_or_without_channel_are_no_readings() -> None:
    assert of(window(80.0, 2400.0, 10.0, duty=0.99), window(None, 2000.0, 10.0)) == []


def test_readings_come_in_the_order_of_the_channel() -> None:
    assert [r[0] for r in of(window(83.0, 2250.0, 5.0), window(57.0, 1730.0, 5.0))] == [57.0, 83.0]


def test_a_reading_of_motor_speed_says_that_it_came_through_the_gears() -> None:
    ends: list[str] = []
    for channel in ("motor_side_speed_rpm", "head_speed_rpm"):
        trace = Trace(source="log", time_s=np.arange(3.0), channels={channel: np.full(3, 2000.0)}, rows_read=3)
        judged = judge(MACHINE, trace)
        (found,) = readings(dataclasses.replace(judged, steady=(window(70.0, 2000.0, 5.0),)))
        ends.append(found.source)
        assert found.is_at_head is (channel == "head_speed_rpm")
    assert ends[0].endswith("motor and gears alone")
