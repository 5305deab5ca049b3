"""Head speeds through the gears never pass by themselves: another main gear would read alike, at another head speed."""

from dataclasses import replace

import pytest

from steadyhead.channel.answer import channel
from steadyhead.channel.result import MOTOR_SIDE, Reading
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome
from tests.unit.channel.bench import line_readings, machine, reading

REAL_HEAD_SPEED = ("curve", "todays_curve", "head_speed_limit")
LIMIT = '[limits]\nhead_speed_max = "2400 rpm"\n'


def geared(*percents: float) -> tuple[Reading, ...]:
    return tuple(replace(one, source=f"held.wav, {MOTOR_SIDE}") for one in line_readings(*percents))


def verdicts(answer):
    return {check.check: check.verdict for check in answer.checks}


def test_readings_through_the_gears_alone_pass_no_check_on_the_real_head_speed() -> None:
    answer = channel(machine(more=LIMIT), geared(57.0, 70.0, 83.0))
    found = verdicts(answer)
    assert found["read_at_head"] is Outcome.UNKNOWN
    assert found["set_point_law"] is Outcome.PASS
    named = {name: said for name, said in found.items() if name.startswith(REAL_HEAD_SPEED)}
    assert len(named) == 9
    assert set(named.values()) == {Outcome.UNKNOWN}
    assert {mode.verdict for mode in answer.modes} == {Outcome.UNKNOWN}
    assert any("read at the head itself" in need for need in answer.unknowns)


@pytest.mark.parametrize("percent", [57.0, 64.0, 90.0])
def test_one_reading_at_the_head_that_agrees_bears_the_others_out(percent) -> None:
    answer = channel(machine(more=LIMIT), (*geared(57.0, 70.0, 83.0), *line_readings(percent)))
    assert answer.verdict is Outcome.PASS
    assert verdicts(answer)["read_at_head"] is Outcome.PASS


def test_readings_at_the_head_need_no_other() -> None:
    answer = channel(machine(), line_readings(57.0, 70.0, 83.0))
    assert "read_at_head" not in verdicts(answer)
    assert answer.verdict is Outcome.PASS


def test_another_main_gear_shows_at_the_first_reading_at_the_head() -> None:
    faster = reading(64.0, 1.044 * (590.0 + 20.0 * 64.0))
    answer = channel(machine(more=LIMIT), (*geared(57.0, 70.0, 83.0), faster))
    assert verdicts(answer)["read_at_head"] is Outcome.FAIL
    told = next(check.reason for check in answer.checks if check.check == "read_at_head")
    assert "1.044" in told
    assert "count the teeth" in told


def test_the_head_limit_is_held_against_what_the_head_may_turn() -> None:
    near = '[limits]\nhead_speed_max = "2270 rpm"\n'
    readings = (*geared(57.0, 70.0, 83.0), reading(57.0, 1740.0, spread_rpm=20.0))
    assert verdicts(channel(machine(more=near), line_readings(57.0, 70.0, 83.0)))["head_speed_limit: idle-up 2"] is (
        Outcome.PASS
    )
    assert verdicts(channel(machine(more=near), readings))["head_speed_limit: idle-up 2"] is Outcome.UNKNOWN


def test_a_loose_reading_at_the_head_bears_nothing_out() -> None:
    loose = reading(57.0, 1730.0, spread_rpm=70.0)
    answer = channel(machine(), (*geared(57.0, 70.0, 83.0), loose))
    assert verdicts(answer)["read_at_head"] is Outcome.UNKNOWN
    assert answer.verdict is Outcome.UNKNOWN


def test_a_reading_of_the_file_that_a_log_gave_through_the_gears_says_so() -> None:
    rows = "".join(
        f'[[reading]]\nchannel = "{percent} %"\n'
        f'head_speed = {{ value = "{590 + 20 * percent} rpm", spread = "5 rpm", note = "bench.csv, {MOTOR_SIDE}" }}\n'
        for percent in (57, 70, 83)
    )
    answer = channel(machine(more=rows))
    assert verdicts(answer)["read_at_head"] is Outcome.UNKNOWN


def test_two_head_speeds_at_one_position_may_be_teeth_miscounted() -> None:
    with pytest.raises(InputError, match="count the teeth"):
        channel(machine(), (*geared(57.0, 70.0, 83.0), reading(70.0, 2090.0)))


def test_every_row_through_the_gears_says_so_whatever_its_verdict() -> None:
    answer = channel(machine(more=LIMIT), geared(57.0, 83.0))
    rests = [check for check in answer.checks if check.check.startswith(REAL_HEAD_SPEED)]
    assert rests
    assert all("motor and gears alone" in row.reason for row in (*rests, *answer.modes))


def test_every_row_through_the_gears_says_what_one_tooth_would_make_of_it() -> None:
    # The interval of a curve value holds the doubt of the readings alone: teeth that were typed may be one off.
    own = machine(more=LIMIT)
    answer = channel(own, geared(57.0, 83.0))
    pinion, gear = own.gears.pinion_teeth.number, own.gears.main_gear_teeth.number
    said = (
        f"{100.0 / pinion:.1f} % with one tooth on the pinion and {100.0 / gear:.1f} % with one tooth on the main gear"
    )
    rests = [check for check in answer.checks if check.check.startswith(REAL_HEAD_SPEED)]
    assert rests
    assert all(said in row.reason for row in (*rests, *answer.modes))
    borne_out = channel(own, (*geared(57.0, 83.0), *line_readings(70.0)))
    assert not any("one tooth" in check.reason for check in borne_out.checks)
