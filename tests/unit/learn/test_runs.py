"""A file that holds two runs of its logger teaches what two files do: nothing is fitted over the seam."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from steadyhead.learn.learning import learned
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine, read_machine_text
from steadyhead.trace.trace import Trace
from tests.noisy_flight import COAST_TEXT, logged, noisy_flight

FILE = Path(bundled("fox600"))
MACHINE = read_machine(FILE)
TRUTH = noisy_flight(MACHINE, 10_001, text=COAST_TEXT)
FIRST, SECOND = (logged(TRUTH.machine, TRUTH.clean, np.random.default_rng(seed)) for seed in (1, 2))


def in_one_file() -> Trace:
    """Return both runs in one file, whose clock began again with the second."""
    later = SECOND.time_s + FIRST.time_s[-1] + 0.05
    return replace(
        FIRST,
        source="both.csv",
        time_s=np.concatenate([FIRST.time_s, later]),
        channels={name: np.concatenate([FIRST.channels[name], SECOND.channels[name]]) for name in FIRST.channels},
        row=np.arange(later.size + FIRST.time_s.size),
        seams_s=(float(later[0]),),
    )


def test_two_runs_in_one_file_teach_what_two_files_do() -> None:
    text = read_machine_text(FILE)
    apart = learned(MACHINE, text, [FIRST, SECOND])
    got = learned(MACHINE, text, [in_one_file()])
    assert [p.told for p in got.parameters] == [p.told for p in apart.parameters]
    assert any(p.told for p in got.parameters)
    for one, other in zip(got.parameters, apart.parameters, strict=True):
        if one.told:
            assert one.value == pytest.approx(other.value, rel=0.01), one.key
    assert got.logs == ("both.csv",)
    assert any("2 runs of the logger" in word and "each is learned from by itself" in word for word in got.warnings)
