"""Rows that look like headings among the data: the same again, or those of another table."""

from collections.abc import Sequence

from steadyhead.trace.headings import heading_of
from steadyhead.trace.sniffing import HEADING_LIMIT, Layout, reads_as_value
from steadyhead.trace.units import units_named


def reads_as_headings(cells: Sequence[str], layout: Layout) -> bool:
    """Whether a row is one of headings: no value in most cells, and words known from headings in half of them."""
    filled = [cell.strip() for cell in cells if cell.strip()]
    words = [cell for cell in filled if not reads_as_value(cell)]
    if len(words) < 2 or 2 * len(words) <= len(filled):
        return False
    own = {heading.casefold() for heading in layout.headings}
    known = sum(cell.casefold() in own or bool(heading_of(cell[:HEADING_LIMIT]).words) for cell in words)
    return 2 * known >= len(words)


def other_heading(cells: Sequence[str], layout: Layout) -> tuple[str, str] | None:
    """Return the first heading of a row that stands where the table has another, and that other; None when all agree.

    The names of devices, which the table may have put before its headings, need not be there.
    """
    given = [cell.strip().lstrip("#/% ") for cell in cells] + [""] * max(0, layout.width - len(cells))
    for said, own in zip(given, layout.headings, strict=False):
        if not _agree(said.casefold(), own.casefold()):
            return said, own
    return None


def _agree(said: str, own: str) -> bool:
    if said[:HEADING_LIMIT] == own or said == own.lstrip("#/% ") or (not said and own.startswith("column ")):
        return True
    if not said or not (own.startswith(said + " ") or own.endswith(" " + said)):
        return False
    rest = (own.removeprefix(said) if own.startswith(said) else own.removesuffix(said)).strip()
    return not any(mark in rest for mark in "([{<") and not units_named(rest)
