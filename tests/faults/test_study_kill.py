"""A study that is killed goes on where it was: nothing done twice, nothing lost, the same result with any workers."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import polars as pl
import pytest
from polars.testing import assert_frame_equal

from steadyhead import job
from steadyhead.study import run
from steadyhead.study.chunks import chunks
from steadyhead.study.study_file import read_study

LAST_DIGITS = 1e-9
"""A kernel just compiled and the same one out of the cache may be laid together otherwise: last digits differ."""
STUDY = """
machine = "wren450"
draws = 48
spreads = ["motor.kv", "airframe.mass"]
check = "duty_margin"
"""
PROGRAM = """
import sys
from pathlib import Path

from steadyhead import job

if __name__ == "__main__":
    job.study(Path(sys.argv[1]), Path(sys.argv[2]), workers=int(sys.argv[3]))
"""


@pytest.fixture(scope="module")
def file(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("study") / "s.toml"
    path.write_text(STUDY, "utf-8")
    return path


@pytest.fixture(scope="module")
def whole(file, tmp_path_factory) -> pl.DataFrame:
    """The study worked out by one process, never stopped."""
    folder = tmp_path_factory.mktemp("whole")
    answer = job.study(file, folder, workers=1)
    assert [path.name for path in answer.written] == ["rows.parquet", "summary.json", "study.svg"]
    return pl.read_parquet(folder / "rows.parquet")


def parts(folder: Path) -> dict[str, int]:
    return {path.name: path.stat().st_mtime_ns for path in (folder / "chunks").glob("*.parquet")}


@pytest.mark.parametrize("workers", [1, 2])
def test_a_study_killed_half_way_goes_on_and_ends_the_same(file, whole, tmp_path, workers):
    program = tmp_path / "program.py"
    program.write_text(PROGRAM, "utf-8")
    out = tmp_path / "out"
    child = subprocess.Popen([sys.executable, str(program), str(file), str(out), str(workers)], start_new_session=True)
    until = time.monotonic() + 300.0
    while len(parts(out)) < 3 and time.monotonic() < until and child.poll() is None:
        time.sleep(0.02)
    os.kill(child.pid, signal.SIGKILL)
    child.wait()
    kept = parts(out)
    assert 3 <= len(kept) < 48
    until = time.monotonic() + 60.0
    while _group_lives(child.pid) and time.monotonic() < until:
        time.sleep(0.1)
    assert not _group_lives(child.pid), "a worker outlived the program that started it"
    kept = parts(out)
    seen: list[str] = []
    job.study(file, out, workers=1, say=seen.append)
    assert seen[0] == f"{len(kept)} of 48 parts done already"
    assert {name: parts(out)[name] for name in kept} == kept
    assert_frame_equal(pl.read_parquet(out / "rows.parquet"), whole, rel_tol=LAST_DIGITS, abs_tol=0.0)


def _group_lives(group: int) -> bool:
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return False
    return True


def test_a_worker_killed_on_this_machine_is_replaced(file, whole, tmp_path, monkeypatch):
    study = read_study(file)
    real = run.ProcessPoolExecutor
    pools = []

    def watched(*args, **more):
        pools.append(real(*args, **more))
        return pools[-1]

    monkeypatch.setattr(run, "ProcessPoolExecutor", watched)
    done = []
    for chunk, _ in run._on_cores(study, chunks(study, tmp_path), 2):
        done.append(chunk.first)
        if len(done) == 2:
            os.kill(next(iter(pools[0]._processes)), signal.SIGKILL)
    assert sorted(done) == list(range(48))
    assert len(pools) == 2


def test_a_cluster_that_loses_a_worker_ends_the_same(file, whole, tmp_path):
    distributed = pytest.importorskip("distributed")
    study = read_study(file)
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        pids = list(client.run(os.getpid).values())
        killed = []

        def kill_one(step: str) -> None:
            if step.startswith("part 3 ") and not killed:
                os.kill(pids[0], signal.SIGKILL)
                killed.append(pids[0])

        rows = run.worked_out(study, tmp_path, scheduler=cluster.scheduler_address, say=kill_one)
        assert killed
        assert pids[0] not in client.run(os.getpid).values()
    assert_frame_equal(rows, whole, rel_tol=LAST_DIGITS, abs_tol=0.0)


def test_a_scheduler_that_is_not_there_is_one_sentence(file, tmp_path, monkeypatch):
    from steadyhead.study import dask_run
    from steadyhead.words.errors import InputError

    monkeypatch.setattr(dask_run, "CONNECT_S", 1)
    with pytest.raises(InputError, match="where none answers"):
        job.study(file, tmp_path, scheduler="tcp://127.0.0.1:9")
