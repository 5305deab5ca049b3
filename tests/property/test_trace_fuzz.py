"""Whatever bytes come, a trace in order or one sentence of ours comes out, soon, and in bounded memory.

Some cases here; `scripts/fuzz_files.py` reads very many of the same, and the manual tells how many were read once.
"""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.property.file_cases import MAKERS, Case, case_of
from tests.property.surviving import survive

FOUND = {
    451: "the reading library's sentence quoted half the file",
    3746: "it warned on the terminal, rows were lost behind a quote",
    5487: "the same",
    6594: "the same in a packed file, which was read without those rows",
    7857: "an MDF file of 4 kB that promises gigabytes",
    7528: "a pack voltage of zero",
    11795: "the Parquet library wrote on the terminal as it stumbled",
    19616: "the same",
    27398: "the sound library wrote on the terminal",
    38427: "a heading of a thousand characters in a question",
}
"""Cases that were not survived when they were first read."""
READ = (7528,)
FUZZ = Path(__file__).resolve().parents[2] / "scripts" / "fuzz_files.py"
MEMORY_LIMIT_MB = 1000.0
"""Half of it is the libraries themselves."""
QUICK = settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


@QUICK
@given(data=st.binary(max_size=3000), seed=st.integers(0, 1))
def test_any_bytes_are_survived(data: bytes, seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    survive(tmp_path / "fuzz", Case("any bytes", "log", data), seed, monkeypatch)


@pytest.mark.parametrize("first", range(0, 400, 100))
def test_a_hundred_cases_of_every_kind_are_survived(
    first: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    seen = set()
    for seed in range(first, first + 100):
        case = case_of(seed)
        survive(tmp_path / "fuzz", case, seed, monkeypatch)
        seen.add(case.kind)
    assert seen == set(MAKERS)
    heard = capfd.readouterr()
    assert heard.out + heard.err == ""


@pytest.mark.parametrize("seed", FOUND)
def test_a_case_that_was_not_survived_once_is_survived_and_silent(
    seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    assert survive(tmp_path / "fuzz", case_of(seed), seed, monkeypatch) == ("read" if seed in READ else "refused")
    heard = capfd.readouterr()
    assert heard.out + heard.err == ""


def test_a_process_that_only_reads_takes_bounded_memory() -> None:
    """By the command of the manual: a process of its own, since this one holds what other tests took."""
    ran = subprocess.run([sys.executable, str(FUZZ), "300", "400"], capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    counted = re.match(r"300 cases, the first is 400: 0 not survived, peak memory (\d+) MB", ran.stdout)
    assert counted is not None, ran.stdout
    assert float(counted[1]) < MEMORY_LIMIT_MB
