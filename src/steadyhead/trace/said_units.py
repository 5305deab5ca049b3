"""A unit that a person says and the heading contradicts: both are told."""

from steadyhead.trace.headings import heading_of
from steadyhead.trace.mapping import Chosen
from steadyhead.trace.table import RawTable
from steadyhead.trace.units import Unit


def against_the_heading(table: RawTable, chosen: dict[int, Chosen]) -> list[str]:
    """Return a warning for each column whose own heading, or unit row, says another unit than the person does."""
    warnings = []
    for at, said in chosen.items():
        column = table.columns[at]
        written = heading_of(column.heading, column.unit).unit
        if said.unit is None or written is None or written.dimension != said.unit.dimension or _is_speed(written):
            continue
        if said.unit.factor in (written.factor, written.other_factor) and _degrees(said.unit) == _degrees(written):
            continue
        warnings.append(
            f"{column.heading}: read in {said.unit.said}, as you said, though its heading says {written.said}"
        )
    return warnings


def _degrees(unit: Unit) -> str:
    """Return c, f or k for a temperature, nothing for any other unit."""
    return unit.key.removeprefix("deg")[:1] if unit.dimension == "temperature" else ""


def _is_speed(unit: Unit) -> bool:
    """Whether it is a unit of rotation: `RPM` is what people call the column, also one in tenths."""
    return unit.dimension == "rotation"
