"""A rotor that turned where its motor must stand still is a fail, not a reading like others."""

import pytest

from steadyhead.channel.answer import channel
from steadyhead.words.verdict import Outcome
from tests.unit.channel.bench import line_readings, machine


def failed(answer):
    return {check.check: check.reason for check in answer.checks if check.verdict is Outcome.FAIL}


def test_a_rotor_that_turned_in_throttle_hold_fails() -> None:
    answer = channel(machine(), line_readings(0.0, 57.0, 70.0, 83.0))
    assert answer.verdict is Outcome.FAIL
    assert "where throttle hold lies" in failed(answer)["at_rest: 0 %"]


def test_a_rotor_that_turned_below_the_cut_off_fails_also_where_hold_is_not_stated() -> None:
    for percent in (0.0, 5.0):
        answer = channel(machine(without=("hold",)), line_readings(percent, 57.0, 70.0, 83.0))
        assert "below the cut-off (8 %)" in failed(answer)[f"at_rest: {percent:g} %"]


def test_a_rotor_that_turned_in_throttle_hold_fails_where_the_cut_off_is_not_known() -> None:
    answer = channel(machine(without=("cut_off",)), line_readings(0.0, 57.0, 70.0, 83.0))
    assert list(failed(answer)) == ["at_rest: 0 %"]


@pytest.mark.parametrize("percent", [8.0, 15.0, 22.0])
def test_a_motor_may_be_lowered_between_cut_off_and_start_and_that_is_told(percent) -> None:
    answer = channel(machine(), line_readings(percent, 57.0, 70.0, 83.0))
    assert answer.verdict is Outcome.PASS
    (told,) = [said for said in answer.warnings if "between cut-off and start" in said]
    assert f"{590 + 20 * percent:.0f} rpm at {percent:g} %" in told


def test_readings_of_running_positions_are_neither() -> None:
    answer = channel(machine(), line_readings(30.0, 57.0, 83.0))
    assert answer.verdict is Outcome.PASS
    assert not any("between cut-off" in said for said in answer.warnings)
