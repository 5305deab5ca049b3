"""A machine file, read and surveyed."""

from collections.abc import Sequence

from steadyhead.machine.survey import Entry, Survey
from steadyhead.report.content import Cell, Section, Table, columns, points
from steadyhead.report.names import key_name
from steadyhead.report.view import View, view


def check_view(result: Survey) -> View:
    """Return what was given, what is typical, what is missing, what looks implausible."""
    tables = []
    if result.given:
        tables.append(_entries("Given", result.given))
    if result.typical:
        tables.append(_entries("Typical for the size class: measure them when you can", result.typical))
    section = Section(
        anchor="inputs",
        title="What is known of it",
        short="Inputs",
        tables=tuple(tables),
        points=(
            *points("Looks implausible: read these again", result.implausible),
            *points("Missing: what rests on these stays unknown", [key_name(key) for key in result.missing]),
        ),
    )
    facts = [f"Size class {result.size_class}", f"Revision {result.machine_revision}"]
    facts += ["Invented machine"] if result.invented else []
    return view(result.machine, result.verdict, [section], facts)


def _entries(caption: str, entries: Sequence[Entry]) -> Table:
    return Table(
        caption=caption,
        columns=columns("Input", "Value", "Note", words=(0, 1, 2), weights=(2.0, 1.5, 2.0)),
        rows=tuple((Cell(text=key_name(e.key)), Cell(text=e.value), Cell(text=e.note or "–")) for e in entries),
        shape="pairs",
    )
