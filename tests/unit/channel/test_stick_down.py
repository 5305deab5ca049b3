"""The stick-down value of a curve that is not flat, held against both thresholds."""

import pytest

from steadyhead.channel.answer import channel
from steadyhead.words.verdict import Outcome
from tests.unit.channel.bench import line_readings, machine

READINGS = line_readings(57.0, 70.0, 83.0)
CHECK = "stick_down: normal"


def with_low(low: str, **changed):
    modes = (("normal", "1730 rpm", f'57 %"\nchannel_low = "{low}'), ("idle-up 2", "2250 rpm", "83 %"))
    return channel(machine(modes=modes, **changed), READINGS)


@pytest.mark.parametrize(
    ("low", "outcome", "warned"),
    [
        ("40 %", Outcome.PASS, ""),
        ("3 %", Outcome.PASS, "lies below the cut-off: the motor stops there"),
        ("14 %", Outcome.PASS, "lies below the start threshold: the motor is not governed there"),
        ("8.1 %", Outcome.FAIL, "lies below the start threshold"),
        ("22.1 %", Outcome.FAIL, ""),
    ],
)
def test_the_stick_down_value_keeps_off_both_thresholds_and_says_where_it_lies(low, outcome, warned) -> None:
    answer = with_low(low)
    assert next(check for check in answer.checks if check.check == CHECK).verdict is outcome
    told = [said for said in answer.warnings if "with the stick down" in said]
    assert len(told) == (1 if warned else 0)
    assert all(warned in said for said in told)


def test_without_a_threshold_the_stick_down_value_is_unknown() -> None:
    check = next(one for one in with_low("14 %", without=("start",)).checks if one.check == CHECK)
    assert check.verdict is Outcome.UNKNOWN
    assert check.needs == ("channel.start",)


def test_a_flat_curve_has_no_stick_down_value_to_judge() -> None:
    assert not [one for one in channel(machine(), READINGS).checks if one.check.startswith("stick_down")]
