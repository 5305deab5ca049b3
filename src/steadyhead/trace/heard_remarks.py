"""What a recording left open, written into the trace that was heard, and read back from it."""

from collections.abc import Iterable, Sequence

DOUBT = "heard by ear: "
"""Before each warning of the listener."""
OPEN = "unknown in the recording: "
"""Before the name of each check that the listener left unknown."""


def remarks_of(warnings: Iterable[str], unknown: Iterable[str]) -> tuple[str, ...]:
    """Return the lines that carry what a recording left open: its warnings, and the checks that stayed unknown."""
    return (*(DOUBT + " ".join(said.split()) for said in warnings), *(OPEN + name for name in unknown))


def doubts_in(remarks: Sequence[str]) -> tuple[str, ...]:
    """Return the warnings of the listener that stand above a table."""
    return tuple(said for said in remarks if said.startswith(DOUBT))


def left_open(remarks: Sequence[str]) -> tuple[str, ...]:
    """Return the names of the checks that the listener left unknown."""
    return tuple(said.removeprefix(OPEN).strip() for said in remarks if said.startswith(OPEN))
