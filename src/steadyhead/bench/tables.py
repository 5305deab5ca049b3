"""The tables of the record as they are today; the steps in `migrations` lead an older file here.

Rows are only ever added: what a run is now follows from its events. Times are UTC, ISO 8601 (`2026-05-03T14:02:11Z`).
"""

from sqlalchemy import INTEGER, REAL, TEXT, Column, ForeignKey, MetaData, Table, UniqueConstraint

HEAD = "r0003"
"""The schema that this program reads and writes."""
APPLICATION_ID = 0x53544844
"""Marks an SQLite file as a record of this program."""

metadata = MetaData()


def _key(name: str = "id") -> Column[str]:
    return Column(name, TEXT, primary_key=True, nullable=False)


def _to(name: str, target: str, *, known: bool = True) -> Column[str]:
    return Column(name, TEXT, ForeignKey(target), nullable=not known, index=True)


def _text(name: str, *, known: bool = True) -> Column[str]:
    return Column(name, TEXT, nullable=not known)


def _real(name: str, *, known: bool = False) -> Column[float]:
    return Column(name, REAL, nullable=not known)


def _whole(name: str) -> Column[int]:
    return Column(name, INTEGER, nullable=False)


machine = Table("machine", metadata, _key("name"), _text("added_on"), sqlite_strict=True)
machine_revision = Table(
    "machine_revision",
    metadata,
    _key(),
    _to("machine", "machine.name"),
    _whole("revision"),
    _text("file_name"),
    _text("text"),
    _text("added_on"),
    sqlite_strict=True,
)
pack = Table(
    "pack",
    metadata,
    _key(),
    _to("machine", "machine.name"),
    _text("name"),
    _whole("cells"),
    _real("capacity_mah"),
    _real("resistance_mohm"),
    _text("added_on"),
    sqlite_strict=True,
)
bench_run = Table(
    "bench_run",
    metadata,
    _key(),
    _to("machine_revision_id", "machine_revision.id"),
    _text("started_on"),
    sqlite_strict=True,
)
bench_event = Table(
    "bench_event",
    metadata,
    _key(),
    _to("run_id", "bench_run.id"),
    _whole("number"),
    _text("kind"),
    _text("step", known=False),
    _text("body"),
    _text("happened_on"),
    UniqueConstraint("run_id", "number", name="event_in_order"),
    sqlite_strict=True,
)
reading = Table(
    "reading",
    metadata,
    _key(),
    _to("machine_revision_id", "machine_revision.id"),
    _to("event_id", "bench_event.id", known=False),
    _real("percent", known=True),
    _real("head_speed_rpm", known=True),
    _real("spread_rpm", known=True),
    _text("source"),
    _text("taken_on"),
    sqlite_strict=True,
)
reading_note = Table(
    "reading_note",
    metadata,
    _key(),
    _to("reading_id", "reading.id"),
    _text("kind"),
    _text("noted_on"),
    sqlite_strict=True,
)
kept_file = Table(
    "kept_file", metadata, _key("sha256"), _text("ending"), _whole("bytes"), _text("added_on"), sqlite_strict=True
)
log = Table(
    "log",
    metadata,
    _key(),
    _to("machine_revision_id", "machine_revision.id"),
    _to("file_sha256", "kept_file.sha256"),
    _text("name"),
    _whole("rows_read"),
    _real("duration_s", known=True),
    _text("added_on"),
    UniqueConstraint("machine_revision_id", "file_sha256", name="log_once"),
    sqlite_strict=True,
)
log_note = Table(
    "log_note",
    metadata,
    _key(),
    _to("log_id", "log.id"),
    _text("kind"),
    _text("body"),
    _text("noted_on"),
    sqlite_strict=True,
)
recording = Table(
    "recording",
    metadata,
    _key(),
    _to("machine_revision_id", "machine_revision.id"),
    _to("file_sha256", "kept_file.sha256"),
    _text("name"),
    _real("duration_s"),
    _text("added_on"),
    UniqueConstraint("machine_revision_id", "file_sha256", name="recording_once"),
    sqlite_strict=True,
)
verdict = Table(
    "verdict",
    metadata,
    _key(),
    _to("machine_revision_id", "machine_revision.id"),
    _to("event_id", "bench_event.id", known=False),
    _to("log_id", "log.id", known=False),
    _text("check"),
    _text("verdict"),
    _text("body"),
    _text("judged_on"),
    sqlite_strict=True,
)
sheet = Table(
    "sheet",
    metadata,
    _key(),
    _to("machine_revision_id", "machine_revision.id"),
    _to("file_sha256", "kept_file.sha256"),
    _text("name"),
    _text("verdict"),
    _text("made_on"),
    sqlite_strict=True,
)
