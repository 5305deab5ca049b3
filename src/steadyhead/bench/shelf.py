"""What stands in the record: its machines, their revisions, logs, recordings and sheets, newest first."""

from dataclasses import dataclass, replace
from pathlib import Path

from sqlalchemy import Row, Select, Table, literal_column, select

from steadyhead.bench import tables
from steadyhead.bench.kept_files import kept_path
from steadyhead.bench.log_notes import Note, Noted, Standing, standings
from steadyhead.bench.record import Record, Revision, kept_machine
from steadyhead.bench.void import known_better
from steadyhead.machine.description import Machine
from steadyhead.machine.difference import Difference, differences
from steadyhead.machine.reading import machine_from_text
from steadyhead.words.errors import InputError, did_you_mean
from steadyhead.words.verdict import Outcome, worst


@dataclass(frozen=True, kw_only=True)
class KeptFile:
    """A log, a recording or a sheet that is kept."""

    id: str
    name: str
    machine: str
    revision: int
    revision_id: str
    """SHA-256 of the text of the machine file that it was made from; the number is only what that text states."""
    kept_on: str
    verdict: str = ""
    """Of a sheet: what it said; of a log: what it said when it was kept first."""


@dataclass(frozen=True, kw_only=True)
class KeptLog(KeptFile):
    """A log that is kept, and how it stands today."""

    rows_read: int
    duration_s: float
    standing: Standing

    @property
    def is_evidence(self) -> bool:
        """Whether the sheet takes it: the latest reading of its file, understood, not simulated, and not left out."""
        return self.is_current and not self.standing.left_out

    @property
    def is_current(self) -> bool:
        """Whether it may be taken at all."""
        standing = self.standing
        return standing.understood and not standing.simulated and not standing.replaced


def machines(record: Record) -> tuple[Revision, ...]:
    """Return the newest revision of every machine that is kept, the one kept last first."""
    newest: dict[str, Revision] = {}
    for revision in _revisions(record, select(tables.machine_revision)):
        newest.setdefault(revision.machine, revision)
    return tuple(newest.values())


def newest_revision(record: Record, machine: str) -> Revision:
    """Return the newest revision of a machine.

    Raises: InputError when no machine of that name is kept.
    """
    found = revisions(record, machine)
    if not found:
        known = [revision.machine for revision in machines(record)]
        right = did_you_mean(machine, known) if known else "a machine that is kept; none is yet"
        raise InputError(str(record.path), read=f"no machine {machine}", right=right)
    return found[0]


def named_in(record: Record, text: str, file_name: str) -> tuple[str, Revision | None]:
    """Return the name of the machine in a text, and the newest revision that is kept under it; None where none is.

    Raises: InputError when the text cannot be read as a machine.
    """
    name = machine_from_text(text, file_name).name
    return name, next(iter(revisions(record, name)), None)


def newest_key(record: Record, machine: str) -> str | None:
    """Return the key of the newest revision of a machine; None when none of that name is kept."""
    known = tables.machine_revision
    asked = select(known.c.id).where(known.c.machine == machine)
    with record.reading() as connection:
        return connection.execute(asked.order_by(known.c.added_on.desc(), known.c.revision.desc()).limit(1)).scalar()


def revisions(record: Record, machine: str) -> tuple[Revision, ...]:
    """Return every revision of a machine, the one kept last first."""
    known = tables.machine_revision
    return _revisions(record, select(known).where(known.c.machine == machine))


def kept_text(record: Record, revision_id: str) -> str:
    """Return the text of a machine file as it was kept.

    Raises: InputError when there is none under this key.
    """
    known = tables.machine_revision
    with record.reading() as connection:
        text = connection.execute(select(known.c.text).where(known.c.id == revision_id)).scalar()
    if text is None:
        raise InputError(str(record.path), read=f"no machine revision {revision_id[:12]}", right="one that is kept")
    return str(text)


def difference(record: Record, before_id: str, after_id: str) -> tuple[Difference, ...]:
    """Return what differs between two revisions.

    Raises: InputError when one of them is not kept.
    """
    return _differences(kept_machine(record, before_id), kept_machine(record, after_id))


def difference_from_text(record: Record, before: Revision, text: str) -> tuple[Difference, ...]:
    """Return what differs between a revision and the text of a machine file that is not kept.

    Raises: InputError when the text cannot be read as a machine.
    """
    return _differences(kept_machine(record, before.id), machine_from_text(text, before.file_name))


def _differences(before: Machine, after: Machine) -> tuple[Difference, ...]:
    """Return what differs, marked where it is the same part that is known better."""
    found = differences(before, after)
    return tuple(replace(one, known_better=known_better(one.key, before, after)) for one in found)


def logs(record: Record, machine: str) -> tuple[KeptLog, ...]:
    """Return every log of a machine, the one brought last first; `is_evidence` says which of them count today."""
    known, notes, revision = tables.log, tables.log_note, tables.machine_revision
    asked = select(known, revision.c.machine, revision.c.revision)
    asked = asked.join(revision, revision.c.id == known.c.machine_revision_id).where(revision.c.machine == machine)
    said = select(notes).join(known, known.c.id == notes.c.log_id)
    said = said.join(revision, revision.c.id == known.c.machine_revision_id).where(revision.c.machine == machine)
    judged = select(tables.verdict.c.log_id, tables.verdict.c.verdict).join(
        known, known.c.id == tables.verdict.c.log_id
    )
    judged = judged.join(revision, revision.c.id == known.c.machine_revision_id).where(revision.c.machine == machine)
    with record.reading() as connection:
        verdicts = connection.execute(judged.distinct()).all()
        rows = connection.execute(asked.order_by(known.c.added_on, literal_column("log.rowid"))).all()
        told = connection.execute(said.order_by(notes.c.noted_on, literal_column("log_note.rowid"))).all()
    stand = standings(
        [(row.id, row.file_sha256) for row in rows],
        [Note(log=row.log_id, kind=row.kind, body=row.body) for row in told],
    )
    last = {row.id: row.added_on for row in rows}
    last.update({row.log_id: row.noted_on for row in told if row.kind == Noted.BROUGHT})
    kept = [
        KeptLog(
            id=row.id,
            name=row.name,
            machine=row.machine,
            revision=row.revision,
            revision_id=row.machine_revision_id,
            kept_on=last[row.id],
            verdict=worst(Outcome(one.verdict) for one in verdicts if one.log_id == row.id).value,
            rows_read=row.rows_read,
            duration_s=row.duration_s,
            standing=stand[row.id],
        )
        for row in reversed(rows)
    ]
    return tuple(sorted(kept, key=lambda log: log.kept_on, reverse=True))


def recordings(record: Record, machine: str) -> tuple[KeptFile, ...]:
    """Return the sound recordings of a machine, newest first."""
    return _files(record, tables.recording, "added_on", machine)


def sheets(record: Record, machine: str) -> tuple[KeptFile, ...]:
    """Return the sheets of a machine, newest first."""
    return _files(record, tables.sheet, "made_on", machine)


def file_of(record: Record, table: Table, key: str) -> tuple[str, Path]:
    """Return the name and the place of a recording or a sheet that is kept.

    Raises: InputError when there is none under this key.
    """
    asked = select(table.c.name, tables.kept_file.c.sha256, tables.kept_file.c.ending)
    asked = asked.join(tables.kept_file, tables.kept_file.c.sha256 == table.c.file_sha256).where(table.c.id == key)
    with record.reading() as connection:
        row = connection.execute(asked).first()
    if row is None:
        raise InputError(str(record.path), read=f"no {table.name} {key[:12]}", right="one that is kept")
    return row.name, kept_path(record.files, row.sha256, row.ending)


def _revisions(record: Record, asked: "Select[tuple[str, ...]]") -> tuple[Revision, ...]:
    known = tables.machine_revision
    with record.reading() as connection:
        rows = connection.execute(asked.order_by(known.c.added_on.desc(), known.c.revision.desc())).all()
    return tuple(
        Revision(id=r.id, machine=r.machine, revision=r.revision, file_name=r.file_name, added_on=r.added_on)
        for r in rows
    )


def _files(record: Record, table: Table, when: str, machine: str) -> tuple[KeptFile, ...]:
    revision = tables.machine_revision
    asked = select(table, revision.c.machine, revision.c.revision)
    asked = asked.join(revision, revision.c.id == table.c.machine_revision_id).where(revision.c.machine == machine)
    with record.reading() as connection:
        rows = connection.execute(asked.order_by(table.c[when].desc())).all()
    return tuple(_kept(row, when) for row in rows)


def _kept(row: "Row[tuple[str, ...]]", when: str) -> KeptFile:
    told = row._mapping
    return KeptFile(
        id=told["id"],
        name=told["name"],
        machine=told["machine"],
        revision=told["revision"],
        revision_id=told["machine_revision_id"],
        kept_on=told[when],
        verdict=told.get("verdict", ""),
    )
