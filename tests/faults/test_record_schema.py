"""A record that an older steadyhead wrote is brought to today's schema: every row is kept, all steps or none."""

import gzip
import json
import shutil
import sqlite3
import zipfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from steadyhead.bench import archive, care, guided, opening
from steadyhead.bench.record import add_reading, keep_machine, open_record, readings
from steadyhead.channel.result import Reading
from steadyhead.machine.bundled import bundled
from steadyhead.words.verdict import Outcome

DATA = Path(__file__).resolve().parents[1] / "data" / "record"
NEXT_STEP = '''
"""An invented next schema."""
from alembic import op
from sqlalchemy import TEXT, Column

revision = "r0004"
down_revision = "r0003"


def upgrade() -> None:
    op.create_table("battery_log", Column("id", TEXT, primary_key=True))
    op.add_column("reading", Column("taken_by", TEXT, nullable=False, server_default="nobody named"))
    op.execute("UPDATE reading SET taken_by = 'a flyer' WHERE percent = 50.0")
    {last}
'''


def laid_out(folder: Path) -> Path:
    path = folder / "record.sqlite"
    path.write_bytes(gzip.decompress((DATA / "r0001.sqlite.gz").read_bytes()))
    shutil.copytree(DATA / "r0001.files", folder / "record.files")
    return path


def rows(path: Path) -> dict[str, list[dict]]:
    """Return every row, read by SQLite's own driver."""
    made = sqlite3.connect(path)
    made.row_factory = sqlite3.Row
    names = [one[0] for one in made.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
    found = {name: [dict(row) for row in made.execute(f'SELECT * FROM "{name}" ORDER BY 1')] for name in names}
    made.close()
    return found


def kept_rows() -> dict[str, list[dict]]:
    found: dict[str, list[dict]] = {}
    for line in (DATA / "r0001.jsonl").read_text("utf-8").splitlines():
        name, row = json.loads(line)
        found.setdefault(name, []).append(row)
    return found


@pytest.fixture
def next_schema(tmp_path, monkeypatch):
    """Lay an invented next step beside the steps of today; return a function that makes it fail or not."""

    def lay(last: str = "pass") -> None:
        folder = tmp_path / "steps"
        shutil.copytree(Path(opening.__file__).parent / "migrations", folder / "migrations")
        folder.joinpath("migrations", "versions", "r0004_next.py").write_text(NEXT_STEP.format(last=last))
        monkeypatch.setattr(opening, "__file__", str(folder / "opening.py"))
        monkeypatch.setattr(opening, "HEAD", "r0004")

    return lay


def test_a_record_of_the_first_schema_opens_with_every_row_and_goes_on(tmp_path):
    path = laid_out(tmp_path)
    with open_record(path) as record:
        found = care.condition(record)
        assert (found.verdict, found.faults, found.files) == (Outcome.PASS, (), 3)
        run = care.contents(record).runs[0].run
        told = guided.run_summary(record, run)
        assert len(told.readings) == 3
        assert told.paused
        assert [r.head_speed_rpm for r in readings(record, "Wren 450")] == [1510.0, 1744.5]
    after = rows(path)
    for name, kept in kept_rows().items():
        if name != "alembic_version":
            assert after[name] == kept, name
    assert after["alembic_version"] == [{"version_num": opening.HEAD}]
    with open_record(path) as record:
        revision = keep_machine(record, bundled("wren450"))
        add_reading(record, revision, Reading(percent=60.0, head_speed_rpm=1900.0, spread_rpm=5.0, source="new"))
        guided.resume(record, run)
        assert guided.current_step(record, run).step == "cautions"


def test_a_step_to_a_next_schema_loses_nothing(tmp_path, next_schema):
    path = laid_out(tmp_path)
    next_schema()
    open_record(path).close()
    after = rows(path)
    assert after["alembic_version"] == [{"version_num": "r0004"}]
    assert {row["taken_by"] for row in after["reading"]} == {"a flyer", "nobody named"}
    for name, kept in kept_rows().items():
        if name != "alembic_version":
            assert [{key: row[key] for key in kept[0]} for row in after[name]] == kept, name


def test_a_step_that_breaks_off_leaves_the_old_record_as_it_was(tmp_path, next_schema):
    path = laid_out(tmp_path)
    next_schema(last="raise RuntimeError('the lights went out')")
    with pytest.raises(RuntimeError, match="lights"):
        open_record(path)
    assert rows(path) == kept_rows()


def test_windows_that_open_an_old_record_at_once_bring_it_up_once(tmp_path, next_schema):
    path = laid_out(tmp_path)
    next_schema()
    with ThreadPoolExecutor(4) as windows:
        for opened in windows.map(open_record, [path] * 4):
            opened.close()
    assert len(rows(path)["reading"]) == len(kept_rows()["reading"])


def test_an_archive_of_the_first_schema_is_taken(tmp_path):
    with open_record(laid_out(tmp_path)) as old:
        archive.export(old, tmp_path / "now.zip")
        counts = care.contents(old).rows
    with zipfile.ZipFile(tmp_path / "now.zip") as whole, zipfile.ZipFile(tmp_path / "old.zip", "w") as older:
        manifest = json.loads(whole.read("manifest.json"))
        left = [one for one in manifest["members"] if not one["name"].endswith("_note.jsonl")]
        older.writestr("manifest.json", json.dumps(manifest | {"schema": "r0001", "members": left}))
        for one in left:
            older.writestr(one["name"], whole.read(one["name"]))
    with open_record(tmp_path / "new" / "record.sqlite") as new:
        archive.import_(new, tmp_path / "old.zip")
        assert care.contents(new).rows == counts
