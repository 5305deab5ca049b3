"""`bench` as a flyer meets it: cards, exit codes, JSON, going on, and the evidence on channel and sheet."""

import json
import subprocess
import sys

import pytest

from steadyhead.bench import guided
from steadyhead.bench.record import keep_machine_text, open_record
from steadyhead.cli.show_bench import guide
from steadyhead.machine.bundled import bundled
from steadyhead.words.errors import InputError
from tests.unit.bench.bench_answers import head_speed, typed
from tests.unit.bench.test_recordings import recorded, silent


def steadyhead(*words: str, typed_lines: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "steadyhead", *words], capture_output=True, text=True, check=False, input=typed_lines
    )


@pytest.fixture
def fox(tmp_path, monkeypatch):
    monkeypatch.setenv("STEADYHEAD_HOME", str(tmp_path / "home"))
    path = tmp_path / "fox.toml"
    text = bundled("fox600").read_text("utf-8").replace('autorotation = "5 %"', 'autorotation = "15 %"')
    path.write_text(text, "utf-8")
    return path


def answered_to_the_end(fox) -> list[str]:
    """Run the whole procedure and return what was typed."""
    words = []
    with open_record() as record:
        run = guided.start_run(record, fox).run
        while step := guided.current_step(record, run):
            words.append(typed(step))
            guided.answer(record, run, step.step, words[-1])
    return words


def test_the_cautions_come_first_and_nothing_is_confirmed_without_them(fox):
    ran = steadyhead("bench", str(fox))
    assert ran.returncode == 1
    first = ran.stdout.index("Main and tail blades off for every bench test")
    assert first < ran.stdout.index("Have you read them")
    assert "Which pulse width" not in ran.stdout
    assert "Unhandled" not in ran.stderr


def test_typed_lines_lead_through_and_a_wrong_one_is_asked_again(fox):
    ran = steadyhead("bench", str(fox), typed_lines="yes\nyes\nyes\nmaybe\nyes\n1100\n")
    assert ran.returncode == 1
    assert "read 'maybe'" in ran.stdout
    assert "the low end lands at 1100 us, on the learned 1100 us" in ran.stdout
    assert "The run is paused" in ran.stdout


class Changed:
    """Answers that another window changes the machine file between."""

    def __init__(self, record, text):
        self.record, self.text = record, text

    def __iter__(self):
        yield "yes"
        keep_machine_text(self.record, self.text, "fox.toml")
        yield "yes"


def test_no_answer_is_taken_by_an_older_machine_file(fox):
    with open_record() as record:
        begun = guided.start_run(record, fox)
        changed = Changed(record, fox.read_text("utf-8").replace("pinion_teeth = 13", "pinion_teeth = 14"))
        with pytest.raises(InputError, match="changed in another window"):
            guide(record, begun, changed, as_json=True)
        after = guided.run_summary(record, begun.run)
    assert after.paused
    assert after.events == begun.events + 2


def test_a_refused_scripted_answer_is_one_sentence_and_exit_2(fox):
    ran = steadyhead("bench", str(fox), "--answer", "perhaps", "--json")
    assert ran.returncode == 2
    assert ran.stderr.strip().splitlines()[-1].startswith("steadyhead: Cautions: read 'perhaps'")


def test_a_run_goes_on_where_it_was_left_and_asks_for_safety_again(fox):
    words = ("yes", "yes", "yes", "yes", "1100")
    first = json.loads(steadyhead("bench", str(fox), *flags(words), "--json").stdout)
    again = json.loads(steadyhead("bench", str(fox), *flags(("yes", "yes", "yes", "yes", "1900")), "--json").stdout)
    assert again["run"] == first["run"]
    done = [one["step"] for one in again["steps"] if one["state"] == "done"]
    assert done == ["end_point: low", "end_point: high"]
    new = json.loads(steadyhead("bench", str(fox), "--new", "--answer", "yes", "--json").stdout)
    assert new["run"] != first["run"]


def flags(words):
    return [part for word in words for part in ("--answer", word)]


def test_a_whole_run_passes_and_three_ways_in_agree(fox):
    words = answered_to_the_end(fox)
    with open_record() as record:
        library = guided.run_summary(record, guided.latest_run(record, "Fox 600"))
    scripted = steadyhead("bench", str(fox), "--new", *flags(words), "--json")
    by_hand = steadyhead("bench", str(fox), "--new", "--json", typed_lines="\n".join(words))
    for ran in (scripted, by_hand):
        assert ran.returncode == 0, ran.stderr
        answer = json.loads(ran.stdout)
        assert answer["verdict"] == "pass"
        assert [(s["step"], s["answer"], s["verdict"]) for s in answer["steps"] if s["part"] != "safety"] == [
            (s.step, s.answer, s.verdict.value) for s in library.steps if s.part != "safety"
        ]


def test_the_run_is_evidence_for_channel_and_sheet(fox, tmp_path):
    assert steadyhead("sheet", str(fox), "--from-bench").returncode == 2
    answered_to_the_end(fox)
    answer = json.loads(steadyhead("channel", str(fox), "--from-bench", "--json").stdout)
    assert len(answer["readings"]) >= 3
    assert all(reading["source"].startswith("bench run, 20") for reading in answer["readings"])
    steadyhead("sheet", str(fox), "--from-bench", "--out", str(tmp_path / "sheet"))
    page = (tmp_path / "sheet" / "setup-sheet.html").read_text("utf-8")
    assert "Bench run" in page
    assert "Throttle hold in the quick restart" in page
    assert "Evidence: bench run of 20" in page
    kept = json.loads(steadyhead("record", "list", "--json").stdout)["rows"]
    assert kept["sheet"] == 4


def test_a_recording_answers_a_step_as_a_log_does(fox, tmp_path):
    with open_record() as record:
        run = guided.start_run(record, fox).run
        while not (step := guided.current_step(record, run)).step.startswith("set_point"):
            guided.answer(record, run, step.step, typed(step))
    safety = flags(("yes", "yes", "yes", "yes"))
    refused = steadyhead("bench", str(fox), *safety, "--answer", f"log {silent(tmp_path / 'still.wav')}", "--json")
    assert refused.returncode == 2
    assert "still.wav, in which this machine is not heard" in refused.stderr
    held = recorded(tmp_path / "held.ogg", head_speed(step.percent))
    ran = steadyhead("bench", str(fox), *safety, "--answer", f"log {held}", "--json")
    assert ran.returncode == 1, ran.stderr
    told = next(one for one in json.loads(ran.stdout)["steps"] if one["step"] == step.step)
    assert told["state"] == "done"
    assert told["source"] == "recording held.ogg"
    kept = json.loads(steadyhead("record", "list", "--json").stdout)["rows"]
    assert kept["recording"] == 1


def test_an_edited_machine_takes_from_the_evidence(fox, tmp_path):
    answered_to_the_end(fox)
    fox.write_text(fox.read_text("utf-8").replace("pinion_teeth = 13", "pinion_teeth = 14"), "utf-8")
    steadyhead("sheet", str(fox), "--from-bench", "--out", str(tmp_path / "sheet"))
    page = (tmp_path / "sheet" / "setup-sheet.html").read_text("utf-8")
    assert "void: pinion or gear" in page
    assert "to run again" in page
