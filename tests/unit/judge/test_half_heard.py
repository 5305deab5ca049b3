"""Half of the true speed sounds alike where every second line is heard: it is told, and not held where poles lack."""

import pytest

from steadyhead.judge.half_heard import octave_told, sure_speeds
from steadyhead.judge.held_heard import SpeedHeard
from steadyhead.machine.reading import machine_from_text
from tests.given_machine import machine_text
from tests.property.test_judge_any_trace import GIVEN

MODES = "".join(
    f'[[flight_mode]]\nname = "{name}"\nhead_speed = "{rpm} rpm"\n' for name, rpm in (("one", 2400), ("two", 2950))
)


def of(poles: bool):
    text = machine_text(GIVEN)
    assert "poles = 10\n" in text
    return machine_from_text((text if poles else text.replace("poles = 10\n", "")) + MODES, "made.toml")


def held(rpm: float) -> SpeedHeard:
    return SpeedHeard(
        start_s=30.0, end_s=32.0, head_speed_rpm=rpm, head_speed_rpm_interval=(rpm - 2.0, rpm + 2.0), mode=None,
        channel_percent=None,
    )  # fmt: skip


@pytest.mark.parametrize(("rpm", "true_rpm"), [(1497.0, 2994.0), (5900.0, 2950.0)])
def test_an_octave_of_a_flight_mode_is_told_with_the_speed_that_may_be_true(rpm, true_rpm) -> None:
    told = octave_told(of(poles=True), (held(rpm),))
    assert len(told) == 1
    assert f"may be {true_rpm:.0f} rpm" in told[0]


def test_without_poles_it_is_not_held_and_the_poles_are_asked_for() -> None:
    both = (held(1497.0), held(2400.0))
    assert sure_speeds(of(poles=False), both, head_heard=True) == both[1:]
    assert sure_speeds(of(poles=True), both, head_heard=False) == both
    assert any("motor.poles" in said for said in octave_told(of(poles=False), both))


def test_without_poles_and_blades_no_speed_is_held_and_other_ratios_are_told() -> None:
    assert sure_speeds(of(poles=False), (held(2400.0),), head_heard=False) == ()
    told = octave_told(of(poles=False), (held(2400.0),), head_heard=False)
    assert any("15 to 14" in said for said in told)


def test_a_speed_near_a_flight_mode_or_far_from_every_octave_is_not_told() -> None:
    assert octave_told(of(poles=True), (held(2400.0), held(1850.0))) == ()
