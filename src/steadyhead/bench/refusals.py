"""What SQLite refuses, as one sentence for the person at the bench."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import StatementError

from steadyhead.words.errors import InputError

ANOTHER = "another place for the record: --record FILE or STEADYHEAD_HOME"
BROKEN = "a whole record: take your last backup, or import your last archive into a new one"
SAYS: dict[int, tuple[str, str]] = {
    sqlite3.SQLITE_BUSY: ("a record that another program holds", "one that is free: wait a moment and do it again"),
    sqlite3.SQLITE_LOCKED: ("a record that another window holds", "one that is free: wait a moment and do it again"),
    sqlite3.SQLITE_FULL: ("a full disk; nothing of this step was written", "a disk with room"),
    sqlite3.SQLITE_READONLY: ("a place that may only be read", ANOTHER),
    sqlite3.SQLITE_PERM: ("a place that may not be used", ANOTHER),
    sqlite3.SQLITE_CANTOPEN: ("a file that cannot be opened there", ANOTHER),
    sqlite3.SQLITE_IOERR: ("a disk that fails; nothing of this step was written", ANOTHER),
    sqlite3.SQLITE_CORRUPT: ("a damaged record", BROKEN),
    sqlite3.SQLITE_NOTADB: ("a file that is no record", "a record, or a name that is free"),
    sqlite3.SQLITE_INTERRUPT: ("a question that took too long", "a smaller record, or a quicker disk"),
}
PRIMARY = 0xFF
"""SQLite says the kind of an error in the lowest byte of its code."""


@contextmanager
def told(place: Path) -> Iterator[None]:
    """Turn what SQLite and the disk refuse into one sentence about the record at `place`.

    Raises: InputError.
    """
    try:
        yield
    except StatementError as error:
        raise refusal(place, error.orig) from error
    except sqlite3.Error as error:
        raise refusal(place, error) from error
    except OSError as error:
        raise InputError(
            str(error.filename or place), read=f"what the disk refuses ({error.strerror})", right=ANOTHER
        ) from error


def refusal(place: Path, error: BaseException | None) -> InputError:
    """Return the sentence for one error of SQLite."""
    code = (getattr(error, "sqlite_errorcode", 0) or 0) & PRIMARY
    if code == sqlite3.SQLITE_CANTOPEN and place.is_file() and not os.access(place.parent, os.W_OK):
        code = sqlite3.SQLITE_READONLY
    read, right = SAYS.get(code, (f"what the record refuses ({error})", "rows that fit each other"))
    return InputError(str(place), read=read, right=right)
