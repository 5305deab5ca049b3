"""What the reader of MDF files and the process that takes them apart say to each other."""

from typing import NamedTuple

ROW_LIMIT = 20_000_000
CELL_LIMIT = 60_000_000
FOUND = "found.json"
"""Written last into the folder of the columns: what each of them is, or why there are none."""


class Request(NamedTuple):
    """One file to take apart."""

    path: str
    folder: str
    limit_s: int
    """Processor time that may be used."""
    large: bool
    """Whether it may hold more numbers than memory."""
    only_count: bool = False
    """Whether to say only how many numbers it holds."""
