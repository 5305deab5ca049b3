"""Column meanings typed on the command line: `HEADING=MEANING:UNIT`."""

import re
from collections.abc import Iterator, Sequence

from steadyhead.words.errors import InputError

_HINT = re.compile(r'^--column\s+(?P<quote>["\']?)(?P<said>.*?)(?P=quote)$')


def columns_from_text(texts: Sequence[str]) -> dict[str, str]:
    """Return what was typed, by heading; the last `=` parts heading and meaning, so a heading may hold one.

    A text may hold several, one a line or parted by `;`, each as a hint shows it: with `--column` before it or not.
    Raises: InputError when a text has no `=`, or nothing on one side of it.
    """
    columns: dict[str, str] = {}
    for text in (one for typed in texts for one in _parted(typed)):
        heading, _, meaning = text.rpartition("=")
        if not heading.strip() or not meaning.strip():
            raise InputError(
                "--column", read=repr(text), right='HEADING=MEANING:UNIT, such as "speed A=head_speed_rpm:rpm"'
            )
        columns[heading.strip()] = meaning.strip()
    return columns


def _parted(typed: str) -> Iterator[str]:
    """Yield each text that is typed; a `;` parts only where a meaning stands on both of its sides."""
    for line in typed.splitlines() or [typed]:
        parts = line.split(";")
        for part in parts if all("=" in one or not one.strip() for one in parts) else [line]:
            if part.strip() or not typed.strip():
                yield _HINT.sub(lambda found: found["said"], part.strip())
