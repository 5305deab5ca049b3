"""Things that are no logs, or no files at all, end in one clear sentence and leave nothing behind."""

import gzip
import io
import os
from pathlib import Path

import polars as pl
import pytest

from steadyhead.trace import opening
from steadyhead.trace.reading import read_trace
from steadyhead.words.errors import InputError

LOGS = Path(__file__).parents[1] / "data" / "logs"
ROWS = "".join(f"{k * 0.05:.2f},{2000 + k % 3},48.1\n" for k in range(100))
GOOD = "time (s),head speed (rpm),voltage (V)\n" + ROWS


def refused(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_trace(path)
    said = str(caught.value)
    assert "\n" not in said
    return said


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    assert "no such file" in refused(tmp_path / "nowhere.csv")


def test_a_folder_is_no_log(tmp_path: Path) -> None:
    assert "a folder" in refused(tmp_path)


def test_a_name_that_no_system_allows_is_refused(tmp_path: Path) -> None:
    assert "cannot be read" in refused(tmp_path / ("x" * 3000))
    assert "cannot be read" in refused(tmp_path / "nul\0byte.csv")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_refused_without_waiting_for_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    assert "a pipe or device" in refused(tmp_path / "pipe.csv")


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="this system has no /dev/zero")
def test_a_device_is_refused() -> None:
    assert "a pipe or device" in refused(Path("/dev/zero"))


def test_a_file_that_may_not_be_read_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "shut.csv"
    path.write_text(GOOD, "utf-8")

    def shut(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", shut)
    assert "may not read" in refused(path)


def test_a_file_over_the_size_limit_is_refused_before_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "large.csv"
    path.write_text(GOOD, "utf-8")
    monkeypatch.setattr(opening, "FILE_LIMIT", 1000)
    assert "the size limit" in refused(path)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.95])
def test_a_gzip_that_breaks_off_is_refused(share: float, tmp_path: Path) -> None:
    packed = gzip.compress(GOOD.encode())
    (tmp_path / "cut.csv.gz").write_bytes(packed[: int(len(packed) * share)])
    assert "gzip" in refused(tmp_path / "cut.csv.gz")


def test_a_gzip_in_several_members_is_read_whole(tmp_path: Path) -> None:
    middle = len(GOOD) // 2
    parts = (GOOD[:middle], GOOD[middle:])
    (tmp_path / "two.csv.gz").write_bytes(b"".join(gzip.compress(part.encode()) for part in parts))
    assert read_trace(tmp_path / "two.csv.gz").rows_read == 100


@pytest.mark.parametrize("at", [4, 40, 400, -30, -9, -5])
def test_a_spoilt_parquet_file_is_refused(at: int, tmp_path: Path) -> None:
    buffer = io.BytesIO()
    pl.read_csv(io.StringIO(GOOD)).write_parquet(buffer)
    spoilt = bytearray(buffer.getvalue())
    for step in range(4):
        spoilt[at + step if at >= 0 else at - step] ^= 0xFF
    path = tmp_path / "spoilt.parquet"
    path.write_bytes(spoilt)
    said = ""
    try:
        rows = read_trace(path).rows_read
    except InputError as error:
        rows, said = 0, str(error)
    assert rows == 100 or path.name in said


def test_a_parquet_file_that_breaks_off_is_refused(tmp_path: Path) -> None:
    data = (LOGS / "coast_down.parquet").read_bytes()
    (tmp_path / "cut.parquet").write_bytes(data[: len(data) // 2])
    assert "breaks off" in refused(tmp_path / "cut.parquet")


@pytest.mark.parametrize(
    ("name", "start", "said"),
    [
        ("log.csv", b"%PDF-1.7 ", "PDF"),
        ("log.csv", b"\x89PNG\r\n\x1a\n", "picture"),
        ("log.csv", b"\x7fELF", "program"),
        ("log.csv", b"SQLite format 3\x00", "database"),
        ("log.txt", b"7z\xbc\xaf\x27\x1c", "7z"),
    ],
)
def test_a_foreign_file_is_called_what_it_is(name: str, start: bytes, said: str, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(start + bytes(range(256)) * 4)
    assert said in refused(tmp_path / name)


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("just a letter\nto a friend\nwith no table\n", "no data rows"),
        ("a\n1\n2\n3\n", "one column"),
        ("time (s),head speed (rpm)\n0.0,1,2,3\n0.1,1,2,3\n", "2 headings over rows of 4 cells"),
        ("time (s),head speed (rpm)\n0.0,1\n", "two rows or more"),
        ("time (s),head speed (rpm)\n0,05,1\n0,10,1\n", "2 headings over rows of 3 cells"),
        ("time (s),a,b,c\n0.0,1\n0.1,1\n", "4 headings over rows of 2 cells"),
        ("time (s),head speed (rpm)\n3,1\n1,1\n2,1\n0,1\n", "a time that does not go forward"),
        (",".join(map(str, range(3000))) + "\n", "3000 columns"),
        ("\n\n\n\n", ""),
        (",,,\n,,,\n,,,\n", ""),
    ],
)
def test_text_that_is_no_log_says_what_is_wrong(body: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "odd.csv"
    path.write_text(body, "utf-8")
    assert said in refused(path)


def test_headings_written_again_in_the_middle_are_left_out_and_said(tmp_path: Path) -> None:
    path = tmp_path / "twice.csv"
    later = "".join(f"{5 + k * 0.05:.2f},2000,48.1\n" for k in range(100))
    path.write_text(GOOD + GOOD.split("\n", 1)[0] + "\n" + later, "utf-8")
    trace = read_trace(path)
    assert trace.rows_read in (200, 201)
    assert trace.time_s.size == 200
    assert trace.warnings


def test_one_open_quote_costs_its_line_only(tmp_path: Path) -> None:
    path = tmp_path / "quote.csv"
    path.write_text(GOOD.replace("\n1.00,", '\n"1.00,'), "utf-8")
    trace = read_trace(path)
    assert trace.rows_read == 100
    assert "a quote that does not close" in trace.warnings[0]


def test_nothing_is_left_in_the_temporary_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    monkeypatch.setenv("TMPDIR", str(temporary))
    monkeypatch.setattr("tempfile.tempdir", None)
    for path in sorted(LOGS.glob("*.gz")) + sorted(LOGS.glob("*.parquet")):
        read_trace(path)
    (tmp_path / "cut.csv.gz").write_bytes(gzip.compress(GOOD.encode())[:90])
    refused(tmp_path / "cut.csv.gz")
    assert list(temporary.iterdir()) == []
