"""Throttle hold in flight, in a log without throttle channel and duty, is no droop of a governor."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.judge.without_channel import commands_without_channel
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Verdict
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.made_signals import made

SET, CUT_S, BACK_S, THERE_S = 2400.0, 50.0, 55.0, 61.0
TIME_S = np.arange(0.0, 100.0, 0.1)


def flown(keep: tuple[str, ...]) -> dict[str, np.ndarray]:
    """Invented flight: motor off from 50 s, flare with 8 degrees at 54 s, back from 55 s, at the set speed at 61 s.

    The motor runs down by 150 rpm of the head a second, never to half of it; a sound climb at 75 s.
    """
    t = TIME_S
    head = np.interp(
        t,
        [5.0, 18.0, CUT_S, 50.7, 54.0, BACK_S, THERE_S, 75.0, 75.3, 77.0, 77.3, 90.0, 97.0],
        [0.0, SET, SET, 2150.0, 1950.0, 1650.0, SET, SET, 2385.0, 2385.0, SET, SET, 0.0],
    )
    falls = SET - 150.0 * (t - CUT_S)
    off = (t > CUT_S) & (t < BACK_S)
    climbs = (t > 75.0) & (t < 77.5)
    channels = {
        "head_speed_rpm": head,
        "motor_side_speed_rpm": np.where(off, np.minimum(head, falls), head),
        "collective_deg": np.select([off & (t > 54.0), off, climbs, t > 20.0], [8.0, -3.0, 8.0, 2.5], 0.0),
        "height_m": np.interp(t, [20.0, 30.0, CUT_S, 55.0, 80.0, 90.0], [0.0, 60.0, 60.0, 30.0, 30.0, 0.0]),
        "pack_current_a": np.where(off | (t < 5.0) | (t > 90.0), 0.4, np.where(climbs, 60.0, 3.0 + 12.0 * head / SET)),
    }
    rng = np.random.default_rng(6)
    for name in ("head_speed_rpm", "motor_side_speed_rpm"):
        channels[name] = channels[name] + rng.normal(0.0, 1.0, t.size) * (channels[name] > 30.0)
    return {name: channels[name] for name in (*keep, "collective_deg", "height_m")}


def judged(keep: tuple[str, ...]) -> Judgement:
    channels = flown(keep)
    return judge(MACHINE, Trace(source="invented", time_s=TIME_S, channels=channels, rows_read=TIME_S.size))


def named(found: Judgement, name: str) -> Verdict:
    return next(check for check in found.checks if check.check == name)


@pytest.mark.parametrize("more", [(), ("pack_current_a",)])
def test_a_motor_that_runs_down_behind_its_head_is_off(more: tuple[str, ...]) -> None:
    asked = commands_without_channel(made(TIME_S, **flown(("head_speed_rpm", "motor_side_speed_rpm", *more))))
    stops = [command.end_s for command in asked if command.percent > 0.0]
    assert abs(stops[0] - CUT_S) < 2.0
    found = judged(("head_speed_rpm", "motor_side_speed_rpm", *more))
    assert "autorotation" in [segment.kind for segment in found.segments]
    assert named(found, "climb_droop").verdict == "pass"
    assert named(found, "recovery").verdict == "pass"


@pytest.mark.parametrize("keep", [("head_speed_rpm",), ("motor_side_speed_rpm",)])
def test_a_load_on_a_head_that_had_sunk_before_is_not_known(keep: tuple[str, ...]) -> None:
    found = judged(keep)
    for name in ("climb_droop", "recovery"):
        assert named(found, name).verdict == "unknown", named(found, name).reason
        assert "had sunk" in named(found, name).reason


def test_a_governed_motor_that_its_head_overruns_is_not_off() -> None:
    """A descent of three seconds with the head 8 % above a motor that holds its speed."""
    channels = flown(("head_speed_rpm", "motor_side_speed_rpm"))
    still = np.interp(TIME_S, [5.0, 18.0, 90.0, 97.0], [0.0, SET, SET, 0.0])
    over = 1.0 + 0.08 * ((TIME_S > CUT_S) & (TIME_S < CUT_S + 3.0))
    channels |= {"head_speed_rpm": still * over, "motor_side_speed_rpm": still}
    running = [command for command in commands_without_channel(made(TIME_S, **channels)) if command.percent > 0.0]
    assert len(running) == 1
