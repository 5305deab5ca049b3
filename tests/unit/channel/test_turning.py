"""A rotor that turned where its motor must stand still is a fail, not a reading like others."""

import pytest

from steadyhead.channel.answer import channel
from steadyhead.words.verdict import Outcome
from tests.unit.channel.bench import line_readings, machine, reading


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
    assert not failed(answer)
    (told,) = [said for said in answer.warnings if "between cut-off and start" in said]
    assert f"{590 + 20 * percent:.0f} rpm at {percent:g} %" in told


def test_readings_of_running_positions_are_neither() -> None:
    answer = channel(machine(), line_readings(30.0, 57.0, 83.0))
    assert answer.verdict is Outcome.PASS
    assert not any("between cut-off" in said for said in answer.warnings)


def window_of(readings, **changes):
    answer = channel(machine(**changes), readings)
    return next(check for check in answer.checks if check.check == "autorotation_window")


@pytest.mark.parametrize(
    ("percent", "verdict"), [(9.0, Outcome.UNKNOWN), (15.0, Outcome.UNKNOWN), (21.0, Outcome.PASS)]
)
def test_a_head_that_was_driven_at_the_autorotation_position_or_lower_takes_its_pass_back(percent, verdict) -> None:
    window = window_of(line_readings(percent, 57.0, 70.0, 83.0))
    assert window.verdict is verdict
    assert (f"{590 + 20 * percent:.0f} rpm at {percent:g} %" in window.reason) is (verdict is Outcome.UNKNOWN)


def test_a_motor_that_idles_in_the_autorotation_position_is_as_it_should_be() -> None:
    # 560 rpm/V, 12 full cells, 9 to 1: 3136 rpm unloaded, and 6 % of that at the typical idle duty
    readings = (reading(15.0, 0.06 * 3136.0), *line_readings(57.0, 70.0, 83.0))
    assert window_of(readings).verdict is Outcome.PASS
    logic = '[run_logic]\nstart_delay = "0.1 s"\nidles_after_running = false\n'
    assert window_of(readings, more=logic).verdict is Outcome.UNKNOWN
