"""A trace is written whole or not at all, reads back the same, and harms no spreadsheet."""

import csv
from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace
from steadyhead.trace.writing import harmless, write_csv
from steadyhead.words.errors import InputError

SPEED = np.concatenate([np.linspace(0.0, 2000.0, 60), [np.nan], np.full(39, 2000.1)])
TRACE = Trace(
    source="invented",
    time_s=np.arange(100) * 0.05,
    channels={"head_speed_rpm": SPEED, "duty": SPEED / 3000.0},
    rows_read=100,
)


def test_a_trace_reads_back_as_it_was_written(tmp_path: Path) -> None:
    path = tmp_path / "out.csv"
    write_csv(TRACE, path)
    back = read_trace(path)
    assert np.array_equal(back.time_s, TRACE.time_s)
    assert np.array_equal(back.channels["head_speed_rpm"], SPEED, equal_nan=True)
    assert back.channels["duty"] == pytest.approx(SPEED / 3000.0, nan_ok=True)


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-cmd", "@sum", "\t=1", "\r=1", " =1", "=cmd|' /C calc'!A0"])
def test_a_formula_is_made_harmless(cell: str, tmp_path: Path) -> None:
    assert harmless(cell) == "'" + cell
    write_csv(TRACE, tmp_path / "out.csv", texts={"remark": [cell] * 100})
    with (tmp_path / "out.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {row["remark"] for row in rows} == {"'" + cell}


def test_plain_text_stays_as_it_is() -> None:
    assert harmless("spool-up") == "spool-up"
    assert harmless("") == ""


def test_a_folder_that_is_not_there_is_named_and_nothing_is_left(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_csv(TRACE, tmp_path / "nowhere" / "out.csv")


def test_a_file_that_cannot_be_finished_leaves_nothing_behind(tmp_path: Path) -> None:
    path = tmp_path / "out.csv"
    path.write_text("old", "utf-8")
    with pytest.raises(InputError):
        write_csv(TRACE, path, texts={"remark": ["too short"]})
    assert [p.name for p in tmp_path.iterdir()] == ["out.csv"]
    assert path.read_text("utf-8") == "old"
