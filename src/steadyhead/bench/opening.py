"""Opening a record: durable settings, an integrity check, today's schema, a time limit on every question."""

import sqlite3
import time
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.pool import QueuePool

from steadyhead.bench.kept_files import make_folder
from steadyhead.bench.refusals import BROKEN, told
from steadyhead.bench.tables import APPLICATION_ID, HEAD
from steadyhead.words.errors import InputError

TIME_LIMIT_S = 20.0
"""Longest that one question to the record may take."""
WAIT_S = 10.0
"""How long to wait for another program that writes."""
LOOKS_EVERY = 20_000
"""Steps of SQLite's machine between two looks at the clock."""
RETRY_S = 0.02
THERE = "one that is there: --record FILE or STEADYHEAD_HOME; `steadyhead bench` begins one"


def opened(path: Path, *, time_limit_s: float = TIME_LIMIT_S, wait_s: float = WAIT_S) -> Engine:
    """Open the record at `path`, making it when it is not there, and bring it to today's schema.

    Raises: InputError when it cannot be opened, is damaged, is no record, or a newer steadyhead wrote it.
    """
    with told(path):
        make_folder(path.parent)
        engine = _engine(path, time_limit_s, wait_s)
        with engine.connect() as connection:
            _look_at(connection, path)
            if _schema(connection) != HEAD:
                _bring_up(connection, path)
    return engine


def refuse_absent(path: Path) -> None:
    """Refuse a name under which no record lies, and a file with nothing in it: who only reads makes none.

    Raises: InputError.
    """
    with told(path):
        if not path.exists():
            raise InputError(str(path), read="no record of that name", right=THERE)
        if path.is_file() and path.stat().st_size == 0:
            raise InputError(str(path), read="an empty file, no record in it", right=BROKEN)


def _engine(path: Path, time_limit_s: float, wait_s: float) -> Engine:
    def connect() -> sqlite3.Connection:
        made = sqlite3.connect(path, timeout=wait_s, isolation_level=None, check_same_thread=False)
        _settle(made, wait_s)
        return made

    engine = create_engine("sqlite://", creator=connect, poolclass=QueuePool)
    event.listen(engine, "before_cursor_execute", _clock(time_limit_s))
    return engine


def _settle(made: sqlite3.Connection, wait_s: float) -> None:
    """Make a connection durable: every commit reaches the disk before it returns, and rows must fit each other."""
    made.execute("PRAGMA synchronous=FULL")
    made.execute("PRAGMA foreign_keys=ON")
    made.execute("PRAGMA trusted_schema=OFF")
    until = time.monotonic() + wait_s
    while made.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        try:
            made.execute("PRAGMA journal_mode=WAL")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(RETRY_S)


def _clock(time_limit_s: float) -> Any:
    """Return a listener that lets SQLite stop a statement once its time is over."""

    def begin(connection: Connection, *_: object) -> None:
        until = time.monotonic() + time_limit_s
        made = connection.connection.dbapi_connection
        if isinstance(made, sqlite3.Connection):
            made.set_progress_handler(lambda: int(time.monotonic() > until), LOOKS_EVERY)

    return begin


def _look_at(connection: Connection, path: Path) -> None:
    """Refuse a damaged file, and one of another program."""
    found = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar_one()
    if found != "ok":
        raise InputError(str(path), read=f"a damaged record ({found})", right=BROKEN)
    ours = connection.exec_driver_sql("PRAGMA application_id").scalar_one() == APPLICATION_ID
    filled = connection.exec_driver_sql("SELECT count(*) FROM sqlite_schema").scalar_one()
    if filled and not ours:
        raise InputError(str(path), read="a database of another program", right="a record, or a name that is free")


def _schema(connection: Connection) -> str | None:
    """Return the schema of the file; None of an empty one."""
    named = "SELECT count(*) FROM sqlite_schema WHERE name = 'alembic_version'"
    if not connection.exec_driver_sql(named).scalar_one():
        return None
    return connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()


def _bring_up(connection: Connection, path: Path) -> None:
    """Run the steps from the schema of the file to today's, all or none, with every other writer waiting."""
    from alembic.command import upgrade
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    connection.rollback()
    connection.exec_driver_sql("BEGIN IMMEDIATE")
    schema = _schema(connection)
    known = {step.revision for step in ScriptDirectory.from_config(config).walk_revisions()}
    if schema is not None and schema not in known:
        connection.rollback()
        raise InputError(
            str(path), read=f"schema {schema} of a newer steadyhead", right=f"that one, or a record up to {HEAD}"
        )
    if schema != HEAD:
        config.attributes["connection"] = connection
        upgrade(config, HEAD)
        connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
    connection.commit()
