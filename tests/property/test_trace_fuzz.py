"""Whatever bytes come, a trace in order or one sentence of ours comes out, soon, and in bounded memory.

FUZZ_CASES sets how many cases each test draws; the manual tells how many were run once.
"""

import os
import random
import resource
import time
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyhead.trace import text_file
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.words.errors import SteadyheadError

DATA = Path(__file__).parents[1] / "data"
REAL = sorted(
    path
    for path in [*(DATA / "logs").iterdir(), *(DATA / "malformed").iterdir()]
    if path.suffix not in (".json", ".md", "")
)
PIECES = [b",", b";", b"\t", b'"', b"\n", b"\r", b"\0", b"nan", b"inf", b"1e999", b"-", b"--", b"99999999999999999999"]
PIECES += [
    b"\xff",
    b"\xc3",
    b"#",
    b"(rpm)",
    b"[",
    b" ",
    b"0x1F",
    b"1_000",
    b"2031-03-09T10:15:30Z",
    b"12:61:99",
    b"PAR1",
]
PIECES += [b"1,2,3", b"cell 1 (V)", b"head speed (rpm)", b"time (s)", b"\xe2\x80\xa8", b"1.2.3", b"=1+1", b"\x1f\x8b"]
CASES = int(os.environ.get("FUZZ_CASES", "60"))
SLOW = settings(
    max_examples=CASES,
    deadline=None,
    derandomize="FUZZ_CASES" not in os.environ,
    suppress_health_check=list(HealthCheck),
)
MEMORY_LIMIT_MB = 1500.0
"""Half of it is the libraries themselves and the test runner."""
LIMIT_S = 60.0  # processor time; a hang, not a speed: the first file may wait for the quick reader to be compiled


def survives(
    path: Path, data: bytes, quick: bool, monkeypatch: pytest.MonkeyPatch, mapping: dict[str, str] | None = None
) -> None:
    monkeypatch.setattr(text_file, "_QUICK_FROM", 0 if quick else 1 << 40)
    path.write_bytes(data)
    start = time.process_time()
    try:
        trace = read_trace(path, gearing=Gearing(9.0, 5.0, 12.0), mapping=mapping, remember=False)
    except SteadyheadError as error:
        said = str(error)
        assert "\n" not in said.strip()
        assert len(said) < 1500
    else:
        assert trace.time_s[0] == 0.0
        assert np.all(np.diff(trace.time_s) > 0)
        assert trace.row.shape == trace.time_s.shape
        assert trace.rows_read >= trace.time_s.size
        for values in trace.channels.values():
            assert values.shape == trace.time_s.shape
            assert not np.isinf(values).any()
    assert time.process_time() - start < LIMIT_S


@pytest.mark.parametrize("quick", [False, True])
@SLOW
@given(data=st.binary(max_size=3000))
def test_any_bytes_are_survived(quick: bool, data: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    survives(tmp_path / "fuzz", data, quick, monkeypatch)


CELL = st.one_of(
    st.floats().map(repr),
    st.integers(-(10**20), 10**20).map(str),
    st.sampled_from(
        ["", "--", "nan", "1,5", "1.234,5", "12:30:01", "2031-03-09", '"', "°C", "=1", "x", " 3 ", "5 V", "1e400"]
    ),
    st.text(max_size=6),
)
NAME = st.sampled_from(
    [
        "time (s)",
        "Zeit",
        "head speed (rpm)",
        "rpm",
        "rpm",
        "cell 1 (V)",
        "cell 2 (V)",
        "duty",
        "throttle (µs)",
        "%",
        "",
        "mAh",
    ]
)


@pytest.mark.parametrize("quick", [False, True])
@SLOW
@given(
    names=st.lists(NAME, min_size=1, max_size=6),
    rows=st.lists(st.lists(CELL, min_size=1, max_size=7), max_size=25),
    delimiter=st.sampled_from([",", ";", "\t", "|", " "]),
)
def test_any_table_is_survived(
    quick: bool,
    names: list[str],
    rows: list[list[str]],
    delimiter: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    timed = [[str(0.05 * at), *row] for at, row in enumerate(rows)]
    text = "\n".join(delimiter.join(row) for row in [["t", *names], *timed])
    survives(tmp_path / "fuzz", text.encode("utf-8", "surrogatepass"), quick, monkeypatch)


@pytest.mark.parametrize("path", REAL, ids=lambda path: path.name)
@pytest.mark.parametrize("seed", range(8))
def test_a_spoilt_log_is_survived(path: Path, seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    chance = random.Random(f"{path.name} {seed}")
    data = bytearray(path.read_bytes()[:20_000] if path.suffix not in (".gz", ".parquet") else path.read_bytes())
    for _ in range(chance.choice([1, 5, 40])):
        _spoil(data, chance)
    mapping = chance.choice([None, None, {"column 1": "time_s:50 Hz", "column 2": "head_speed_rpm:rpm"}])
    survives(tmp_path / "fuzz", bytes(data), chance.random() < 0.5, monkeypatch, mapping)


@SLOW
@given(path=st.sampled_from(REAL), seed=st.integers(0, 2**48), quick=st.booleans())
def test_a_log_spoilt_in_many_places_is_survived(
    path: Path, seed: int, quick: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    chance = random.Random(seed)
    data = bytearray(path.read_bytes()[:4_000] if path.suffix not in (".gz", ".parquet") else path.read_bytes())
    for _ in range(chance.choice([1, 5, 40])):
        _spoil(data, chance)
    survives(tmp_path / "fuzz", bytes(data), quick, monkeypatch)


def test_all_of_that_took_bounded_memory() -> None:
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0 < MEMORY_LIMIT_MB


def _spoil(data: bytearray, chance: random.Random) -> None:
    at = chance.randrange(min(len(data), chance.choice([400, 10**9])) + 1)
    deed = chance.random()
    if deed < 0.3 and data:
        data[at % len(data)] = chance.randrange(256)
    elif deed < 0.6:
        data[at:at] = chance.choice(PIECES)
    elif deed < 0.8:
        del data[at : at + chance.choice([1, 3, 50, 1000])]
    elif deed < 0.9:
        other = chance.randrange(len(data) + 1)
        data[at:at] = data[other : other + chance.choice([5, 80, 500])]
    else:
        data[at:at] = bytes(chance.randrange(256) for _ in range(chance.choice([1, 10])))
