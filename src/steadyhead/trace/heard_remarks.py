"""What a recording left open, written into the trace that was heard, and read back from it."""

from collections.abc import Iterable, Sequence

DOUBT = "heard by ear: "
"""Before each warning of the listener."""
OPEN = "unknown in the recording: "
"""Before the name of each check that the listener left unknown."""
EAR = "heard in the recording: "
"""Before what the sound showed of the machine that no speed shows."""
BLADES_ON, BARE = "main and tail blades", "motor and gears without blades"
"""What it may show: that blades are fitted; that no pitch loads the head."""


def remarks_of(warnings: Iterable[str], unknown: Iterable[str], ear: Iterable[str] = ()) -> tuple[str, ...]:
    """Return the lines that carry a recording's warnings, the checks that stayed unknown, and what its sound showed."""
    said = (DOUBT + " ".join(one.split()) for one in warnings)
    return (*said, *(OPEN + name for name in unknown), *(EAR + one for one in ear))


def ear_in(remarks: Sequence[str]) -> tuple[str, ...]:
    """Return what the sound showed of the machine."""
    found = (said.removeprefix(EAR).strip() for said in remarks if said.startswith(EAR))
    return tuple(said for said in found if said in (BLADES_ON, BARE))


def doubts_in(remarks: Sequence[str]) -> tuple[str, ...]:
    """Return the warnings of the listener that stand above a table."""
    return tuple(said for said in remarks if said.startswith(DOUBT))


def left_open(remarks: Sequence[str]) -> tuple[str, ...]:
    """Return the names of the checks that the listener left unknown."""
    return tuple(said.removeprefix(OPEN).strip() for said in remarks if said.startswith(OPEN))
