"""The terminal view of `check`."""

from rich.table import Table

from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, console, show_json, text, word
from steadyhead.machine.survey import Entry, Survey


def _table(title: str, entries: tuple[Entry, ...]) -> Table:
    table = Table(title=title, title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading in ("key", "value", "note"):
        table.add_column(heading, overflow="fold")
    for entry in entries:
        table.add_row(text(entry.key), text(entry.value), text(entry.note))
    return table


def show_check(result: Survey, *, as_json: bool) -> None:
    """Show what was given, what is typical, what is missing, what looks implausible."""
    if as_json:
        show_json(result)
        return
    out = console()
    invented = ", invented" if result.invented else ""
    head = f"{result.machine}, size class {result.size_class}, revision {result.machine_revision}{invented}"
    out.print(f"[bold]{text(head)}[/]\n")
    print_table(out, _table("Given", result.given))
    out.print()
    print_table(out, _table("Typical for the size class: measure them when you can", result.typical))
    bullets(out, "Missing: what rests on these stays unknown", result.missing)
    bullets(out, "Looks implausible: read these again", result.implausible)
    out.print(f"\ncheck: {word(result.verdict)}")
