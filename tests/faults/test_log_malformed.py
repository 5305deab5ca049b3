"""Every broken file behaves as MALFORMED.csv says."""

import csv
import gzip
import struct
from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.reading import read_trace
from steadyhead.words.errors import InputError

FOLDER = Path(__file__).parents[1] / "data" / "malformed"
REFUSED = {
    "empty.csv": "an empty file",
    "header_only.csv": "no data rows",
    "binary_junk.csv": "not text",
    "zip_named_csv.csv": "zip archive",
    "bad_magic.parquet": "no Parquet file",
}
READ = {
    "truncated_row.csv": (399, "the last row is incomplete"),
    "nul_bytes.csv": (400, "NUL bytes in 6 cells"),
    "mixed_delimiters.csv": (200, "200 rows, the first in line 202, do not split"),
    "duplicate_columns.csv": (400, "2 columns are called head speed (rpm) and differ"),
    "time_backwards.csv": (400, "time runs backwards after data row 200"),
    "all_missing_column.csv": (400, "head speed (rpm) holds no value"),
    "formula_cells.csv": (400, ""),
    "huge_values.csv": (400, "impossible values"),
}
MADE_HERE = {"bomb.csv.gz", "lying_header.wav"}


def test_every_file_of_the_list_is_tried() -> None:
    with (FOLDER / "MALFORMED.csv").open(encoding="utf-8", newline="") as file:
        listed = {row["file"] for row in csv.DictReader(file)}
    assert listed == set(REFUSED) | set(READ) | MADE_HERE


@pytest.mark.parametrize("name", REFUSED)
def test_a_file_that_is_no_log_is_refused_in_one_sentence(name: str) -> None:
    with pytest.raises(InputError) as caught:
        read_trace(FOLDER / name)
    said = str(caught.value)
    assert said.startswith(name)
    assert REFUSED[name] in said
    assert "\n" not in said


@pytest.mark.parametrize("name", READ)
def test_a_log_with_a_fault_is_read_and_warned_of(name: str) -> None:
    rows, warning = READ[name]
    trace = read_trace(FOLDER / name)
    assert trace.rows_read == rows
    assert warning in "\n".join(trace.warnings)
    assert np.all(np.diff(trace.time_s) > 0)
    for values in trace.channels.values():
        assert not np.isinf(values).any()


def test_five_absurd_cells_count_as_five_impossible_values() -> None:
    trace = read_trace(FOLDER / "huge_values.csv")
    counts = [int(warning.split()[0]) for warning in trace.warnings if "impossible values" in warning]
    assert sum(counts) == 5
    assert sum(int(np.isnan(values).sum()) for values in trace.channels.values()) == 5


def test_a_packed_file_without_end_is_refused_by_its_size_and_never_held(tmp_path: Path) -> None:
    path = tmp_path / "bomb.csv.gz"
    with gzip.open(path, "wb", compresslevel=9) as file:
        file.write(b"time (s),head speed (rpm)\n")
        for _ in range(50):
            file.write(b"1,2\n" * 1_000_000)
    import tracemalloc

    tracemalloc.start()
    with pytest.raises(InputError, match="size limit"):
        read_trace(path)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 200 * 2**20


def test_a_log_that_packs_well_is_still_read(tmp_path: Path) -> None:
    path = tmp_path / "rest.csv.gz"
    rows = "".join(f"{k * 0.05:.2f},0,0.0,50.01\n" for k in range(20_000))
    path.write_bytes(gzip.compress(("time (s),head speed (rpm),throttle (%),voltage (V)\n" + rows).encode(), 9))
    assert read_trace(path).rows_read == 20_000


def test_a_sound_file_with_a_lying_header_is_refused_by_its_length(tmp_path: Path) -> None:
    path = tmp_path / "lying_header.wav"
    samples = struct.pack("<2000h", *range(2000))
    form = struct.pack("<HHIIHH", 1, 1, 22050, 44100, 2, 16)
    head = b"RIFF" + struct.pack("<I", 1_800_000_036) + b"WAVEfmt " + struct.pack("<I", 16) + form
    path.write_bytes(head + b"data" + struct.pack("<I", 1_800_000_000) + samples)
    with pytest.raises(InputError, match="promises 1800000000 bytes of samples over 4000 bytes: the length is wrong"):
        read_trace(path)
    path.write_bytes(head + b"data" + struct.pack("<I", 4000) + samples)
    with pytest.raises(InputError, match="steadyhead listen MACHINE"):
        read_trace(path)
