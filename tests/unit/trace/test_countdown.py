"""A time that counts down is no log with its newest row first: its rows stand in their order."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.reading import read_trace
from tests.unit.trace.flights import HEAD_RPM, PLAIN, TIME_S, USED_MAH, flight


@pytest.mark.parametrize(
    "heading", ["time left (s)", "countdown", "remaining (s)", "t-minus (s)", "Restzeit [s]", "countdown (s)"]
)
def test_a_countdown_is_counted_up_and_said(heading: str, tmp_path: Path) -> None:
    for without in ((), ("charge used (mAh)",)):
        trace = flight(tmp_path, instead={"time (s)": {heading: 300.0 - TIME_S}}, without=without)
        assert trace.time_s == pytest.approx(TIME_S, abs=1e-3)
        assert trace.channels["head_speed_rpm"] == pytest.approx(HEAD_RPM, abs=1e-3)
        assert any("counts down" in said for said in trace.warnings)


def test_the_charge_tells_a_countdown_whose_heading_does_not(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"time (s)": {"time (s)": 300.0 - TIME_S}})
    assert trace.channels["charge_used_mah"] == pytest.approx(USED_MAH, abs=0.02)
    assert any("as the charge that was used says" in said for said in trace.warnings)


def test_a_countdown_written_as_a_clock_is_counted_up(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    left = [f"{s // 60:02.0f}:{s % 60:04.1f}" for s in 300.0 - TIME_S]
    path.write_text(
        "time left,head speed (rpm)\n" + "\n".join(f"{a},{b:.1f}" for a, b in zip(left, HEAD_RPM, strict=True))
    )
    trace = read_trace(path, remember=False)
    assert trace.time_s == pytest.approx(TIME_S, abs=1e-3)
    assert trace.channels["head_speed_rpm"] == pytest.approx(HEAD_RPM, abs=0.06)


def test_a_log_with_its_newest_row_first_is_turned_round_as_before(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = np.column_stack(list(PLAIN.values()))[::-1]
    path.write_text("\n".join([",".join(PLAIN), *(",".join(f"{v:.4f}" for v in row) for row in rows)]) + "\n")
    trace = read_trace(path, remember=False)
    assert trace.channels["head_speed_rpm"] == pytest.approx(HEAD_RPM, abs=1e-3)
    assert any("newest row comes first" in said for said in trace.warnings)


def test_a_timer_that_counts_down_beside_a_time_is_left_alone(tmp_path: Path) -> None:
    trace = flight(tmp_path, last={"time left (s)": 300.0 - TIME_S})
    assert trace.time_s == pytest.approx(TIME_S)
    assert not any("counts down" in said for said in trace.warnings)
