"""Works a study out: the chunks that are not done yet, on every core of this machine or on a cluster."""

import os
import time
from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context, parent_process
from pathlib import Path
from threading import Thread

import polars as pl

from steadyhead.flight.batches import WORKERS
from steadyhead.study.asked import IN_ONE_GO, Collects, Study
from steadyhead.study.bail_out_rows import bail_out_rows
from steadyhead.study.chunks import Chunk, chunks, read_rows, write_chunk
from steadyhead.study.design import rows
from steadyhead.study.drawn_machine import solved_rows
from steadyhead.study.peak_rows import peak_rows
from steadyhead.study.table import table_of
from steadyhead.words.errors import SolveError
from steadyhead.words.progress import Say, silent

MOST_STARTS = 3
"""How often the workers are started anew after one of them was killed."""
Done = Iterator[tuple[Chunk, pl.DataFrame]]


def worked_out(
    study: Study, folder: Path, *, workers: int | None = None, scheduler: str | None = None, say: Say = silent
) -> pl.DataFrame:
    """Return every row of a study, working out only the chunks that `folder` does not hold yet.

    Raises: InputError when a cluster is asked for that is not there; SolveError when workers keep being killed;
    OSError when a chunk cannot be written.
    """
    every = chunks(study, folder)
    to_do = [chunk for chunk in every if not chunk.path.is_file()]
    already, began = len(every) - len(to_do), time.monotonic()
    say(f"{already} of {len(every)} parts done already")
    for number, (chunk, found) in enumerate(_engine(study, to_do, workers, scheduler), start=1):
        write_chunk(chunk, found)
        left_s = (time.monotonic() - began) / number * (len(to_do) - number)
        say(f"part {already + number} of {len(every)}, {told_s(left_s)} left")
    return read_rows(every)


def told_s(seconds: float) -> str:
    """Say a time as a person would."""
    return f"{seconds:.0f} s" if seconds < 100.0 else f"{seconds / 60.0:.0f} min"


def solved_chunk(study: Study, first: int, last: int, threads: int = WORKERS) -> pl.DataFrame:
    """Return the rows of one chunk; this is what a worker does. Threads count for what is flown in one go."""
    if study.collects is Collects.BAIL_OUT:
        return bail_out_rows(study, first, last, threads)
    if study.collects is Collects.PEAKS:
        return peak_rows(study, first, last, threads)
    return table_of(solved_rows(study, rows(study, first, last)))


def _engine(study: Study, to_do: list[Chunk], workers: int | None, scheduler: str | None) -> Done:
    if not to_do:
        return iter(())
    if scheduler is not None:
        from steadyhead.study.dask_run import on_cluster

        return on_cluster(study, to_do, scheduler, workers)
    cores = workers or os.cpu_count() or 1
    wanted = min(cores, len(to_do))
    if study.collects in IN_ONE_GO or wanted == 1:
        return _here(study, to_do, cores)
    return _on_cores(study, to_do, wanted)


def _here(study: Study, to_do: list[Chunk], threads: int) -> Done:
    """Yield each chunk, worked out in this process: what is flown in one go has threads, and needs no other process."""
    for chunk in to_do:
        yield chunk, solved_chunk(study, chunk.first, chunk.last, threads)


def _on_cores(study: Study, to_do: list[Chunk], workers: int) -> Done:
    """Yield each chunk as it is done; a killed worker costs only the chunks that were in work."""
    left = {chunk.first: chunk for chunk in to_do}
    for _ in range(MOST_STARTS):
        pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=_follow_parent)
        try:
            waiting: dict[Future[pl.DataFrame], int] = {
                pool.submit(solved_chunk, study, chunk.first, chunk.last): chunk.first for chunk in left.values()
            }
            for done in as_completed(waiting):
                found = done.result()
                yield left.pop(waiting[done]), found
            return
        except BrokenProcessPool:
            continue
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
    raise SolveError(
        f"workers were killed {MOST_STARTS} times, perhaps for want of memory; what is done is kept: again"
    )


def _follow_parent() -> None:
    """End this worker as soon as the program that started it is gone."""
    Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
