"""A long log in the page: few points are sent whatever window is looked at, and no peak is missing from it."""

from types import SimpleNamespace

import numpy as np
import pytest

from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.report.figures.zoomed import MOST_DRAWN, Drawn, drawn_limits, window_of, window_series, zoomed_chart
from steadyhead.trace.trace import Trace

ROWS = 100_000
PEAKS = (137, 50_001, 50_003, 99_998)
MOST_SENT = MOST_DRAWN + 2 * (MOST_DRAWN // 8)


@pytest.fixture(scope="module")
def judged():
    random = np.random.default_rng(17)
    channels = {
        "head_speed_rpm": 2000.0 + random.normal(0.0, 4.0, ROWS),
        "duty": 0.6 + random.normal(0.0, 0.01, ROWS),
        "pack_voltage_v": 44.0 + random.normal(0.0, 0.1, ROWS),
    }
    for row in PEAKS:
        channels["head_speed_rpm"][row] = 2400.0 + row / 1000.0
    trace = Trace(source="invented", time_s=np.arange(ROWS) / 100.0, channels=channels, rows_read=ROWS)
    return SimpleNamespace(trace=trace, segments=())


def limit_lines(chart):
    return {one["name"]: one["markLine"]["data"][0] for one in chart["series"] if "markLine" in one}


def test_the_limits_of_duty_and_pack_voltage_lie_inside_their_axes(judged):
    told = drawn_limits(read_machine(bundled("fox600")))
    chart = zoomed_chart(judged, told)
    lines, axes = limit_lines(chart), {axis.get("name"): axis for axis in chart["yAxis"]}
    assert lines["duty"]["yAxis"] == 95.0
    assert axes["duty and channel (%)"]["min"] <= 0.0
    assert axes["duty and channel (%)"]["max"] >= 100.0
    assert lines["pack voltage"]["yAxis"] == pytest.approx(12 * 3.3)
    assert axes["pack (V)"]["min"] < 12 * 3.3
    assert not limit_lines(zoomed_chart(judged, Drawn()))


@pytest.mark.parametrize("window", [(0.0, 999.99), (400.0, 600.0), (499.0, 501.0), (500.0, 500.05), (-5.0, 2000.0)])
def test_few_points_are_sent_and_every_peak_of_the_window_is_among_them(judged, window):
    lines = window_series(judged, window)
    assert len(lines) == 3
    assert all(0 < len(line) <= MOST_SENT for line in lines.values())
    sent = {y for _, y in lines["head speed"]}
    for row in PEAKS:
        assert float(f"{2400.0 + row / 1000.0:.6g}") in sent
    times = [x for x, _ in lines["head speed"]]
    assert times == sorted(times)


def test_a_narrow_window_is_sent_whole(judged):
    inside = [x for x, _ in window_series(judged, (500.0, 505.0))["head speed"] if 500.0 <= x < 505.0]
    assert len(inside) == 500


def test_the_window_that_the_chart_tells_is_understood(judged):
    assert window_of(judged, {"start": 25.0, "end": 75.0}) == pytest.approx((249.9975, 749.9925))
    assert window_of(judged, {"batch": [{"start": 50.0, "end": 100.0}]}) == pytest.approx((499.995, 999.99))
