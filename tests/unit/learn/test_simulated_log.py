"""A file that says that it was simulated tells nothing of the machine: learn leaves it out and says why."""

from pathlib import Path

import pytest

from steadyhead.flight.files import write_trace
from steadyhead.learn.learning import learn
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.trace.simulated import NO_EVIDENCE, REMARK
from steadyhead.words.errors import InputError
from tests.noisy_flight import COAST_TEXT, noisy_flight

FILE = bundled("fox600")


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    trace = noisy_flight(read_machine(FILE), 5, text=COAST_TEXT).trace
    folder = tmp_path_factory.mktemp("logs")
    return write_trace(trace, folder / "own.parquet"), write_trace(trace, folder / "sim.parquet", remarks=(REMARK,))


def test_nothing_is_learned_from_simulations_alone(files: tuple[Path, Path]) -> None:
    with pytest.raises(InputError, match=NO_EVIDENCE):
        learn(Path(FILE), [files[1]])


def test_among_logs_it_is_left_out_and_named(files: tuple[Path, Path]) -> None:
    told = learn(Path(FILE), list(files))
    assert told.logs == (str(files[0]),)
    assert any("sim.parquet" in said and NO_EVIDENCE in said for said in told.warnings)
