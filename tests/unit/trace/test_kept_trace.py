"""A log that is kept reads back as it was judged: same time, figures and doubts; nothing is guessed a second time."""

import json

import numpy as np
import polars as pl
import pytest

from steadyhead.trace import kept_trace
from steadyhead.trace.kept_trace import MARK
from steadyhead.trace.opening import content_of
from steadyhead.trace.reading import read_trace
from steadyhead.trace.writing import write_parquet

SAMPLES, RATE_HZ = 12_000, 3000.0
"""Quicker than any time in seconds is believed to come by its steps alone."""


def swift(path, rate_hz=RATE_HZ):
    """Write an invented log whose heading says seconds, written to the millisecond."""
    time_s = np.arange(SAMPLES) / rate_hz
    lines = [f"{t:.3f},{1800 + 5 * np.sin(9 * t):.1f},{60 + t % 3:.1f},{0.4 + t / 90:.4f}" for t in time_s]
    path.write_text("time (s),head speed (rpm),throttle (%),mystery\n" + "\n".join(lines) + "\n", "utf-8")
    return path


@pytest.mark.parametrize("rate_hz", [20.0, 250.0, RATE_HZ])
def test_a_kept_log_reads_back_as_it_was_read_first(tmp_path, rate_hz):
    first = read_trace(swift(tmp_path / "swift.csv", rate_hz))
    write_parquet(first, tmp_path / "kept.parquet")
    again = read_trace(tmp_path / "kept.parquet")
    assert np.array_equal(again.time_s, first.time_s)
    assert again.channels.keys() == first.channels.keys()
    for name, values in first.channels.items():
        assert np.array_equal(again.channels[name], values, equal_nan=True), name
    for said in ("warnings", "history", "columns", "unread", "seams_s", "misfit_voltage_v"):
        assert getattr(again, said) == getattr(first, said), said


def test_its_own_meaning_of_a_column_still_counts_when_a_person_gives_one(tmp_path):
    write_parquet(read_trace(swift(tmp_path / "swift.csv", 50.0)), tmp_path / "kept.parquet")
    again = read_trace(tmp_path / "kept.parquet", mapping={"throttle_percent": "ignore"}, remember=False)
    assert "throttle_percent" not in again.channels


@pytest.mark.parametrize(
    "altered",
    [
        {MARK: "no JSON"},
        {MARK: "[]"},
        {MARK: json.dumps({"made_as": 1})},
        {MARK: json.dumps({"made_as": 2, "warnings": []})},
        {},
    ],
)
def test_a_file_whose_mark_is_not_ours_is_read_by_its_headings(tmp_path, altered):
    frame = pl.DataFrame({"time_s": np.arange(50) / 20.0, "head_speed_rpm": np.full(50, 1800.0)})
    frame.write_parquet(tmp_path / "odd.parquet", metadata=altered)
    assert kept_trace.kept_trace("odd", content_of(tmp_path / "odd.parquet")) is None
    assert read_trace(tmp_path / "odd.parquet").has("head_speed_rpm")


@pytest.mark.parametrize(
    "columns",
    [
        {"time_s": [0.0, 0.0, 1.0], "duty": [0.1, 0.2, 0.3]},
        {"time_s": [0.0, None, 1.0], "duty": [0.1, 0.2, 0.3]},
        {"time_s": [0.0, 1.0, 2.0], "no_such_channel": [0.1, 0.2, 0.3]},
        {"duty": [0.1, 0.2, 0.3], "time_s": [0.0, 1.0, 2.0]},
        {"time_s": [0.0, 1.0, 2.0], "duty": [1, 2, 3]},
    ],
)
def test_a_marked_file_that_was_altered_is_not_believed(tmp_path, columns):
    trace = read_trace(swift(tmp_path / "swift.csv", 50.0))
    pl.DataFrame(columns).write_parquet(tmp_path / "bad.parquet", metadata=kept_trace.said_of(trace))
    assert kept_trace.kept_trace("bad", content_of(tmp_path / "bad.parquet")) is None
