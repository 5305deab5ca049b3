"""The `record` commands: what is kept, out into an archive, in from one, a backup, a check."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from steadyhead.cli.ending import end, ending

if TYPE_CHECKING:
    from collections.abc import Sequence

    from steadyhead.bench.run_summary import RunSummary
    from steadyhead.machine.description import Machine
    from steadyhead.report.sheet import Sheet

app = typer.Typer(
    name="record", help="Look after the record of machines, readings, runs and logs.", no_args_is_help=True
)

RecordFile = Annotated[
    Path | None,
    typer.Option("--record", metavar="FILE", help="the record; else in STEADYHEAD_HOME, else in your data folder"),
]
AsJson = Annotated[bool, typer.Option("--json", help="answer as JSON")]
Archive = Annotated[Path, typer.Argument(metavar="ARCHIVE", help="archive (zip)")]


@app.command("list")
@ending
def listed(record: RecordFile = None, as_json: AsJson = False) -> None:
    """Say what is kept: machines, bench runs, and how many rows of each kind."""
    from steadyhead import job
    from steadyhead.cli.show_record import show_contents

    with job.record.known_record(record) as opened:
        show_contents(job.care.contents(opened), as_json=as_json)


@app.command()
@ending
def export(archive: Archive, record: RecordFile = None, as_json: AsJson = False) -> None:
    """Write everything in the record as one archive."""
    from steadyhead import job
    from steadyhead.cli.show_record import show_exported

    with job.record.known_record(record) as opened:
        show_exported(job.archive.export(opened, archive), as_json=as_json)


@app.command("import")
@ending
def bring_in(archive: Archive, record: RecordFile = None, as_json: AsJson = False) -> None:
    """Bring an archive into the record, all of it or nothing; what is there already stays."""
    from steadyhead import job
    from steadyhead.cli.show_record import show_imported

    show_imported(job.bring_in(archive, record), as_json=as_json)


@app.command()
@ending
def backup(
    copy: Annotated[Path, typer.Argument(metavar="FILE", help="name of the copy; its kept files lie beside it")],
    record: RecordFile = None,
    as_json: AsJson = False,
) -> None:
    """Copy the record while it may be in use, with every kept file."""
    from steadyhead import job
    from steadyhead.cli.show_record import show_copied

    with job.record.known_record(record) as opened:
        show_copied(job.care.backup(opened, copy), as_json=as_json)


@app.command()
@ending
def check(record: RecordFile = None, as_json: AsJson = False) -> None:
    """Check every page of the record, every link between rows, and every kept file against its SHA-256."""
    from steadyhead import job
    from steadyhead.cli.show_record import show_condition

    with job.record.known_record(record) as opened:
        result = job.care.condition(opened)
    show_condition(result, as_json=as_json)
    end(result.verdict)


def bench_evidence(machine: "Machine", record: Path | None) -> "RunSummary":
    """Return the last bench run of a machine in the record.

    Raises: InputError when there is none.
    """
    from steadyhead import job
    from steadyhead.words.errors import InputError

    with job.record.known_record(record) as opened:
        found = job.bench.evidence(opened, machine)
        if found is None:
            raise InputError(str(opened.path), read=f"no bench run of {machine.name}", right="one: steadyhead bench")
    return found


def keep_evidence(machine_file: Path, logs: "Sequence[Path]", sheet: "Sheet", record: Path | None) -> None:
    """Keep a sheet, and the logs that it was made from, in the record."""
    from steadyhead import job

    with job.record.open_record(record) as opened:
        revision = job.record.keep_machine(opened, machine_file)
        for log, judgement in zip(logs, sheet.judgements, strict=True):
            job.record.keep_log(opened, revision, judgement, source=log)
        for path in (sheet.files.html, sheet.files.pdf, sheet.files.page_html, sheet.files.page_pdf):
            job.record.keep_sheet(opened, revision, path, sheet.verdict)
