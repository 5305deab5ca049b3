"""The terminal view of the `record` commands."""

from collections.abc import Mapping

from rich.table import Table

from steadyhead.bench.archive import Exported, Imported
from steadyhead.bench.care import Condition, Contents, Copied
from steadyhead.cli.show import bullets, console, show_json, text, word


def _counted(rows: Mapping[str, int]) -> str:
    return ", ".join(f"{name.replace('_', ' ')} {count}" for name, count in sorted(rows.items()) if count) or "nothing"


def _table(title: str, headings: tuple[str, ...]) -> Table:
    table = Table(title=title, title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading in headings:
        table.add_column(heading, overflow="fold")
    return table


def show_contents(result: Contents, *, as_json: bool) -> None:
    """Show machines, runs and counts."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]record[/] {text(result.record)}, schema {text(result.schema)}")
    out.print(f"logs, recordings and sheets in {text(result.files)}\n")
    machines = _table("Machines", ("machine", "revision", "file", "texts kept", "last kept"))
    for one in result.machines:
        machines.add_row(
            text(one.machine), str(one.revision), text(one.file_name), str(one.texts), text(one.last_kept_on)
        )
    out.print(machines)
    if result.runs:
        runs = _table("Bench runs", ("run", "machine", "revision", "started", "events", "last event"))
        for run in result.runs:
            runs.add_row(
                text(run.run), text(run.machine), str(run.revision), text(run.started_on), str(run.events),
                text(run.last_event_on or "none"),
            )  # fmt: skip
        out.print()
        out.print(runs)
    out.print(f"\nrows: {text(_counted(result.rows))}")


def show_exported(result: Exported, *, as_json: bool) -> None:
    """Say where the archive is and what is in it."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"wrote {text(result.archive)}, {result.bytes} bytes, {result.files} kept files")
    out.print(f"rows: {text(_counted(result.rows))}")


def show_imported(result: Imported, *, as_json: bool) -> None:
    """Say what an archive brought."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]{text(result.archive)}[/] is in {text(result.record)}")
    out.print(f"added: {text(_counted(result.rows_added))}; {result.files_added} kept files")
    out.print(f"there already: {text(_counted(result.rows_known))}")


def show_copied(result: Copied, *, as_json: bool) -> None:
    """Say where the copy is."""
    if as_json:
        show_json(result)
        return
    console().print(f"wrote {text(result.copy)}, {result.bytes} bytes, {result.files_copied} kept files beside it")


def show_condition(result: Condition, *, as_json: bool) -> None:
    """Say whether the record is whole."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]record[/] {text(result.record)}: {word(result.verdict)}")
    out.print(f"rows: {text(_counted(result.rows))}; {result.files} kept files")
    bullets(out, "What is wrong", result.faults)
    bullets(out, "Left by a stopped program; they do no harm", result.leftovers)
