"""`judge` on several logs through the public command: one that cannot be read is named, and the others are judged."""

import json
import subprocess
import sys

import pytest

from steadyhead.machine.bundled import bundled
from steadyhead.trace.bundled_logs import DEMO_LOGS

FLIGHT = str(DEMO_LOGS[1])


def judged(*words: str) -> subprocess.CompletedProcess[str]:
    whole = [sys.executable, "-m", "steadyhead", "judge", str(bundled("fox600")), *words]
    return subprocess.run(whole, capture_output=True, text=True, check=False)


@pytest.fixture
def broken(tmp_path):
    path = tmp_path / "monday" / "flight.csv"
    path.parent.mkdir()
    path.write_text("x\n", "utf-8")
    return str(path)


def test_the_sound_log_is_judged_and_the_other_is_named_by_its_whole_path(broken):
    ran = judged(FLIGHT, broken, "no-such-log.csv", "--json")
    told = json.loads(ran.stdout)
    alone = json.loads(judged(FLIGHT, "--json").stdout)
    assert [log["checks"] for log in told["logs"]] == [alone["checks"]]
    assert [said.partition(": ")[0] for said in told["unread"]] == [broken, "no-such-log.csv"]
    assert told["verdict"] != "pass"
    assert ran.returncode == 2
    assert broken in ran.stderr


def test_what_must_hold_in_every_flight_does_not_pass_while_one_log_is_unread(broken):
    told = json.loads(judged(FLIGHT, broken, "--json").stdout)
    passed = {one["check"] for log in told["logs"] for one in log["checks"] if one["verdict"] == "pass"}
    together = {one["check"]: one for one in told["checks"]}
    assert {"cell_voltage", "esc_current", "climb_droop"} <= passed
    assert together["cell_voltage"]["verdict"] == together["esc_current"]["verdict"] == "unknown"
    assert "not every log could be read" in together["esc_current"]["reason"]
    assert together["climb_droop"]["verdict"] == "pass"


def test_the_terminal_says_which_log_was_not_read(broken):
    shown = judged(FLIGHT, broken).stdout
    assert "1 log, 1 flight together" in shown
    assert "Not read, and not judged" in shown


def test_with_no_log_to_be_read_the_command_is_refused(broken):
    ran = judged(broken, "no-such-log.csv")
    assert ran.returncode == 2
    assert "flight.csv: read" in ran.stderr
