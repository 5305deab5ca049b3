"""Blades on or off, from the coast-down and from the power."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.blades import blades_on
from steadyhead.judge.owner import Owner, owner
from steadyhead.judge.segments import Stretch
from steadyhead.judge.steady import Calm
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.made_signals import governed, made

TIME = np.arange(0.0, 20.0, 0.02)
OWNER: Owner = owner(MACHINE)
COAST = Stretch(kind="coast", start_s=10.0, end_s=20.0, asked_s=10.0)


def window() -> Calm:
    return Calm(
        start_s=4.0, end_s=9.0, percent=57.0, set_rpm=1800.0, mean_rpm=1800.0, half_width=0.1, half_width_raw=0.1,
        line=None, hover=False,
    )  # fmt: skip


def told(watts: float, half_time_s: float) -> bool | None:
    """What a run at 1800 rpm with this power, then a coast-down with this half-time, is taken for."""
    speed = np.where(TIME < 10.0, 1800.0, 1800.0 / (1.0 + np.maximum(TIME - 10.0, 0.0) / half_time_s))
    current = np.where(TIME < 10.0, watts / 48.0, 0.0)
    signals = made(TIME, head_speed_rpm=speed, pack_voltage_v=np.full(TIME.size, 48.0), pack_current_a=current)
    return blades_on(signals, OWNER, (window(),), (governed(0.0, 10.0, 1800.0), COAST))


def test_a_head_that_coasts_like_its_blades_has_them_on() -> None:
    # 0.0424 kg m2 at 188 rad/s falling by half in 4.5 s: 300 W lost, of 400 W put in.
    assert told(watts=400.0, half_time_s=4.5) is True


def test_a_head_that_coasts_like_its_blades_on_too_little_power_for_them_is_told_neither_way() -> None:
    # Blades alone ask more than 110 W here; of 60 W put in, 48 W would have been lost.
    assert told(watts=60.0, half_time_s=31.0) is None


def test_a_head_that_stops_much_faster_than_it_was_driven_has_none() -> None:
    assert told(watts=400.0, half_time_s=0.8) is False


@pytest.mark.parametrize(("watts", "answer"), [(110.0, False), (300.0, None), (900.0, True)])
def test_without_a_coast_down_the_power_speaks(watts: float, answer: bool | None) -> None:
    signals = made(
        TIME,
        motor_side_speed_rpm=np.full(TIME.size, 1800.0),
        pack_voltage_v=np.full(TIME.size, 48.0),
        pack_current_a=np.full(TIME.size, watts / 48.0),
    )
    assert blades_on(signals, OWNER, (window(),), (governed(0.0, 20.0, 1800.0),)) is answer


def test_without_voltage_nothing_is_told() -> None:
    signals = made(TIME, head_speed_rpm=np.full(TIME.size, 1800.0))
    assert blades_on(signals, dataclasses.replace(OWNER), (window(),), (governed(0.0, 20.0, 1800.0),)) is None
