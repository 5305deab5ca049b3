"""The record when things go wrong: killed, full, read-only, locked, damaged, newer, hostile archives, two at once."""

import errno
import hashlib
import json
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from sqlalchemy import select

from steadyhead import job
from steadyhead.bench import archive, care, tables
from steadyhead.bench.record import (
    add_reading,
    keep_machine,
    keep_recording,
    known_record,
    open_record,
    readings,
)
from steadyhead.channel.result import Reading
from steadyhead.machine.bundled import bundled
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome

KILLER = Path(__file__).with_name("kill_record.py")
forks = pytest.mark.skipif(not hasattr(os, "fork"), reason="the killer forks")


def reading(rpm):
    return Reading(percent=50.0, head_speed_rpm=rpm, spread_rpm=1.0, source="hand")


@pytest.fixture
def record(tmp_path):
    with open_record(tmp_path / "record.sqlite", wait_s=0.3) as opened:
        yield opened


@pytest.fixture
def filled(record):
    revision = keep_machine(record, bundled("wren450"))
    for count in range(50):
        add_reading(record, revision, reading(1500.0 + count))
    return record


def sentence(caught) -> str:
    text = str(caught.value)
    assert "\n" not in text
    assert "sqlalche" not in text
    return text


@forks
def test_nothing_confirmed_is_lost_in_200_kills():
    ran = subprocess.run(
        [sys.executable, str(KILLER), "--kills", "200"], capture_output=True, text=True, check=False, timeout=300
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr
    confirmed = int(ran.stdout.split(" confirmed")[0].split()[-1])
    assert confirmed > 200, ran.stdout


@forks
def test_the_kills_would_show_a_record_that_confirms_too_early():
    ran = subprocess.run(
        [sys.executable, str(KILLER), "--kills", "30", "--hasty"], capture_output=True, text=True, check=False,
        timeout=120,
    )  # fmt: skip
    assert ran.returncode == 1, ran.stdout + ran.stderr


def add_many(record, revision):
    for count in range(10_000):
        add_reading(record, revision, reading(3000.0 + count))


def test_a_full_disk_is_one_sentence_and_leaves_what_was_confirmed(filled):
    revision = keep_machine(filled, bundled("wren450"))
    with filled.writing() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        connection.exec_driver_sql(f"PRAGMA max_page_count={pages}")
    with pytest.raises(InputError) as caught:
        add_many(filled, revision)
    assert "a full disk" in sentence(caught)
    filled.close()
    assert care.condition(filled).verdict is Outcome.PASS
    assert {r.head_speed_rpm for r in readings(filled, "Wren 450")} >= {1500.0 + count for count in range(50)}


def test_a_full_disk_under_a_recording_leaves_no_half_file(filled, tmp_path, monkeypatch):
    sound = tmp_path / "a.wav"
    sound.write_bytes(bytes(5000))
    revision = keep_machine(filled, bundled("wren450"))

    def full(_handle):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputError) as caught:
        keep_recording(filled, revision, sound)
    assert "No space left" in sentence(caught)
    monkeypatch.undo()
    found = care.condition(filled)
    assert (found.verdict, found.leftovers, found.rows["recording"]) == (Outcome.PASS, (), 0)


def test_a_read_only_record_is_one_sentence(filled):
    revision = keep_machine(filled, bundled("wren450"))
    with filled.reading() as connection:
        connection.exec_driver_sql("PRAGMA query_only=ON")
    with pytest.raises(InputError) as caught:
        add_reading(filled, revision, reading(1700.0))
    assert "may only be read" in sentence(caught)


def test_a_place_that_cannot_hold_a_record_is_one_sentence(tmp_path):
    (tmp_path / "file").write_text("in the way")
    for place in (tmp_path / "file" / "record.sqlite", tmp_path):
        with pytest.raises(InputError) as caught:
            open_record(place)
        assert "STEADYHEAD_HOME" in sentence(caught)


def test_a_locked_record_is_one_sentence(filled):
    revision = keep_machine(filled, bundled("wren450"))
    other = sqlite3.connect(filled.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(InputError) as caught:
        add_reading(filled, revision, reading(1700.0))
    assert "another program holds" in sentence(caught)
    other.execute("ROLLBACK")
    other.close()
    add_reading(filled, revision, reading(1700.0))


def test_a_record_of_a_newer_steadyhead_is_refused_and_left_alone(filled):
    filled.close()
    with sqlite3.connect(filled.path) as made:
        made.execute("UPDATE alembic_version SET version_num = 'r9999'")
    made.close()
    with pytest.raises(InputError) as caught:
        open_record(filled.path)
    assert "newer steadyhead" in sentence(caught)
    with sqlite3.connect(filled.path) as made:
        assert made.execute("SELECT version_num FROM alembic_version").fetchone() == ("r9999",)
    made.close()


def test_another_database_and_another_file_are_refused_and_left_alone(tmp_path):
    text, other = tmp_path / "notes.sqlite", tmp_path / "other.sqlite"
    text.write_text("these are my notes, and no database at all\n" * 100)
    with sqlite3.connect(other) as made:
        made.execute("CREATE TABLE song (name TEXT)")
    made.close()
    before = other.read_bytes()
    for path, says in ((text, "no record"), (other, "another program")):
        with pytest.raises(InputError) as caught:
            open_record(path)
        assert says in sentence(caught)
    assert text.read_text().startswith("these are my notes")
    assert len(other.read_bytes()) == len(before)


@pytest.mark.parametrize("seed", range(6))
def test_a_damaged_record_is_refused_or_fails_its_check(filled, seed):
    filled.close()
    data = bytearray(filled.path.read_bytes())
    draw = random.Random(seed)
    size = 4096
    for _ in range(3):
        page = draw.randrange(1, len(data) // size)
        data[page * size : page * size + 512] = draw.randbytes(512)
    filled.path.write_bytes(data)
    assert refusal_or_faults(filled.path)


def refusal_or_faults(path):
    """Return why a damaged record is refused at the door, else what its check finds."""
    try:
        with open_record(path) as opened:
            return care.condition(opened).faults
    except InputError as error:
        return "damaged" in str(error) and "backup" in str(error)


def test_a_question_that_takes_too_long_is_stopped(tmp_path):
    with open_record(tmp_path / "record.sqlite", time_limit_s=0.2) as record:
        endless = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT max(i) FROM n"
        with pytest.raises(InputError) as caught, record.reading() as connection:
            connection.exec_driver_sql(endless)
        assert "too long" in sentence(caught)
        keep_machine(record, bundled("wren450"))


TWO = """
import sys
from pathlib import Path
from threading import Thread
from steadyhead.bench.record import add_reading, keep_machine, open_record
from steadyhead.channel.result import Reading
from steadyhead.machine.bundled import bundled
record = open_record(Path(sys.argv[1]), wait_s=60.0)
revision = keep_machine(record, bundled("wren450"))
def window(start):
    for count in range(20):
        rpm = float(start + count)
        add_reading(record, revision, Reading(percent=50.0, head_speed_rpm=rpm, spread_rpm=1.0, source="two"))
windows = [Thread(target=window, args=(int(sys.argv[2]) + 100 * tab,)) for tab in range(2)]
[w.start() for w in windows]
[w.join() for w in windows]
"""


def test_three_programs_with_two_windows_each_lose_nothing(tmp_path):
    path = tmp_path / "record.sqlite"
    ran = [
        subprocess.Popen([sys.executable, "-c", TWO, str(path), str(1000 * (1 + place))], stderr=subprocess.PIPE)
        for place in range(3)
    ]
    said = [each.communicate(timeout=120)[1] for each in ran]
    assert [each.returncode for each in ran] == [0, 0, 0], said
    with open_record(path) as record:
        kept = {r.head_speed_rpm for r in readings(record, "Wren 450")}
        assert kept == {
            float(1000 * (1 + place) + 100 * tab + count)
            for place in range(3) for tab in range(2) for count in range(20)
        }  # fmt: skip
        assert care.condition(record).verdict is Outcome.PASS


def changed(source: Path, target: Path, change) -> Path:
    """Write an archive again with something changed in it."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        members = {name: old.read(name) for name in old.namelist()}
        for name, data in change(members):
            new.writestr(name, data)
    return target


def escaping(members):
    manifest = json.loads(members["manifest.json"])
    manifest["members"].append({"name": "../../evil.txt", "bytes": 4, "sha256": "0" * 64})
    members = {**members, "../../evil.txt": b"evil", "manifest.json": json.dumps(manifest).encode()}
    return list(members.items())


def tampered(members):
    return [(n, d.replace(b"1500.0", b"2500.0") if n == "tables/reading.jsonl" else d) for n, d in members.items()]


def without_a_member(members):
    return [(n, d) for n, d in members.items() if n != "tables/reading.jsonl"]


def of_a_newer_one(members):
    manifest = json.loads(members["manifest.json"]) | {"schema": "r9999"}
    return [(n, d) for n, d in members.items() if n != "manifest.json"] + [("manifest.json", json.dumps(manifest))]


def nameless(members):
    return [(n, d) for n, d in members.items() if n != "manifest.json"]


def led_elsewhere(name):
    """Return a change that adds a member of this name, and names it in the manifest."""

    def added(members):
        manifest = json.loads(members["manifest.json"])
        manifest["members"].append({"name": name, "bytes": 4, "sha256": hashlib.sha256(b"evil").hexdigest()})
        return [*(members | {name: b"evil", "manifest.json": json.dumps(manifest).encode()}).items()]

    return added


ELSEWHERE = (
    "/var/evil.txt",
    "files/../../evil.txt",
    "tables/../evil.jsonl",
    "..\\evil.txt",
    "C:\\evil.txt",
    "evil.txt",
)


@pytest.mark.parametrize("name", ELSEWHERE)
def test_a_member_that_lies_anywhere_else_makes_the_archive_refused(filled, tmp_path, name):
    written = archive.export(filled, tmp_path / "all.zip").archive
    hostile = changed(written, tmp_path / "changed.zip", led_elsewhere(name))
    with open_record(tmp_path / "new.sqlite") as new:
        with pytest.raises(InputError, match="a member"):
            archive.import_(new, hostile)
        assert set(care.contents(new).rows.values()) == {0}
    assert not list(tmp_path.rglob("*evil*"))


@pytest.mark.parametrize("honest", [True, False])
def test_a_table_that_unpacks_without_end_is_refused_before_it_fills_the_memory(filled, tmp_path, monkeypatch, honest):
    """64 MiB of spaces in some 64 KiB: the manifest either says so, or says that it is small."""
    written, bomb = archive.export(filled, tmp_path / "all.zip").archive, tmp_path / "bomb.zip"
    spaces, name = b" " * (64 << 20), "tables/verdict.jsonl"
    with zipfile.ZipFile(written) as old, zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as new:
        members = {one: old.read(one) for one in old.namelist()}
        manifest = json.loads(members["manifest.json"])
        for member in manifest["members"]:
            if member["name"] == name:
                member |= {"bytes": len(spaces) if honest else 100, "sha256": hashlib.sha256(spaces).hexdigest()}
        for one, data in (members | {name: spaces, "manifest.json": json.dumps(manifest).encode()}).items():
            new.writestr(one, data)
    unpacked, read = [], archive._read

    def counted(file):
        part = read(file)
        unpacked.append(len(part))
        return part

    monkeypatch.setattr(archive, "_read", counted)
    with open_record(tmp_path / "new.sqlite") as new:
        with pytest.raises(InputError, match=r"bomb\.zip"):
            archive.import_(new, bomb)
        assert set(care.contents(new).rows.values()) == {0}
    assert sum(unpacked) < 4 << 20


@pytest.mark.parametrize("change", [escaping, tampered, without_a_member, of_a_newer_one, nameless])
def test_an_archive_that_was_changed_is_refused_whole(filled, tmp_path, change):
    written = archive.export(filled, tmp_path / "all.zip").archive
    hostile = changed(written, tmp_path / "changed.zip", change)
    with open_record(tmp_path / "new.sqlite") as new:
        with pytest.raises(InputError) as caught:
            archive.import_(new, hostile)
        assert "changed.zip" in sentence(caught)
        assert set(care.contents(new).rows.values()) == {0}
    assert not (tmp_path.parent / "evil.txt").exists()
    assert not (tmp_path.parent.parent / "evil.txt").exists()


def rewritten(members, name, row_change):
    """Change rows and make the manifest agree, as somebody does who means it."""
    rows = [json.loads(line) for line in members[name].splitlines()]
    data = "".join(json.dumps(row_change(row)) + "\n" for row in rows).encode()
    manifest = json.loads(members["manifest.json"])
    for member in manifest["members"]:
        if member["name"] == name:
            member |= {"bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
    other = {**members, name: data, "manifest.json": json.dumps(manifest).encode()}
    return list(other.items())


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("tables/reading.jsonl", lambda row: row | {"head_speed_rpm": None}),
        ("tables/reading.jsonl", lambda row: row | {"head_speed_rpm": float("nan")}),
        ("tables/reading.jsonl", lambda row: row | {"head_speed_rpm": "fast"}),
        ("tables/reading.jsonl", lambda row: row | {"machine_revision_id": "of nobody"}),
        ("tables/reading.jsonl", lambda row: {"id": row["id"]}),
        ("tables/reading.jsonl", lambda row: [row]),
        ("tables/machine_revision.jsonl", lambda row: row | {"text": "another machine"}),
    ],
)
def test_rows_that_do_not_fit_are_refused_whole(filled, tmp_path, name, change):
    written = archive.export(filled, tmp_path / "all.zip").archive
    hostile = changed(written, tmp_path / "changed.zip", lambda members: rewritten(members, name, change))
    with open_record(tmp_path / "new.sqlite") as new:
        with pytest.raises(InputError) as caught:
            archive.import_(new, hostile)
        sentence(caught)
        assert set(care.contents(new).rows.values()) == {0}


def test_an_archive_that_contradicts_the_record_is_refused(filled, tmp_path):
    written = archive.export(filled, tmp_path / "all.zip").archive
    hostile = changed(
        written, tmp_path / "changed.zip",
        lambda members: rewritten(members, "tables/reading.jsonl", lambda row: row | {"head_speed_rpm": 1111.0}),
    )  # fmt: skip
    with pytest.raises(InputError, match="contradicts the record"):
        archive.import_(filled, hostile)


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("tables/reading.jsonl", lambda row: row | {"machine_revision_id": "of nobody"}),
        ("tables/machine_revision.jsonl", lambda row: row | {"text": "another machine"}),
    ],
)
def test_a_refused_archive_leaves_no_record_that_was_not_there(filled, tmp_path, name, change):
    written = archive.export(filled, tmp_path / "all.zip").archive
    hostile = changed(written, tmp_path / "changed.zip", lambda members: rewritten(members, name, change))
    new = tmp_path / "new" / "record.sqlite"
    with pytest.raises(InputError):
        job.bring_in(hostile, new)
    assert not list(new.parent.glob("*"))
    assert sum(job.bring_in(written, new).rows_added.values()) > 0
    with pytest.raises(InputError):
        job.bring_in(hostile, new)
    with known_record(new) as opened:
        assert care.condition(opened).verdict is Outcome.PASS


def test_kept_files_that_were_there_before_survive_a_refused_archive(filled, tmp_path):
    written = archive.export(filled, tmp_path / "all.zip").archive
    hostile = changed(
        written, tmp_path / "changed.zip",
        lambda members: rewritten(members, "tables/reading.jsonl", lambda row: row | {"machine_revision_id": "x"}),
    )  # fmt: skip
    old = tmp_path / "new.files" / "ab" / "of_old.wav"
    old.parent.mkdir(parents=True)
    old.write_bytes(b"kept")
    with pytest.raises(InputError):
        job.bring_in(hostile, tmp_path / "new.sqlite")
    assert old.read_bytes() == b"kept"
    assert not (tmp_path / "new.sqlite").exists()


def test_half_an_archive_is_refused(filled, tmp_path):
    written = archive.export(filled, tmp_path / "all.zip").archive
    half = tmp_path / "half.zip"
    half.write_bytes(written.read_bytes()[:-400])
    with open_record(tmp_path / "new.sqlite") as new, pytest.raises(InputError, match="only part of one"):
        archive.import_(new, half)


def test_a_copied_record_with_its_open_log_is_whole(filled, tmp_path):
    for path in filled.path.parent.glob("record.sqlite*"):
        shutil.copy(path, tmp_path / path.name.replace("record", "copy"))
    with open_record(tmp_path / "copy.sqlite") as copy, copy.reading() as connection:
        assert len(connection.execute(select(tables.reading)).all()) == 50
