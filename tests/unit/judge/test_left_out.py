"""Running that no collective explains: a head that swings there takes a pass of hunting and band back."""

import dataclasses
from functools import cache

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.naive.drive_log import Drive, fly
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import ALL, flight, trace_of

NO_COLLECTIVE = ("head", "throttle", "duty", "volt", "amp", "height")
SPAN_S = (36.0, 44.0)


@cache
def flown(keep: tuple[str, ...]) -> Trace:
    return trace_of(fly(Drive(), flight()), keep=keep)


def swinging(trace: Trace, hertz: float, percent: float) -> Trace:
    """Return the trace with the head swinging for some seconds of hover, and the current with it."""
    phase = 2.0 * np.pi * hertz * trace.time_s
    here = (trace.time_s > SPAN_S[0]) & (trace.time_s < SPAN_S[1])
    swing = np.where(here, np.sin(phase), 0.0)
    channels = dict(trace.channels)
    channels["head_speed_rpm"] = channels["head_speed_rpm"] * (1.0 + percent / 100.0 * swing)
    channels["pack_current_a"] = channels["pack_current_a"] * (1.0 + 0.45 * np.where(here, np.cos(phase), 0.0))
    return dataclasses.replace(trace, channels=channels)


def check(trace: Trace, name: str) -> Verdict:
    return next(found for found in judge(MACHINE, trace).checks if found.check == name)


@pytest.mark.parametrize("name", ["no_hunting", "steady_band"])
def test_a_still_head_passes(name: str) -> None:
    found = check(flown(NO_COLLECTIVE), name)
    assert found.verdict is Outcome.PASS, found.reason


def test_a_swing_as_a_hand_makes_it_is_not_known_without_collective() -> None:
    found = check(swinging(flown(NO_COLLECTIVE), 1.7, 1.5), "no_hunting")
    assert found.verdict is not Outcome.PASS, found.reason


def test_a_swing_quicker_than_any_hand_fails() -> None:
    found = check(swinging(flown(NO_COLLECTIVE), 5.0, 1.5), "no_hunting")
    assert found.verdict is Outcome.FAIL, found.reason
    assert "5.0 Hz" in found.reason


def test_a_band_does_not_pass_beside_such_a_swing() -> None:
    for hertz in (1.7, 5.0):
        found = check(swinging(flown(NO_COLLECTIVE), hertz, 2.0), "steady_band")
        assert found.verdict is not Outcome.PASS, found.reason


def test_with_a_still_collective_the_same_swing_fails() -> None:
    found = check(swinging(flown(ALL), 1.7, 1.5), "no_hunting")
    assert found.verdict is Outcome.FAIL, found.reason


def test_a_head_that_falls_once_unexplained_takes_the_passes_back() -> None:
    """The motor loses its step for half a second: 9 % are gone, and no collective says why."""
    trace = flown(NO_COLLECTIVE)
    dip = np.interp(trace.time_s, [40.0, 40.6, 42.0], [0.0, 0.09, 0.0])
    channels = dict(trace.channels)
    channels["head_speed_rpm"] = channels["head_speed_rpm"] * (1.0 - dip)
    channels["pack_current_a"] = np.where((dip > 0.0) & (trace.time_s < 40.6), 0.5, channels["pack_current_a"])
    for name in ("no_hunting", "steady_band"):
        found = check(dataclasses.replace(trace, channels=channels), name)
        assert found.verdict is not Outcome.PASS, found.reason
