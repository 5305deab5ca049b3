"""A study on a cluster: Dask distributed, an optional extra."""

from contextlib import ExitStack
from typing import Any

from steadyhead.study.asked import Study
from steadyhead.study.chunks import Chunk
from steadyhead.study.run import Done, solved_chunk
from steadyhead.words.errors import InputError

LOCAL = "local"
CONNECT_S = 15
RETRIES = 3
"""How often a chunk is given to another worker when the one that had it was lost."""


def on_cluster(study: Study, to_do: list[Chunk], scheduler: str, workers: int | None) -> Done:
    """Yield each chunk as a cluster has done it; workers need the same version of this package installed.

    Raises: InputError when the extra is not installed or no scheduler answers at the address.
    """
    try:
        import distributed
    except ImportError as error:
        right = "python -m pip install 'steadyhead[cluster]'"
        raise InputError("--scheduler", read="a cluster, whose library is not installed", right=right) from error
    dask: Any = distributed
    import dask as settings

    with ExitStack() as stack:
        stack.enter_context(settings.config.set({"distributed.worker.profile.enabled": False}))
        address = scheduler
        if scheduler == LOCAL:
            cluster = dask.LocalCluster(
                n_workers=workers, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
            )
            address = stack.enter_context(cluster).scheduler_address
        try:
            client = stack.enter_context(dask.Client(address, timeout=CONNECT_S))
        except (OSError, ValueError) as error:
            right = 'the address of a running scheduler, such as tcp://10.0.0.2:8786, or "local"'
            raise InputError("--scheduler", read=f"{scheduler}, where none answers", right=right) from error
        held = client.scatter(study, broadcast=True)
        waiting = {
            client.submit(solved_chunk, held, chunk.first, chunk.last, retries=RETRIES, pure=False): chunk
            for chunk in to_do
        }
        for done in dask.as_completed(list(waiting)):
            yield waiting[done], done.result()
            done.release()
