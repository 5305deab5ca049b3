"""`steadyhead logic` as a user meets it: exit codes, JSON keys, the story in the terminal, cautions."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from steadyhead.machine.bundled import bundled

CODES = {"fox600": 1, "heron520": 0, "wren450": 0}


def steadyhead(*words: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "steadyhead", *words],
        capture_output=True, text=True, check=False, cwd=cwd, env={**os.environ, "NO_COLOR": "1"}, encoding="utf-8",
    )  # fmt: skip


@pytest.mark.parametrize("name", CODES)
def test_the_exit_code_is_the_verdict(name):
    ran = steadyhead("logic", str(bundled(name)), "--json")
    answer = json.loads(ran.stdout)
    assert ran.returncode == CODES[name], ran.stderr
    assert answer["verdict"] == ("fail" if CODES[name] else "pass")
    promised = (
        "machine machine_revision settings rules states tick_s seconds verdict reasons unknowns warnings cautions"
    )
    assert set(promised.split()) == answer.keys()
    assert {"rule", "says", "check", "story", "switch_moves"} == answer["rules"][0].keys()


def test_the_story_stands_in_the_terminal_and_in_the_json():
    shown = steadyhead("logic", str(bundled("fox600")))
    answer = json.loads(steadyhead("logic", str(bundled("fox600")), "--json").stdout)
    assert shown.returncode == 1
    assert "Main and tail blades off for every bench test with a live motor." in shown.stdout
    story = next(rule["story"] for rule in answer["rules"] if rule["story"])
    assert len(story) > 5
    for step in story:
        assert step["says"] in shown.stdout
        assert f"{step['time_s']:.2f}" in shown.stdout
    for rule in answer["rules"]:
        assert rule["rule"].replace("_", " ") in shown.stdout


def test_unknown_settings_end_in_1_and_are_named(tmp_path):
    text = Path(bundled("heron520")).read_text("utf-8").replace('permission = "idle band"\n', "")
    (tmp_path / "heron.toml").write_text(text, "utf-8")
    ran = steadyhead("logic", "heron.toml", "--json", cwd=tmp_path)
    assert ran.returncode == 1
    answer = json.loads(ran.stdout)
    assert answer["verdict"] == "unknown"
    assert "run_logic.permission" in answer["unknowns"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('permission = "idle band"', 'permission = "sometimes"', "idle band, time"),
        ("arm_visits = 1", "arm_visits = 0", "arm_visits"),
        ('stop_delay = "0.02 s"', 'stop_delay = "0.02 m"', "stop_delay"),
        ("idles_from_rest = false", 'idles_from_rest = "no"', "idles_from_rest"),
    ],
)
def test_bad_settings_end_in_one_sentence_and_2(tmp_path, old, new, said):
    text = Path(bundled("heron520")).read_text("utf-8")
    assert old in text
    (tmp_path / "heron.toml").write_text(text.replace(old, new), "utf-8")
    ran = steadyhead("logic", "heron.toml", cwd=tmp_path)
    assert ran.returncode == 2, ran.stdout
    assert said in ran.stderr
    assert "Traceback" not in ran.stderr


def test_a_missing_file_ends_in_2():
    ran = steadyhead("logic", "nowhere.toml")
    assert ran.returncode == 2
    assert "nowhere.toml" in ran.stderr


def test_two_runs_tell_the_same_but_for_the_clock():
    first, second = (json.loads(steadyhead("logic", str(bundled("fox600")), "--json").stdout) for _ in range(2))
    assert {**first, "seconds": 0} == {**second, "seconds": 0}
