"""The first record: machines and their revisions, packs, readings, runs, logs, recordings, verdicts, sheets."""

from alembic import op
from sqlalchemy import INTEGER, REAL, TEXT, Column, ForeignKey, UniqueConstraint

revision = "r0001"
down_revision = None


def upgrade() -> None:
    """Make every table of an empty record."""
    _machines()
    _runs()
    _files()
    _judged()


def _table(name: str, *parts: Column[str] | Column[int] | Column[float] | UniqueConstraint) -> None:
    op.create_table(name, *parts, sqlite_strict=True)
    for part in parts:
        if isinstance(part, Column) and part.foreign_keys:
            op.create_index(f"ix_{name}_{part.name}", name, [part.name])


def _key(name: str = "id") -> Column[str]:
    return Column(name, TEXT, primary_key=True, nullable=False)


def _text(name: str, *, to: str = "", known: bool = True) -> Column[str]:
    if to:
        return Column(name, TEXT, ForeignKey(to), nullable=not known)
    return Column(name, TEXT, nullable=not known)


def _real(name: str, *, known: bool = False) -> Column[float]:
    return Column(name, REAL, nullable=not known)


def _whole(name: str) -> Column[int]:
    return Column(name, INTEGER, nullable=False)


def _revision() -> Column[str]:
    return _text("machine_revision_id", to="machine_revision.id")


def _file() -> Column[str]:
    return _text("file_sha256", to="kept_file.sha256")


def _machines() -> None:
    _table("machine", _key("name"), _text("added_on"))
    _table(
        "machine_revision", _key(), _text("machine", to="machine.name"), _whole("revision"),
        _text("file_name"), _text("text"), _text("added_on"),
    )  # fmt: skip
    _table(
        "pack", _key(), _text("machine", to="machine.name"), _text("name"), _whole("cells"),
        _real("capacity_mah"), _real("resistance_mohm"), _text("added_on"),
    )  # fmt: skip


def _runs() -> None:
    _table("bench_run", _key(), _revision(), _text("started_on"))
    _table(
        "bench_event", _key(), _text("run_id", to="bench_run.id"), _whole("number"), _text("kind"),
        _text("step", known=False), _text("body"), _text("happened_on"),
        UniqueConstraint("run_id", "number", name="event_in_order"),
    )  # fmt: skip
    _table(
        "reading", _key(), _revision(), _text("event_id", to="bench_event.id", known=False),
        _real("percent", known=True), _real("head_speed_rpm", known=True), _real("spread_rpm", known=True),
        _text("source"), _text("taken_on"),
    )  # fmt: skip


def _files() -> None:
    _table("kept_file", _key("sha256"), _text("ending"), _whole("bytes"), _text("added_on"))
    _table(
        "log", _key(), _revision(), _file(), _text("name"), _whole("rows_read"), _real("duration_s", known=True),
        _text("added_on"), UniqueConstraint("machine_revision_id", "file_sha256", name="log_once"),
    )  # fmt: skip
    _table(
        "recording", _key(), _revision(), _file(), _text("name"), _real("duration_s"), _text("added_on"),
        UniqueConstraint("machine_revision_id", "file_sha256", name="recording_once"),
    )  # fmt: skip


def _judged() -> None:
    _table(
        "verdict", _key(), _revision(), _text("event_id", to="bench_event.id", known=False),
        _text("log_id", to="log.id", known=False), _text("check"), _text("verdict"), _text("body"), _text("judged_on"),
    )  # fmt: skip
    _table("sheet", _key(), _revision(), _file(), _text("name"), _text("verdict"), _text("made_on"))
