"""A throttle channel from -1 to 1, or from -100 to 100, runs from end to end, with a unit or without."""

from pathlib import Path

import pytest

from tests.unit.trace.flights import THROTTLE, flight


@pytest.mark.parametrize(
    ("heading", "scale"),
    [("throttle", 0.01), ("throttle (-1..1)", 0.01), ("throttle", 1.0), ("throttle (-100..100)", 1.0)],
)
@pytest.mark.parametrize("times", [1.0, 0.75], ids=["70 percent", "just beyond the middle"])
def test_both_ends_are_read(heading: str, scale: float, times: float, tmp_path: Path) -> None:
    percent = times * THROTTLE + 0.1
    trace = flight(tmp_path, instead={"throttle (%)": {heading: scale * (2.0 * percent - 100.0)}})
    assert trace.channels["throttle_percent"] == pytest.approx(percent, abs=0.02)
    assert not any("impossible" in word for word in trace.warnings)


@pytest.mark.parametrize("full", [1000.0, 1024.0, 2048.0])
def test_counts_that_go_below_nothing_run_from_end_to_end(full: float, tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"throttle (%)": {"throttle": full * (2.0 * THROTTLE - 100.0) / 100.0}})
    told = trace.channels["throttle_percent"]
    assert told == pytest.approx(THROTTLE, abs=0.1)
    assert any(f"taken as -{full:.0f} to {full:.0f}" in said for said in trace.warnings)
    assert any('--column "throttle=throttle_percent:-' in said for said in trace.warnings)
