"""What a worker process does: one call of the contents page after another, each answered or refused in words.

It may begin processes of its own, as a study does; it ends when the server has ended.
"""

import inspect
import os
import signal
from multiprocessing import parent_process
from multiprocessing.connection import Connection
from threading import Thread

STEP, RESULT, FAILED = "step", "result", "failed"


def serve_tasks(pipe: Connection) -> None:
    """Answer calls until the other end is closed."""
    from steadyhead import job
    from steadyhead.words.errors import SteadyheadError

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_server, daemon=True).start()
    while True:
        try:
            name, given, named = pipe.recv()
        except EOFError:
            return
        function = getattr(job, name)
        if "say" in inspect.signature(function).parameters:
            named = {**named, "say": lambda step: pipe.send((STEP, step))}
        try:
            pipe.send((RESULT, function(*given, **named)))
        except SteadyheadError as error:
            pipe.send((FAILED, str(error)))
        except OSError as error:
            pipe.send((FAILED, f"{error.filename or 'the file system'}: {error.strerror or error}"))
        except Exception as error:  # noqa: BLE001 the last line of this face: a fault of ours must not look like work
            pipe.send((FAILED, f"This is a fault of the program, not of your file: {type(error).__name__}: {error}"))


def _end_with_server() -> None:
    server = parent_process()
    if server is not None:
        server.join()
        os._exit(1)
