"""The mark of a simulated trace in its file: what a log proves, a simulation does not."""

from collections.abc import Sequence

NO_EVIDENCE = "a simulation is no evidence of what the machine does"
MARK = "simulated by steadyhead"
"""By which a reader knows it again, also where a spreadsheet put quotes or empty cells round the line."""
REMARK = f"{MARK}: {NO_EVIDENCE}"
"""The line in the file: above the headings of a CSV, in the words of a Parquet file. It holds no comma and no quote, so
that it stays one cell in whatever program opens it."""
FLOWN = "a log of a flight of the machine itself"
"""What would settle what a simulation leaves open."""


def says_simulated(remarks: Sequence[str]) -> bool:
    """Whether what stands beside a table says that it was simulated."""
    return any(MARK in said for said in remarks)
