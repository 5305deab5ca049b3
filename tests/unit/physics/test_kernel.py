import ast
import math
import os
import stat
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numba
import numba.core.errors
import numpy as np
import pytest

from steadyhead.flight.governor_step import run_step
from steadyhead.physics import kernel as kernel_module
from steadyhead.physics.air import standard_air
from steadyhead.physics.kernel import (
    KERNEL_FOLDERS,
    PREFIX,
    at_hand,
    cache_folder,
    interpreted,
    kernel,
    prune,
    source_of,
    sources_digest,
)
from steadyhead.physics.pack import cell_open_circuit
from steadyhead.physics.rotor import Rotor, axial_loads
from steadyhead.physics.section import model_section
from steadyhead.physics.trim import Stop, collective_for_thrust

ROTOR = Rotor(2.0, 0.69, 0.1, 0.054, 0.0)
LEAF = "from trap.kernel import kernel\n\n\n@kernel\ndef leaf(x_m: float) -> float:\n    return x_m * {factor}\n"
CALLER = (
    "from trap.kernel import CACHE_FOLDER, kernel\nfrom trap.leaf import leaf\n\n\n"
    "@kernel\ndef caller(x_m: float) -> float:\n    return leaf(x_m) + 1.0\n\n\n"
    "print(CACHE_FOLDER.name, caller(2.0))\n"
)


@kernel
def is_missing(value_m: float) -> bool:
    return math.isnan(value_m)


@kernel
def halved(x_m: float) -> float:
    return 0.5 * x_m


@kernel
def less(x_m: float) -> float:
    return halved(x_m) - 1.0


@kernel
def over(top_m: float, bottom_m: float) -> float:
    return top_m / bottom_m


def run_trap(folder: Path) -> list[str]:
    # Python's own bytecode knows an edit by second and size only: without it the trap is numba's alone.
    own = {"STEADYHEAD_CACHE": str(folder / "cache"), "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1"}
    environment = {**os.environ, **own}
    done = subprocess.run(
        [sys.executable, "-m", "trap.caller"], env=environment, capture_output=True, text=True, check=True, cwd=folder
    )
    return done.stdout.split()


def test_an_edit_to_a_leaf_kernel_reaches_its_caller_in_another_file(tmp_path):
    package = tmp_path / "trap"
    package.mkdir()
    (package / "__init__.py").write_text("")
    (package / "kernel.py").write_text(Path(kernel_module.__file__).read_text("utf-8"))
    (package / "caller.py").write_text(CALLER)
    (package / "leaf.py").write_text(LEAF.format(factor=3.0))
    first_folder, first = run_trap(tmp_path)
    again_folder, again = run_trap(tmp_path)
    (package / "leaf.py").write_text(LEAF.format(factor=5.0))
    edited_folder, edited = run_trap(tmp_path)
    assert (first, again, edited) == ("7.0", "7.0", "11.0")
    assert first_folder == again_folder
    assert edited_folder != first_folder


def test_the_digest_follows_every_source_and_every_file_name(tmp_path):
    (tmp_path / "a.py").write_text("x = 1\n")
    before = sources_digest(tmp_path)
    (tmp_path / "a.py").write_text("x = 2\n")
    edited = sources_digest(tmp_path)
    (tmp_path / "a.py").rename(tmp_path / "b.py")
    renamed = sources_digest(tmp_path)
    assert len({before, edited, renamed}) == 3


def test_a_missing_number_stays_missing_under_the_flags():
    assert is_missing(math.nan)
    assert not is_missing(0.0)


@pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="plain Python raises where a kernel gives inf or NaN")
def test_a_division_by_zero_gives_inf_or_nan_and_does_not_raise():
    assert math.isnan(over(0.0, 0.0))
    assert over(1.0, 0.0) == math.inf


@pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="plain Python cannot make a whole number of NaN")
def test_a_missing_number_goes_through_a_whole_rotor_and_the_search_ends():
    air = standard_air(0.0, 288.15)
    assert math.isnan(axial_loads(ROTOR, model_section(), air, 200.0, math.nan, 0.0).thrust_n)
    assert math.isnan(axial_loads(ROTOR, model_section(), air, 200.0, 0.1, math.nan).power_w)
    _, code = collective_for_thrust(ROTOR, model_section(), air, math.nan, 30.0, 0.0)
    assert code != Stop.DONE


def test_threads_may_call_one_kernel_at_once():
    air, section = standard_air(0.0, 288.15), model_section()

    def thrust(pitch_rad: float) -> float:
        return sum(axial_loads(ROTOR, section, air, 200.0, pitch_rad, 0.0).thrust_n for _ in range(50))

    pitches = [0.02 * step for step in range(8)]
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(thrust, pitches))
    assert together == [thrust(pitch) for pitch in pitches]


def test_the_cache_folder_is_made_where_it_is_asked_for(tmp_path, monkeypatch):
    monkeypatch.setenv("STEADYHEAD_CACHE", str(tmp_path))
    folder = cache_folder(Path(kernel_module.__file__).parent)
    assert folder.is_dir()
    assert folder.parent == tmp_path / "steadyhead"


def test_a_home_that_cannot_be_written_falls_back_to_a_folder_of_this_process(tmp_path, monkeypatch):
    taken = tmp_path / "file"
    taken.write_text("no folder can be made under a file")
    monkeypatch.setenv("STEADYHEAD_CACHE", str(taken))
    folder = cache_folder(Path(kernel_module.__file__).parent)
    assert folder.is_dir()
    assert tmp_path not in folder.parents
    assert stat.S_IMODE(folder.stat().st_mode) & 0o077 == 0 or os.name == "nt"


@pytest.mark.parametrize(("age_days", "stays"), [(60.0, False), (3.0, True)])
def test_only_folders_untouched_for_a_month_are_pruned(tmp_path, age_days, stays):
    current, other, foreign = (tmp_path / name for name in (PREFIX + "now", PREFIX + "old", "notes"))
    for folder in (current, other, foreign):
        folder.mkdir()
        (folder / "kept.nbi").write_text("")
        when = time.time() - age_days * 86400.0
        os.utime(folder / "kept.nbi", (when, when))
        os.utime(folder, (when, when))
    prune(current)
    assert current.is_dir()
    assert foreign.is_dir()
    assert other.is_dir() is stays


def test_no_kernel_returns_an_array():
    """Its caller may not count references, and would never free it."""
    for folder in KERNEL_FOLDERS:
        for path in folder.glob("*.py"):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.FunctionDef) and any("kernel" in ast.unparse(d) for d in node.decorator_list):
                    assert node.returns is None or "NDArray" not in ast.unparse(node.returns), node.name


@pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="nothing is compiled")
def test_references_are_counted_where_an_array_is_made_and_nowhere_else():
    assert source_of(run_step).__name__ == "run_step"
    assert run_step.targetoptions["_nrt"] is True
    assert axial_loads.targetoptions["_nrt"] is False

    @kernel
    def hidden(values_m: np.ndarray) -> float:
        return (values_m + values_m)[0]

    with pytest.raises(numba.core.errors.NumbaError):
        hidden(np.ones(3))


def test_the_python_source_of_a_kernel_stays_within_reach():
    assert source_of(over)(1.0, 4.0) == 0.25 == over(1.0, 4.0)
    assert not hasattr(source_of(over), "py_func")


def test_an_interpreted_kernel_gives_the_same_numbers_and_compiles_nothing_that_it_calls():
    assert interpreted(less)(7.0) == 2.5
    assert not getattr(less, "signatures", ())
    assert not getattr(halved, "signatures", ())
    for charge in np.linspace(-0.1, 1.1, 25):
        assert interpreted(cell_open_circuit)(charge) == pytest.approx(cell_open_circuit(charge), rel=1e-14)


@pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="nothing is compiled")
def test_a_kernel_that_has_been_loaded_is_taken_as_it_is():
    @kernel
    def tripled(x_m: float) -> float:
        return 3.0 * x_m

    assert at_hand(tripled) is interpreted(tripled)
    tripled(1.0)
    assert at_hand(tripled) is tripled


@pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="nothing is compiled")
def test_a_kernel_called_by_kernels_alone_is_not_compiled_for_python():
    @kernel
    def doubled(x_m: float) -> float:
        return 2.0 * x_m

    @kernel
    def more(x_m: float) -> float:
        return doubled(x_m) + 1.0

    assert more(2.0) == 5.0
    assert not doubled.overloads
    assert doubled(3.0) == 6.0
    assert doubled.overloads


def test_no_kernel_runs_threads_of_its_own():
    """Threads of numba's own abort the process when two threads call one kernel; ours let go of the lock instead."""
    for folder in KERNEL_FOLDERS:
        for path in folder.glob("*.py"):
            words = set(ast.unparse(ast.parse(path.read_text("utf-8"))).replace("(", " ").replace("=", " ").split())
            assert not words & {"prange", "numba.prange", "parallel"}, path.name
    assert numba.config.DISABLE_JIT or vars(axial_loads)["targetoptions"]["nogil"] is True
