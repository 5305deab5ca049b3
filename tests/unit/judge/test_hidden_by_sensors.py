"""Faults of invented dirty logs that once passed, since the sensor or a hole hid them: none may pass again."""

from pathlib import Path

import pytest

from steadyhead.judge.gearing_of import gearing_of
from steadyhead.judge.judging import judge
from steadyhead.trace.reading import read_trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.given_machine import machine_from
from tests.naive.dirty_log import dirty_log
from tests.naive.hidden_story import flight_of

HIDDEN = [
    (182, "quick_restart_time"),
    (227, "no_hunting"),
    (281, "soft_start_time"),
    (385, "no_hunting"),
    (385, "recovery"),
    (452, "esc_current"),
    (1235, "overspeed"),
    (1712, "duty_margin"),
]
SOUND = [
    (1632, "steady_band"),
    (1686, "recovery"),
    (1691, "recovery"),
    (1744, "recovery"),
    (1760, "recovery"),
    (1863, "recovery"),
    (1886, "recovery"),
    (1998, "recovery"),
]
"""Sound figures that failed: a lone faulty row, the noise of a row, pumps taken for a climb, a frozen sensor."""


@pytest.mark.parametrize(("seed", "name"), HIDDEN)
def test_a_fault_that_the_sensor_hides_does_not_pass(seed: int, name: str, tmp_path: Path) -> None:
    assert flight_of(seed).truth[name][0] == "fail"
    verdict = judged(seed, name, tmp_path)
    assert verdict.verdict is not Outcome.PASS, verdict.reason


@pytest.mark.parametrize(("seed", "name"), SOUND)
def test_a_sound_figure_behind_a_faulty_sensor_does_not_fail(seed: int, name: str, tmp_path: Path) -> None:
    assert flight_of(seed).truth[name][0] == "pass"
    verdict = judged(seed, name, tmp_path)
    assert verdict.verdict is not Outcome.FAIL, verdict.reason


def judged(seed: int, name: str, tmp_path: Path) -> Verdict:
    flight = flight_of(seed)
    path = tmp_path / "dirty"
    path.write_bytes(dirty_log(flight, seed).data)
    machine = machine_from(flight.given)
    found = judge(machine, read_trace(path, gearing=gearing_of(machine), remember=False))
    return next(check for check in found.checks if check.check == name)
