"""The record: what goes in comes out, once, under the revision it belongs to."""

import json
import time
import zipfile

import polars as pl
import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from steadyhead import job
from steadyhead.bench import archive, care, tables
from steadyhead.bench.home import record_path
from steadyhead.bench.kept_files import sha256_of
from steadyhead.bench.moment import now
from steadyhead.bench.record import (
    add_reading,
    keep_log,
    keep_machine,
    keep_machine_text,
    keep_next,
    keep_recording,
    keep_sheet,
    kept_machine,
    log_path,
    open_record,
    readings,
)
from steadyhead.channel.result import Reading
from steadyhead.machine.bundled import bundled
from steadyhead.trace.bundled_logs import DEMO_LOGS
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome


@pytest.fixture
def record(tmp_path):
    with open_record(tmp_path / "record.sqlite") as opened:
        yield opened


def reading(percent, rpm):
    return Reading(percent=percent, head_speed_rpm=rpm, spread_rpm=2.5, source="hand")


def test_a_reading_comes_back_as_it_was_given(record):
    revision = keep_machine(record, bundled("fox600"))
    add_reading(record, revision, reading(70.0, 1990.5))
    add_reading(record, revision, reading(57.0, 1730.0))
    assert readings(record, "Fox 600") == (reading(70.0, 1990.5), reading(57.0, 1730.0))
    assert readings(record, "Wren 450") == ()


def test_a_reading_that_no_rotor_gives_is_not_kept(record):
    revision = keep_machine(record, bundled("fox600"))
    with pytest.raises(InputError, match="120 % channel"):
        add_reading(record, revision, reading(120.0, 1990.0))
    assert care.contents(record).rows["reading"] == 0


def test_the_same_text_of_a_machine_file_is_kept_once_and_another_text_beside_it(record):
    first = keep_machine(record, bundled("fox600"))
    assert keep_machine(record, bundled("fox600")) == first
    text = bundled("fox600").read_text("utf-8")
    second = keep_machine_text(record, text.replace("pinion_teeth = 13", "pinion_teeth = 14"), "fox600.toml")
    assert second.id != first.id
    assert kept_machine(record, first.id).gears.pinion_teeth.number == 13
    assert kept_machine(record, second.id).gears.pinion_teeth.number == 14
    (machine,) = care.contents(record).machines
    assert machine.texts == 2
    assert care.contents(record).rows["pack"] == 4


def test_a_log_is_kept_as_parquet_under_the_hash_of_its_content_with_its_verdicts(record):
    revision = keep_machine(record, bundled("fox600"))
    judgement = job.judge(job.read_machine(bundled("fox600")), DEMO_LOGS[0])
    key = keep_log(record, revision, judgement)
    assert keep_log(record, revision, judgement) == key
    path = log_path(record, key)
    assert path.stem == sha256_of(path)
    assert pl.read_parquet(path).height == judgement.trace.time_s.size
    rows = care.contents(record).rows
    assert rows["log"] == 1
    assert rows["verdict"] == len(judgement.checks)


def test_recordings_and_sheets_are_kept_as_they_are(record, tmp_path):
    revision = keep_machine(record, bundled("fox600"))
    sound, page = tmp_path / "spool.wav", tmp_path / "sheet.html"
    sound.write_bytes(b"RIFF" + bytes(1000))
    page.write_text("<p>sheet</p>")
    keep_recording(record, revision, sound, duration_s=1.5)
    keep_recording(record, revision, sound)
    keep_sheet(record, revision, page, Outcome.UNKNOWN)
    found = care.condition(record)
    assert (found.verdict, found.files, found.leftovers) == (Outcome.PASS, 2, ())
    assert care.contents(record).rows["recording"] == 1


def test_the_steps_lead_to_exactly_the_tables_of_today(record):
    with record.reading() as connection:
        assert compare_metadata(MigrationContext.configure(connection), tables.metadata) == []
    folder = __import__("pathlib").Path(tables.__file__).parent / "migrations"
    assert ScriptDirectory(str(folder)).get_current_head() == tables.HEAD


def test_the_record_lies_where_it_is_asked_for(tmp_path, monkeypatch):
    monkeypatch.setenv("STEADYHEAD_HOME", str(tmp_path / "club"))
    assert record_path() == tmp_path / "club" / "record.sqlite"
    assert record_path(tmp_path / "mine.sqlite") == tmp_path / "mine.sqlite"
    monkeypatch.delenv("STEADYHEAD_HOME")
    assert record_path().parent.name == "steadyhead"


def test_a_commit_reaches_the_disk_before_it_returns(record):
    with record.writing() as connection:
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar_one() == 2  # FULL, sqlite.org/pragma.html
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar_one() == "wal"
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar_one() == 1


def test_a_backup_is_whole_and_brings_its_files(record, tmp_path):
    revision = keep_machine(record, bundled("fox600"))
    sound = tmp_path / "spool.wav"
    sound.write_bytes(bytes(1000))
    keep_recording(record, revision, sound)
    add_reading(record, revision, reading(70.0, 1990.0))
    copied = care.backup(record, tmp_path / "stick" / "copy.sqlite")
    assert copied.files_copied == 1
    with open_record(copied.copy) as copy:
        assert care.condition(copy).verdict is Outcome.PASS
        assert readings(copy, "Fox 600") == readings(record, "Fox 600")
    with pytest.raises(InputError, match="the record itself"):
        care.backup(record, record.path)


def test_a_missing_or_damaged_file_fails_the_check(record, tmp_path):
    revision = keep_machine(record, bundled("fox600"))
    for name in ("a.wav", "b.wav"):
        (tmp_path / name).write_bytes(name.encode() * 100)
        keep_recording(record, revision, tmp_path / name)
    gone, damaged = sorted(record.files.glob("??/*.wav"))
    gone.unlink()
    damaged.write_bytes(b"something else")
    found = care.condition(record)
    assert found.verdict is Outcome.FAIL
    assert found.faults == (f"{gone.name}: the file is gone", f"{damaged.name}: the file is damaged") or (
        sorted(found.faults) == sorted((f"{gone.name}: the file is gone", f"{damaged.name}: the file is damaged"))
    )
    with pytest.raises(InputError, match="backup"):
        archive.export(record, tmp_path / "all.zip")
    assert not (tmp_path / "all.zip").exists()


def test_an_archive_says_what_is_in_it(record, tmp_path):
    keep_machine(record, bundled("fox600"))
    written = archive.export(record, tmp_path / "all.zip")
    with zipfile.ZipFile(written.archive) as opened:
        manifest = json.loads(opened.read("manifest.json"))
    assert (manifest["format"], manifest["version"], manifest["schema"]) == ("steadyhead record", 1, tables.HEAD)
    assert {member["name"] for member in manifest["members"]} == {
        f"tables/{name}.jsonl" for name in tables.metadata.tables
    }


def test_two_records_of_the_same_machine_become_one(tmp_path):
    with open_record(tmp_path / "a.sqlite") as one, open_record(tmp_path / "b.sqlite") as other:
        add_reading(one, keep_machine(one, bundled("fox600")), reading(57.0, 1730.0))
        add_reading(other, keep_machine(other, bundled("fox600")), reading(83.0, 2250.0))
        archive.export(one, tmp_path / "one.zip")
        brought = archive.import_(other, tmp_path / "one.zip")
        assert brought.rows_added["reading"] == 1
        assert brought.rows_known["machine_revision"] == 1
        assert {r.percent for r in readings(other, "Fox 600")} == {57.0, 83.0}
        assert archive.import_(other, tmp_path / "one.zip").rows_added["reading"] == 0


def test_going_back_to_an_old_file_makes_it_the_newest_again(record):
    text = bundled("fox600").read_text("utf-8")
    old = keep_machine_text(record, text, "fox600.toml")
    new = keep_machine_text(record, text.replace("pinion_teeth = 13", "pinion_teeth = 14"), "fox600.toml")
    wait_for_the_clock(new.added_on)
    assert job.shelf.newest_revision(record, "Fox 600").id == new.id
    back = keep_machine_text(record, text, "fox600.toml")
    assert back.id == old.id
    assert job.shelf.newest_revision(record, "Fox 600").id == old.id
    assert len(job.shelf.revisions(record, "Fox 600")) == 2


def test_a_proposed_file_is_kept_as_the_next_revision_of_the_same_machine_only(record):
    text = bundled("fox600").read_text("utf-8")
    revision = keep_machine_text(record, text, "fox600.toml")
    kept = keep_next(record, revision, text.replace("pinion_teeth = 13", "pinion_teeth = 14"))
    assert (kept.revision, kept.file_name) == (revision.revision + 1, "fox600.toml")
    assert kept_machine(record, kept.id).gears.pinion_teeth.number == 14
    with pytest.raises(InputError, match="Wren 450"):
        keep_next(record, revision, bundled("wren450").read_text("utf-8"))


def wait_for_the_clock(moment_told):
    """Wait until the record's clock, which counts milliseconds, says another moment."""
    while now() <= moment_told:
        time.sleep(0.001)
