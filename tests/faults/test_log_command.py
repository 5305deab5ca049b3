"""Every broken file from the command line: one sentence and 2, or an answer in plain JSON with the warning in it."""

import json

import pytest
from typer.testing import CliRunner

from steadyhead.cli.main import app
from steadyhead.machine.bundled import bundled
from tests.faults.test_log_malformed import FOLDER, READ, REFUSED

FOX = str(bundled("fox600"))
RUNNER = CliRunner()


@pytest.mark.parametrize("name", REFUSED)
def test_a_refused_file_ends_in_two_and_one_sentence(name: str) -> None:
    ran = RUNNER.invoke(app, ["judge", FOX, str(FOLDER / name)])
    assert ran.exit_code == 2
    assert REFUSED[name] in ran.stderr
    assert ran.stderr.count("\n") == 1
    assert ran.stdout == ""


@pytest.mark.parametrize("name", READ)
def test_a_faulty_log_is_judged_with_its_warning_and_never_passes(name: str) -> None:
    rows, warning = READ[name]
    ran = RUNNER.invoke(app, ["judge", FOX, str(FOLDER / name), "--json"])
    assert ran.exit_code == 1
    answer = json.loads(ran.stdout, parse_constant=lambda word: pytest.fail(f"{word} is no JSON number"))
    assert answer["rows_read"] == rows
    assert warning in "\n".join(answer["warnings"])
    assert answer["verdict"] in ("fail", "unknown")
    for segment in answer["segments"]:
        assert segment["end_s"] > segment["start_s"]


def test_a_broken_log_among_sound_ones_ends_in_two_says_which_and_leaves_the_others_judged() -> None:
    ran = RUNNER.invoke(app, ["judge", FOX, str(FOLDER / "formula_cells.csv"), str(FOLDER / "empty.csv")])
    assert ran.exit_code == 2
    assert "empty.csv" in ran.stderr
    assert "formula_cells.csv" in ran.stdout
    assert "Not read, and not judged" in ran.stdout
