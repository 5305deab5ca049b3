"""Many rows at once on threads; compiled kernels leave Python free meanwhile."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

WORKERS = 2
BATCH = 100


def in_batches(count: int, part: Callable[[slice], None], *, each: int = BATCH, threads: int = WORKERS) -> None:
    """Do `part` for every batch of rows, `each` of them; what it raises is raised here."""
    pool = ThreadPoolExecutor(threads)
    try:
        list(pool.map(lambda first: part(slice(first, min(first + each, count))), range(0, count, each)))
    finally:
        # Someone who stops the work does not wait for the batches still in the queue.
        pool.shutdown(cancel_futures=True)
