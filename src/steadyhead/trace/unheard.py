"""Keeps off the terminal what a library writes there, past Python, when a broken file makes it stumble."""

import os
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def unheard() -> Iterator[None]:
    """Send what is written on the error stream of the process nowhere, for as long as this lasts."""
    try:
        kept = os.dup(2)
    except OSError:  # no terminal, nothing to keep it from
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 2)
    try:
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)
