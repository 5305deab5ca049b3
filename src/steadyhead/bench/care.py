"""Looking after a record: what is in it, whether it is whole, a copy of it while it is in use."""

import os
import sqlite3
import tempfile
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, func, select

from steadyhead.bench.home import files_folder
from steadyhead.bench.kept_files import copy_missing, kept_path, make_folder, orphans, sha256_of, sync_folder
from steadyhead.bench.record import Record
from steadyhead.bench.refusals import told
from steadyhead.bench.tables import HEAD, bench_event, bench_run, kept_file, machine_revision, metadata
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome


@dataclass(frozen=True, kw_only=True)
class KeptMachine:
    """A machine in the record, and what is kept of it."""

    machine: str
    revision: int
    """The revision that was kept last."""
    file_name: str
    texts: int
    """How many different texts of its file are kept."""
    last_kept_on: str


@dataclass(frozen=True, kw_only=True)
class KeptRun:
    """A bench run in the record."""

    run: str
    machine: str
    revision: int
    started_on: str
    events: int
    last_event_on: str | None


@dataclass(frozen=True, kw_only=True)
class Contents:
    """What is in a record."""

    record: Path
    files: Path
    """Folder of logs, recordings and sheets."""
    schema: str
    machines: tuple[KeptMachine, ...]
    runs: tuple[KeptRun, ...]
    rows: dict[str, int]
    """Rows of each table."""


@dataclass(frozen=True, kw_only=True)
class Condition:
    """Whether a record is whole."""

    record: Path
    verdict: Outcome
    faults: tuple[str, ...]
    leftovers: tuple[str, ...]
    """Files that no row names: what a stopped program left. They do no harm."""
    rows: dict[str, int]
    files: int


@dataclass(frozen=True, kw_only=True)
class Copied:
    """A copy of the record."""

    copy: Path
    bytes: int
    files_copied: int


def contents(record: Record) -> Contents:
    """Say what is in the record."""
    last = func.max(machine_revision.c.added_on)
    machines = select(machine_revision, last.label("last"), func.count().label("texts"))
    runs = (
        select(
            bench_run,
            machine_revision.c.machine,
            machine_revision.c.revision,
            func.count(bench_event.c.id).label("events"),
            func.max(bench_event.c.happened_on).label("last"),
        )
        .join(machine_revision, machine_revision.c.id == bench_run.c.machine_revision_id)
        .outerjoin(bench_event, bench_event.c.run_id == bench_run.c.id)
        .group_by(bench_run.c.id)
        .order_by(bench_run.c.started_on)
    )
    with record.reading() as connection:
        known = connection.execute(machines.group_by(machine_revision.c.machine).order_by(machine_revision.c.machine))
        return Contents(
            record=record.path,
            files=record.files,
            schema=HEAD,
            machines=tuple(
                KeptMachine(
                    machine=row.machine, revision=row.revision, file_name=row.file_name, texts=row.texts,
                    last_kept_on=row.last,
                )
                for row in known
            ),
            runs=tuple(
                KeptRun(
                    run=row.id, machine=row.machine, revision=row.revision, started_on=row.started_on,
                    events=row.events, last_event_on=row.last,
                )
                for row in connection.execute(runs)
            ),
            rows=_counts(connection),
        )  # fmt: skip


def _counts(connection: Connection) -> dict[str, int]:
    return {
        table.name: connection.execute(select(func.count()).select_from(table)).scalar_one()
        for table in metadata.sorted_tables
    }


def condition(record: Record) -> Condition:
    """Check every page, every link between rows, and every kept file against its SHA-256."""
    faults = []
    with record.reading() as connection:
        pages = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
        faults += [f"the database: {line}" for line in pages if line != "ok"]
        links = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
        faults += [f"a row of {link[0]} that belongs to no {link[2]}" for link in links]
        kept = connection.execute(select(kept_file)).all()
        rows = _counts(connection)
    with told(record.path):
        for row in kept:
            path = kept_path(record.files, row.sha256, row.ending)
            if not path.is_file():
                faults.append(f"{path.name}: the file is gone")
            elif sha256_of(path) != row.sha256:
                faults.append(f"{path.name}: the file is damaged")
        left = orphans(record.files, {row.sha256 for row in kept}) if record.files.is_dir() else []
    return Condition(
        record=record.path,
        verdict=Outcome.FAIL if faults else Outcome.PASS,
        faults=tuple(faults),
        leftovers=tuple(path.name for path in left),
        rows=rows,
        files=len(kept),
    )


def backup(record: Record, path: Path) -> Copied:
    """Copy the record while it may be in use, whole or not at all, and the kept files beside it.

    Raises: InputError when the copy would be the record itself, or the disk refuses.
    """
    if path.exists() and path.resolve() == record.path.resolve():
        raise InputError(str(path), read="the record itself", right="another name for its copy")
    with told(path):
        make_folder(path.parent)
        copied = copy_missing(record.files, files_folder(path)) if record.files.is_dir() else 0
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
        os.close(handle)
        try:
            _copy(record.path, Path(name))
            os.replace(name, path)
            sync_folder(path.parent)
        finally:
            for left in (name, f"{name}-journal", f"{name}-wal", f"{name}-shm"):
                Path(left).unlink(missing_ok=True)
        copied += copy_missing(record.files, files_folder(path)) if record.files.is_dir() else 0
    return Copied(copy=path, bytes=path.stat().st_size, files_copied=copied)


def _copy(source: Path, target: Path) -> None:
    """Copy with SQLite's own means: other programs may write meanwhile."""
    old, new = sqlite3.connect(source), sqlite3.connect(target)
    try:
        old.backup(new)
        new.execute("PRAGMA journal_mode=DELETE")
    finally:
        old.close()
        new.close()
