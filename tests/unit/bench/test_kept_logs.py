"""Which kept logs are evidence: of one file the latest reading, nothing that was left out or not understood."""

import json
import shutil
from dataclasses import replace

import pytest

from steadyhead import job
from steadyhead.bench import archive, shelf
from steadyhead.bench.log_notes import Note, Noted, standings
from steadyhead.bench.record import keep_log, keep_machine, keep_machine_text, leave_out, open_record
from steadyhead.machine.bundled import bundled
from steadyhead.report.kept_logs import kept_verdict, log_labels, logs_shown, standing_words
from steadyhead.trace.bundled_logs import DEMO_LOGS
from steadyhead.words.errors import InputError


def unchanged(_log):
    return ()


@pytest.fixture
def record(tmp_path):
    with open_record(tmp_path / "record.sqlite") as opened:
        yield opened


@pytest.fixture(scope="module")
def readings():
    """One log as it was read, the same file read without duty, and read so that nothing was understood."""
    read = job.judge(job.read_machine(bundled("fox600")), DEMO_LOGS[0])
    channels = {name: values for name, values in read.trace.channels.items() if name != "duty"}
    less = replace(read, trace=replace(read.trace, channels=channels))
    return read, less, replace(read, trace=replace(read.trace, channels={}))


@pytest.fixture
def log(tmp_path):
    return shutil.copy(DEMO_LOGS[0], tmp_path / "flight.csv")


def evidence(record):
    return [kept.id for kept in shelf.logs(record, "Fox 600") if kept.is_evidence]


def test_of_one_file_the_reading_that_was_brought_last_is_evidence(record, readings, log):
    revision = keep_machine(record, bundled("fox600"))
    first = keep_log(record, revision, readings[0], source=log, said={"out": "duty:%"})
    second = keep_log(record, revision, readings[1], source=log, said={"out": "ignore"})
    assert evidence(record) == [second]
    assert [kept.standing.replaced for kept in shelf.logs(record, "Fox 600")] == [False, True]
    keep_log(record, revision, readings[0], source=log)
    assert evidence(record) == [first]


def test_another_file_and_a_log_whose_file_is_not_known_stay(record, readings, log, tmp_path):
    revision = keep_machine(record, bundled("fox600"))
    other = tmp_path / "other.csv"
    other.write_text("another content")
    first = keep_log(record, revision, readings[0], source=log)
    second = keep_log(record, revision, readings[1], source=other)
    assert set(evidence(record)) == {first, second}
    third = keep_log(record, revision, readings[1])
    assert third == second
    assert set(evidence(record)) == {first, second}


def test_a_newer_reading_holds_for_every_revision_of_the_machine(record, readings, log):
    first = keep_machine(record, bundled("fox600"))
    keep_log(record, first, readings[0], source=log)
    text = bundled("fox600").read_text("utf-8").replace("pinion_teeth = 13", "pinion_teeth = 14")
    second = keep_machine_text(record, text, "fox600.toml")
    newest = keep_log(record, second, readings[1], source=log)
    assert evidence(record) == [newest]


def test_a_log_of_which_nothing_is_understood_is_no_evidence_and_takes_the_old_reading_away(record, readings, log):
    revision = keep_machine(record, bundled("fox600"))
    keep_log(record, revision, readings[0], source=log)
    keep_log(record, revision, readings[2], source=log)
    assert evidence(record) == []
    said = standing_words(shelf.logs(record, "Fox 600"))
    assert said == ("0 logs are taken as evidence; 1 replaced by a newer reading; 1 of which nothing was understood.")


def test_a_log_is_left_out_and_taken_in_again_by_a_row_that_is_added(record, readings, log, tmp_path):
    revision = keep_machine(record, bundled("fox600"))
    key = keep_log(record, revision, readings[0], source=log)
    leave_out(record, key, out=True)
    assert evidence(record) == []
    assert standing_words(shelf.logs(record, "Fox 600")) == "0 logs are taken as evidence; 1 left out by you."
    assert (
        logs_shown(shelf.logs(record, "Fox 600"), unchanged).standing
        == "0 logs are taken as evidence; 1 left out by you."
    )
    leave_out(record, key, out=False)
    assert logs_shown(shelf.logs(record, "Fox 600"), unchanged).standing == ""
    assert evidence(record) == [key]
    with pytest.raises(InputError, match="no log nobody"):
        leave_out(record, "nobody", out=True)
    leave_out(record, key, out=True)
    archive.export(record, tmp_path / "all.zip")
    with open_record(tmp_path / "other" / "record.sqlite") as brought:
        archive.import_(brought, tmp_path / "all.zip")
        assert [kept.id for kept in shelf.logs(brought, "Fox 600")] == [key]
        assert evidence(brought) == []


def test_logs_that_look_alike_are_told_apart(record, readings, log, tmp_path):
    revision = keep_machine(record, bundled("fox600"))
    other = tmp_path / "other.csv"
    other.write_text("another content")
    keep_log(record, revision, readings[0], source=log, said={"out": "duty:%"})
    keep_log(record, revision, readings[1], source=log, said={"out": "ignore"})
    keep_log(record, revision, readings[2], source=other, said={"out": "ignore"})
    kept = shelf.logs(record, "Fox 600")
    labels = log_labels(kept)
    assert len(set(labels.values())) == 3
    assert "read with out = duty:%" in labels[kept[2].id]


def test_a_reading_of_a_kept_log_is_called_by_the_name_of_its_file(record, readings):
    revision = keep_machine(record, bundled("fox600"))
    keep_log(record, revision, replace(readings[0], log="/somewhere/laid-here/1f00/over.csv"))
    (kept,) = shelf.logs(record, "Fox 600")
    assert kept.standing.readings
    assert all(one.source.startswith("over.csv, ") for one in kept.standing.readings)


def test_a_reading_that_was_kept_with_its_folder_is_shown_without_it():
    told = {"percent": 70.0, "head_speed_rpm": 1850.0, "spread_rpm": 1.0, "source": "C:\\laid/1f00/over.csv, 2 to 9 s"}
    body = json.dumps({"source": "", "channels": ["duty"], "said": {}, "readings": [told]})
    stand = standings([("log", "trace")], [Note(log="log", kind=Noted.BROUGHT, body=body)])
    assert [one.source for one in stand["log"].readings or ()] == ["over.csv, 2 to 9 s"]


def test_a_kept_log_says_its_verdict_and_a_simulated_one_is_no_evidence(record, readings):
    revision = keep_machine(record, bundled("fox600"))
    keep_log(record, revision, readings[0])
    (kept,) = shelf.logs(record, "Fox 600")
    assert kept.verdict == readings[0].verdict.value
    assert readings[0].verdict.value in kept_verdict(kept)
    made = replace(readings[0], log="made.csv", trace=replace(readings[1].trace, simulated=True))
    keep_log(record, revision, made)
    assert evidence(record) == [kept.id]
    assert "1 simulated" in standing_words(shelf.logs(record, "Fox 600"))
