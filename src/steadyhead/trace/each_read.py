"""Several logs, of which one may be no log: it is left out and named, and takes none of the others with it."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TypeVar

from steadyhead.words.errors import InputError
from steadyhead.words.progress import Say, silent

Found = TypeVar("Found")


def left_out(unread: str) -> str:
    """Return the warning of a log that could not be read, from the sentence that says why."""
    return f"left out, and not judged: {unread}"


def each_read(
    read: Callable[[Path], Found], logs: Iterable[tuple[str, Path]], say: Say = silent, *, all_may_fail: bool = False
) -> tuple[list[tuple[str, Found]], tuple[str, ...]]:
    """Return what was read of each log, by what it is called, and of each that cannot be read a sentence that says why.

    `logs`: what each is called, and where it lies. Raises: InputError when no log can be read, unless all may fail.
    """
    found, unread, first = [], [], None
    for name, log in logs:
        say(f"judge {Path(name).name}")
        try:
            found.append((name, read(log)))
        except InputError as error:
            unread.append(f"{name}: {error.said}")
            first = first or error
    if first is not None and not found and not all_may_fail:
        raise first
    return found, tuple(unread)
