"""`compare` through the public command: what the terminal shows, the keys of its JSON, its exit codes."""

import json
import subprocess
import sys
from dataclasses import fields

import pytest

from steadyhead.judge.compare_result import Change, Comparison, Condition
from steadyhead.machine.bundled import bundled
from steadyhead.trace.bundled_logs import DEMO_LOGS

FLIGHT = str(DEMO_LOGS[1])


def steadyhead(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "steadyhead", *words], capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def shown() -> str:
    ran = steadyhead("compare", str(bundled("fox600")), FLIGHT, FLIGHT)
    assert ran.returncode == 1, ran.stderr
    return ran.stdout


@pytest.fixture(scope="module")
def told() -> dict:
    ran = steadyhead("compare", str(bundled("fox600")), FLIGHT, FLIGHT, "--density", "1.20", "1.10", "--json")
    assert ran.returncode == 1, ran.stderr
    return json.loads(ran.stdout)


def test_a_log_against_itself_has_not_changed_and_that_is_unknown_never_pass(told):
    assert told["verdict"] == "unknown"
    assert told["reasons"] == ["the same log lies on both sides, and shows no change whatever was changed"]
    assert told["changes"]
    assert all(one["change"] in (0.0, None) for one in told["changes"])
    assert {one["said"] for one in told["changes"]} == {"cannot tell"}


def test_the_json_has_the_keys_that_the_manual_names(told):
    for kind, found in ((Comparison, told), (Change, told["changes"][0]), (Condition, told["conditions"][0])):
        assert set(found) == {one.name for one in fields(kind)}
    assert told["before"] == told["after"]
    assert any("Main and tail blades off" in caution for caution in told["cautions"])


def test_a_stated_density_is_said_to_be_stated(told):
    air = next(one for one in told["conditions"] if one["condition"] == "air density")
    assert (air["before"], air["after"], air["differs"]) == (1.2, 1.1, True)
    assert air["origin"] == "before: stated; after: stated"


@pytest.mark.parametrize("density", [("1.2", "12.3"), ("0.12", "1.2"), ("1.2", "nan")])
def test_a_slip_in_a_stated_density_is_told_before_any_log_is_read(density):
    ran = steadyhead("compare", str(bundled("fox600")), "no-such-log.csv", "no-such-log.csv", "--density", *density)
    assert ran.returncode == 2
    assert "air density" in ran.stderr
    assert "0.5 to 1.6" in ran.stderr
    assert "no-such-log" not in ran.stderr


def test_the_terminal_shows_figures_conditions_and_where_the_density_came_from(shown):
    words = " ".join(shown.split())
    assert shown.startswith("Before and after on Fox 600: unknown")
    for heading in ("figure", "before", "after", "change", "90 % of it", "counted", "said", "or was it"):
        assert heading in shown
    assert "head speed rpm" in shown
    assert "Conditions" in shown
    assert all(line.strip() != "-" for line in shown.splitlines())
    assert "before: the site in the machine file, not the day's weather; after: the site" in words
    assert "the day's air is not known on both sides: it may have differed" in words
    assert "one flight before the change" in words
    assert "Main and tail blades off" in words


def test_a_missing_log_is_one_sentence_and_exit_2():
    ran = steadyhead("compare", str(bundled("fox600")), FLIGHT, "nowhere.csv")
    assert ran.returncode == 2
    assert "nowhere.csv" in ran.stderr
    assert "Traceback" not in ran.stderr
