"""`record` as a user meets it: JSON keys, exit codes, one sentence."""

import json
import subprocess
import sys

import pytest
from typer.testing import CliRunner

from steadyhead.bench.record import keep_machine, open_record
from steadyhead.cli.main import app
from steadyhead.machine.bundled import bundled


def steadyhead(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "steadyhead", *words], capture_output=True, text=True, check=False)


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("STEADYHEAD_HOME", str(tmp_path))
    with open_record() as record:
        keep_machine(record, bundled("fox600"))
    return tmp_path


def test_what_is_kept_goes_out_and_comes_in_again(home):
    listed = json.loads(steadyhead("record", "list", "--json").stdout)
    assert listed["machines"][0]["machine"] == "Fox 600"
    assert listed["rows"]["pack"] == 4
    written = steadyhead("record", "export", str(home / "all.zip"), "--json")
    assert json.loads(written.stdout)["rows"] == listed["rows"]
    other = str(home / "other.sqlite")
    brought = steadyhead("record", "import", str(home / "all.zip"), "--record", other, "--json")
    assert json.loads(brought.stdout)["rows_added"] == listed["rows"]
    checked = steadyhead("record", "check", "--record", other)
    assert checked.returncode == 0
    assert "pass" in checked.stdout
    assert json.loads(steadyhead("record", "backup", str(home / "b.sqlite"), "--json").stdout)["files_copied"] == 0


def test_what_cannot_be_used_is_one_sentence_and_exit_2(home):
    (home / "notes.txt").write_text("no archive")
    for words in (("import", str(home / "notes.txt")), ("list", "--record", str(home / "notes.txt"))):
        ran = steadyhead("record", *words)
        assert ran.returncode == 2
        assert ran.stderr.startswith("steadyhead: ")
        assert ran.stderr.count("\n") == 1


@pytest.mark.parametrize("words", [("list",), ("check",), ("export", "all.zip"), ("backup", "copy.sqlite")])
@pytest.mark.parametrize("is_emptied", [False, True])
def test_who_only_reads_makes_no_record_and_takes_none_that_is_empty(tmp_path, monkeypatch, words, is_emptied):
    monkeypatch.chdir(tmp_path)
    record = tmp_path / ("kite.sqlite" if is_emptied else "folder/kite.sqlite")
    if is_emptied:
        record.touch()
    ran = CliRunner().invoke(app, ["record", *words, "--record", str(record)])
    assert ran.exit_code == 2
    assert str(record) in ran.output.replace("\n", "")
    assert "an empty file" in ran.output if is_emptied else "no record of that name" in ran.output
    assert [path.name for path in tmp_path.rglob("*")] == ([record.name] if is_emptied else [])


def test_a_missing_file_fails_the_check_with_exit_1(home, tmp_path):
    from steadyhead.bench.record import keep_recording

    (tmp_path / "a.wav").write_bytes(bytes(100))
    with open_record() as record:
        keep_recording(record, keep_machine(record, bundled("fox600")), tmp_path / "a.wav")
        next(record.files.glob("??/*.wav")).unlink()
    ran = steadyhead("record", "check")
    assert ran.returncode == 1
    assert "the file is gone" in ran.stdout
