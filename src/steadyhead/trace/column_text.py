"""Column meanings typed on the command line: `HEADING=MEANING:UNIT`."""

from collections.abc import Sequence

from steadyhead.words.errors import InputError


def columns_from_text(texts: Sequence[str]) -> dict[str, str]:
    """Return what was typed, by heading; the last `=` parts heading and meaning, so a heading may hold one.

    Raises: InputError when a text has no `=`, or nothing on one side of it.
    """
    columns: dict[str, str] = {}
    for text in texts:
        heading, _, meaning = text.rpartition("=")
        if not heading.strip() or not meaning.strip():
            raise InputError(
                "--column", read=repr(text), right='HEADING=MEANING:UNIT, such as "speed A=head_speed_rpm:rpm"'
            )
        columns[heading.strip()] = meaning.strip()
    return columns
