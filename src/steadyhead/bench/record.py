"""The record: what was measured, on which revision of which machine, and what was judged of it.

Every function that adds says so only after SQLite has committed it to the disk.
"""

import json
import uuid
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from threading import Lock
from typing import Any

from sqlalchemy import Connection, Engine, Table, literal_column, select, update
from sqlalchemy.dialects.sqlite import insert

from steadyhead.bench import tables
from steadyhead.bench.home import files_folder, record_path
from steadyhead.bench.kept_files import keep, kept_path, make_folder, parts_of, sha256_of
from steadyhead.bench.log_notes import Noted, brought_body
from steadyhead.bench.moment import now
from steadyhead.bench.opening import TIME_LIMIT_S, WAIT_S, opened, refuse_absent
from steadyhead.bench.refusals import told
from steadyhead.channel.reading_set import checked
from steadyhead.channel.result import Reading
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text, read_machine_text
from steadyhead.machine.rewriting import rewritten
from steadyhead.trace.writing import write_parquet
from steadyhead.words.errors import InputError
from steadyhead.words.plain import plain
from steadyhead.words.verdict import Outcome, Verdict

MAH, MOHM = 1000.0 / 3600.0, 1000.0


@dataclass(frozen=True, kw_only=True)
class Revision:
    """One machine file as it was when it was kept."""

    id: str
    """SHA-256 of its text."""
    machine: str
    revision: int
    file_name: str
    added_on: str


class Record:
    """An open record. Safe to use from several threads, windows and programs at once."""

    def __init__(self, path: Path, engine: Engine) -> None:
        self.path = path
        self.files = files_folder(path)
        self._engine = engine
        self._writes = Lock()
        """One window of this program writes at a time; SQLite sees to the other programs, but gives no fair turns."""

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees one moment of the record.

        Raises: InputError.
        """
        with told(self.path), self._engine.connect() as connection:
            connection.exec_driver_sql("BEGIN")
            yield connection
            connection.rollback()

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give the one connection that may write; what was written is committed when the block ends, all or nothing.

        Raises: InputError.
        """
        with told(self.path), self._writes, self._engine.connect() as connection:
            connection.exec_driver_sql("BEGIN IMMEDIATE")
            yield connection
            connection.commit()

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()

    def __enter__(self) -> "Record":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def open_record(path: Path | None = None, *, time_limit_s: float = TIME_LIMIT_S, wait_s: float = WAIT_S) -> Record:
    """Open the record, making it when it is not there: at `path`, else in STEADYHEAD_HOME, else the data folder.

    Raises: InputError with one sentence when it cannot be opened, is damaged, or a newer steadyhead wrote it.
    """
    where = record_path(path)
    return Record(where, opened(where, time_limit_s=time_limit_s, wait_s=wait_s))


def known_record(path: Path | None = None) -> Record:
    """Open a record that is there, found as `open_record` finds it; none is made.

    Raises: InputError when none is there, and as `open_record`.
    """
    where = record_path(path)
    refuse_absent(where)
    return open_record(where)


def new_id() -> str:
    """Return a name for a row that no other record uses."""
    return uuid.uuid4().hex


def put(connection: Connection, table: Table, row: Mapping[str, Any]) -> None:
    """Add a row, or leave the one that is already there under the same key."""
    connection.execute(insert(table).values(**row).on_conflict_do_nothing())


def keep_machine(record: Record, path: Path) -> Revision:
    """Keep a machine file as it is now: its text, and the packs it names. The same text is kept once.

    Raises: InputError when it cannot be read as a machine.
    """
    return keep_machine_text(record, read_machine_text(path), Path(path).name)


def keep_machine_text(record: Record, text: str, file_name: str) -> Revision:
    """Keep the text of a machine file; one that was kept before is the newest again, under its old key.

    Raises: InputError when it cannot be read as a machine.
    """
    described = machine_from_text(text, file_name)
    key = sha256(text.encode()).hexdigest()
    at = now()
    row = {"id": key, "machine": described.name, "revision": described.revision, "file_name": file_name, "text": text}
    with record.writing() as connection:
        put(connection, tables.machine, {"name": described.name, "added_on": at})
        put(connection, tables.machine_revision, {**row, "added_on": at})
        _made_newest(connection, described.name, key, at)
        for pack in _packs(described):
            put(connection, tables.pack, {**pack, "added_on": at})
    return revision_of(record, key)


def _made_newest(connection: Connection, machine: str, key: str, at: str) -> None:
    """Make a revision the newest of its machine, when another one was kept after it."""
    known = tables.machine_revision
    newest = (
        select(known.c.id).where(known.c.machine == machine).order_by(known.c.added_on.desc(), known.c.revision.desc())
    )
    if connection.execute(newest.limit(1)).scalar_one() != key:
        connection.execute(update(known).where(known.c.id == key).values(added_on=at))


def keep_next(record: Record, revision: Revision, text: str) -> Revision:
    """Keep the text of a machine file as the revision that follows `revision`, under the same name.

    Raises: InputError when it cannot be read as a machine, or is that of another one.
    """
    described = machine_from_text(text, revision.file_name)
    if described.name != revision.machine:
        raise InputError(revision.file_name, read=f"the machine {described.name}", right=revision.machine)
    numbered, _ = rewritten(text, {"machine.revision": f"{revision.revision + 1}"})
    return keep_machine_text(record, numbered, revision.file_name)


def _packs(machine: Machine) -> Iterator[dict[str, Any]]:
    """Yield every pack that a machine file names."""
    for named, cells, capacity, resistance in (
        ("the pack of the machine file", machine.pack.cells, machine.pack.capacity, machine.pack.resistance),
        *((choice.name, choice.cells, choice.capacity, choice.resistance) for choice in machine.pack_choice),
    ):
        row = {
            "machine": machine.name,
            "name": named,
            "cells": int(cells.number),
            "capacity_mah": round(capacity.si * MAH, 6) if capacity else None,
            "resistance_mohm": round(resistance.si * MOHM, 6) if resistance else None,
        }
        yield {"id": sha256(json.dumps(row).encode()).hexdigest(), **row}


def revision_of(record: Record, key: str) -> Revision:
    """Return a machine revision that is kept.

    Raises: InputError when there is none under this key.
    """
    with record.reading() as connection:
        row = connection.execute(select(tables.machine_revision).where(tables.machine_revision.c.id == key)).first()
    if row is None:
        raise InputError(str(record.path), read=f"no machine revision {key[:12]}", right="one that is kept")
    return Revision(
        id=row.id, machine=row.machine, revision=row.revision, file_name=row.file_name, added_on=row.added_on
    )


def kept_machine(record: Record, key: str) -> Machine:
    """Return the machine of a revision that is kept.

    Raises: InputError when there is none, or its text no longer reads as a machine.
    """
    with record.reading() as connection:
        row = connection.execute(select(tables.machine_revision).where(tables.machine_revision.c.id == key)).first()
    if row is None:
        raise InputError(str(record.path), read=f"no machine revision {key[:12]}", right="one that is kept")
    return _machine(row.text, row.file_name)


@lru_cache(maxsize=16)
def _machine(text: str, file_name: str) -> Machine:
    return machine_from_text(text, file_name)


def add_reading(record: Record, revision: Revision, reading: Reading) -> str:
    """Keep one reading; when this returns, it is on the disk.

    Raises: InputError when no running rotor gives it.
    """
    checked(reading)
    with record.writing() as connection:
        return put_reading(connection, revision.id, reading, event_id=None)


def put_reading(connection: Connection, revision_id: str, reading: Reading, *, event_id: str | None) -> str:
    """Add the row of a reading."""
    key = new_id()
    row = {"id": key, "machine_revision_id": revision_id, "event_id": event_id, "taken_on": now()}
    put(connection, tables.reading, {**row, **plain(reading)})
    return key


@dataclass(frozen=True, kw_only=True)
class KeptReading:
    """A reading that was kept outside a bench run."""

    id: str
    reading: Reading
    revision_id: str
    """The machine file that it was taken under."""
    taken_on: str
    left_out: bool


def readings(record: Record, machine: str) -> tuple[Reading, ...]:
    """Return every reading of a machine that was kept outside a bench run and is not left out, oldest first."""
    return tuple(one.reading for one in readings_kept(record, machine) if not one.left_out)


def readings_kept(record: Record, machine: str) -> tuple[KeptReading, ...]:
    """Return every reading of a machine that was kept outside a bench run, as it was taken, oldest first."""
    known, notes = tables.reading, tables.reading_note
    asked = select(known).join(tables.machine_revision, tables.machine_revision.c.id == known.c.machine_revision_id)
    asked = asked.where(tables.machine_revision.c.machine == machine, known.c.event_id.is_(None))
    with record.reading() as connection:
        rows = connection.execute(asked.order_by(known.c.taken_on, literal_column("reading.rowid"))).all()
        told = connection.execute(select(notes).order_by(notes.c.noted_on, literal_column("reading_note.rowid"))).all()
    last = {note.reading_id: note.kind for note in told}
    return tuple(
        KeptReading(
            id=row.id,
            reading=Reading(
                percent=row.percent,
                head_speed_rpm=row.head_speed_rpm,
                spread_rpm=row.spread_rpm,
                source=row.source,
            ),
            revision_id=row.machine_revision_id,
            taken_on=row.taken_on,
            left_out=last.get(row.id) == Noted.LEFT_OUT,
        )
        for row in rows
    )


def note_reading(record: Record, key: str, *, out: bool) -> None:
    """Note that a kept reading is left out, or taken in again; what was noted last holds."""
    kind = (Noted.LEFT_OUT if out else Noted.TAKEN_IN).value
    with record.writing() as connection:
        put(connection, tables.reading_note, {"id": new_id(), "reading_id": key, "kind": kind, "noted_on": now()})


def put_verdicts(
    connection: Connection,
    revision_id: str,
    verdicts: tuple[Verdict, ...],
    *,
    event_id: str | None = None,
    log_id: str | None = None,
) -> None:
    """Add the rows of verdicts."""
    at = now()
    for verdict in verdicts:
        row = {"id": new_id(), "machine_revision_id": revision_id, "event_id": event_id, "log_id": log_id}
        said = {"check": verdict.check, "verdict": verdict.verdict.value, "body": json.dumps(plain(verdict))}
        put(connection, tables.verdict, {**row, **said, "judged_on": at})


def keep_log(
    record: Record,
    revision: Revision,
    judgement: Judgement,
    *,
    source: Path | None = None,
    said: Mapping[str, str] | None = None,
) -> str:
    """Keep a judged log: its trace as Parquet under the SHA-256 of its content, and its verdicts. Returns its key.

    `source`: the file that it was read from; of one file the reading kept last is evidence, and no other. `said`: what
    its columns were said to be. Raises: InputError when the disk refuses.
    """
    name = Path(judgement.log).name
    with told(record.path):
        make_folder(record.files)
    laid = record.files / f"{new_id()}.part"
    try:
        write_parquet(judgement.trace, laid)
        with told(record.path):
            kept = keep(record.files, parts_of(laid), "parquet")
            origin = sha256_of(source) if source is not None else ""
    finally:
        laid.unlink(missing_ok=True)
    key = sha256(f"{revision.id} {kept.sha256}".encode()).hexdigest()
    with record.writing() as connection:
        put(connection, tables.kept_file, {**kept._asdict(), "added_on": now()})
        known = connection.execute(select(tables.log.c.id).where(tables.log.c.id == key)).first()
        row = {"id": key, "machine_revision_id": revision.id, "file_sha256": kept.sha256, "name": name}
        measured = {"rows_read": judgement.rows_read, "duration_s": judgement.trace.duration_s}
        put(connection, tables.log, {**row, **measured, "added_on": now()})
        if known is None:
            put_verdicts(connection, revision.id, judgement.checks, log_id=key)
        _put_note(connection, key, Noted.BROUGHT, brought_body(judgement, origin, said or {}))
    return key


def leave_out(record: Record, key: str, *, out: bool) -> None:
    """Note that a kept log is left out of the evidence, or taken in again; what was noted last holds.

    Raises: InputError when no such log is kept.
    """
    log_path(record, key)
    with record.writing() as connection:
        _put_note(connection, key, Noted.LEFT_OUT if out else Noted.TAKEN_IN, "")


def _put_note(connection: Connection, log_id: str, kind: Noted, body: str) -> None:
    row = {"id": new_id(), "log_id": log_id, "kind": kind.value, "body": body, "noted_on": now()}
    put(connection, tables.log_note, row)


def log_path(record: Record, key: str) -> Path:
    """Return the Parquet file of a log that is kept.

    Raises: InputError when there is no such log.
    """
    with record.reading() as connection:
        row = connection.execute(select(tables.log.c.file_sha256).where(tables.log.c.id == key)).first()
    if row is None:
        raise InputError(str(record.path), read=f"no log {key[:12]}", right="one that is kept")
    return kept_path(record.files, row.file_sha256, "parquet")


def keep_recording(record: Record, revision: Revision, path: Path, *, duration_s: float | None = None) -> str:
    """Keep a sound recording as it is, under the SHA-256 of its content. Returns its key.

    Raises: InputError when it cannot be read or the disk refuses.
    """
    with told(record.path):
        kept = keep(record.files, parts_of(path), path.suffix.lstrip(".").lower() or "wav")
    key = sha256(f"{revision.id} {kept.sha256}".encode()).hexdigest()
    with record.writing() as connection:
        put(connection, tables.kept_file, {**kept._asdict(), "added_on": now()})
        row = {"id": key, "machine_revision_id": revision.id, "file_sha256": kept.sha256, "name": path.name}
        put(connection, tables.recording, {**row, "duration_s": duration_s, "added_on": now()})
    return key


def keep_sheet(record: Record, revision: Revision, path: Path, outcome: Outcome) -> str:
    """Keep a sheet that was written. Returns its key.

    Raises: InputError when it cannot be read or the disk refuses.
    """
    with told(record.path):
        kept = keep(record.files, parts_of(path), path.suffix.lstrip(".").lower() or "html")
    key = new_id()
    with record.writing() as connection:
        put(connection, tables.kept_file, {**kept._asdict(), "added_on": now()})
        row = {"id": key, "machine_revision_id": revision.id, "file_sha256": kept.sha256, "name": path.name}
        put(connection, tables.sheet, {**row, "verdict": outcome.value, "made_on": now()})
    return key
