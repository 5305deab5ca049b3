"""A machine file, read and surveyed."""

from collections.abc import Sequence

from steadyhead.machine.survey import Entry, Survey
from steadyhead.report.content import Cell, Section, Table, columns, points
from steadyhead.report.names import key_name
from steadyhead.report.sentences import tidy
from steadyhead.report.view import View, view

READS_WELL = "The file can be read, and nothing in it looks implausible."
ODD = "Something in the file looks implausible: read it again."
NOT_MEASURED = "What is typical or missing is named below."
PROVES_NOTHING = "This is about the file alone: it proves nothing about the machine."


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
    says = ODD if result.implausible else READS_WELL
    if result.typical or result.missing:
        says += " " + NOT_MEASURED
    facts = [f"Size class {result.size_class}", f"Revision {result.machine_revision}"]
    facts += ["Invented machine"] if result.invented else []
    return view(result.machine, result.verdict, [section], facts, says=f"{says} {PROVES_NOTHING}")


def _entries(caption: str, entries: Sequence[Entry]) -> Table:
    return Table(
        caption=caption,
        columns=columns("Input", "Value", "Note", words=(0, 1, 2), weights=(2.0, 1.5, 2.0)),
        rows=tuple((Cell(text=key_name(e.key)), Cell(text=tidy(e.value)), Cell(text=e.note or "–")) for e in entries),
        shape="pairs",
    )
