"""Without throttle channel and duty a glide at an even head speed is no governed running."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.without_channel import commands_without_channel
from steadyhead.trace.trace import Trace
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.made_signals import made

TIME_S = np.arange(0.0, 110.0, 0.02)
STARTS_S, CUT_S, GLIDES_S, LANDS_S = 5.0, 60.0, 64.0, 84.0


def glide(*, motor: bool, amperes: bool) -> dict[str, np.ndarray]:
    """Return head speed, and what else was logged, of a flight that ends in a glide at an even 1260 rpm."""
    noise = np.random.default_rng(4).normal(0.0, 2.0, TIME_S.size)
    head = np.interp(
        TIME_S, [STARTS_S, 17.0, CUT_S, GLIDES_S, LANDS_S, 95.0], [0.0, 1800.0, 1800.0, 1260.0, 1260.0, 0.0]
    )
    driven = (TIME_S > STARTS_S) & (TIME_S < CUT_S)
    channels = {"head_speed_rpm": np.maximum(head + noise * (head > 0.0), 0.0)}
    channels["height_m"] = np.interp(TIME_S, [20.0, 25.0, CUT_S, LANDS_S], [0.0, 30.0, 30.0, 0.0])
    channels["pack_voltage_v"] = np.where(driven, 47.0, 49.5)
    if motor:
        channels["motor_side_speed_rpm"] = np.where(driven, channels["head_speed_rpm"], 1.0)
    if amperes:
        channels["pack_current_a"] = np.where(driven, np.where(head < 1790.0, 6.0, 14.0), 0.3)
    return channels


@pytest.mark.parametrize(("motor", "amperes"), [(True, False), (False, True), (True, True)])
def test_the_command_to_run_ends_where_the_motor_does(motor: bool, amperes: bool) -> None:
    asked = commands_without_channel(made(TIME_S, **glide(motor=motor, amperes=amperes)))
    running = [command for command in asked if command.percent > 0.0]
    assert len(running) == 1
    assert running[0].end_s == pytest.approx(CUT_S, abs=1.0)


def test_a_glide_is_no_hover_and_no_flight_mode_is_missed_in_it() -> None:
    channels = glide(motor=True, amperes=True)
    trace = Trace(source="glide", time_s=TIME_S, channels=channels, rows_read=TIME_S.size)
    got = judge(MACHINE, trace)
    assert {round(segment.set_rpm, -1) for segment in got.segments if segment.set_rpm} == {1800.0}
    assert not any("is meant to hold" in word for word in got.warnings)
