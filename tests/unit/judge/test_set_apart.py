"""One channel position that held another speed in another flight: invented logs of two flights."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.property.test_judge_any_trace import MACHINE

FLIGHT_S, UP_S, DOWN_S = 130.0, 15.0, 105.0


def one_flight(top_rpm: float, *, swings: float = 0.0, sinks: float = 0.0) -> dict[str, np.ndarray]:
    """Return 5 s of rest, a soft start of 15 s, hover with a climb from 60 to 65 s, a landing, and rest.

    The head swings at 2 Hz by the share `swings`, and sinks by `sinks` in the climb.
    """
    time_s = np.arange(0.0, FLIGHT_S, 0.02)
    head = np.interp(time_s, [5.0, 5.0 + UP_S, DOWN_S, DOWN_S + 12.0], [0.0, top_rpm, top_rpm, 0.0])
    held = (time_s > 22.0) & (time_s < DOWN_S)
    climbs = np.interp(time_s, [60.0, 60.5, 65.0, 65.5], [0.0, 1.0, 1.0, 0.0])
    dips = np.interp(time_s, [60.0, 60.6, 61.2, 66.0, 66.5], [0.0, 0.015, 0.0, 0.0, 0.0])
    swing = held * swings * np.sin(4.0 * np.pi * time_s)
    head = head * (1.0 - sinks * climbs - dips + swing)
    runs = (time_s >= 5.0) & (time_s < DOWN_S)
    return {
        "head_speed_rpm": np.round(head),
        "throttle_percent": np.where(runs, 70.0, 0.0),
        "collective_deg": np.interp(
            time_s, [22.0, 24.0, 60.0, 60.2, 65.0, 65.2, 95.0, 100.0], [0, 4, 4, 10, 10, 4, 4, 0]
        ),
        "height_m": np.interp(time_s, [24.0, 30.0, 60.0, 65.0, 70.0, 100.0], [0, 5, 5, 60, 60, 0]),
        "duty": np.where(runs, np.clip(0.8 * head / 2000.0 + 0.1 * climbs, 0.0, 1.0), 0.0),
        "pack_current_a": np.where(runs, 3.0 + 20.0 * (head / 2000.0) ** 3 + 40.0 * climbs, 0.0),
    }


def judged(*flights: dict[str, np.ndarray], without: tuple[str, ...] = ()) -> Judgement:
    whole = {name: np.concatenate([flight[name] for flight in flights]) for name in flights[0] if name not in without}
    time_s = 0.02 * np.arange(whole["head_speed_rpm"].size)
    return judge(MACHINE, Trace(source="two", time_s=time_s, channels=whole, rows_read=time_s.size))


def check(judgement: Judgement, name: str) -> Verdict:
    return next(found for found in judgement.checks if found.check == name)


def governed_rpm(judgement: Judgement) -> list[float]:
    return [one.set_rpm for one in judgement.segments if one.kind == "governed" and one.set_rpm]


@pytest.mark.parametrize("share", [0.93, 0.97, 1.03, 1.07])
def test_a_sound_second_flight_at_another_speed_is_judged_by_its_own(share: float) -> None:
    found = judged(one_flight(2000.0), one_flight(2000.0 * share))
    assert governed_rpm(found) == [pytest.approx(2000.0, rel=0.002), pytest.approx(2000.0 * share, rel=0.002)]
    for name in ("climb_droop", "soft_start_time", "no_hunting"):
        assert check(found, name).verdict is Outcome.PASS, check(found, name).reason
    assert check(found, "recovery").verdict is not Outcome.FAIL, check(found, "recovery").reason
    assert check(found, "overspeed").verdict is not Outcome.FAIL, check(found, "overspeed").reason
    assert any("70 % of the throttle channel" in said and "% apart" in said for said in found.warnings)


@pytest.mark.parametrize(("name", "fault"), [("no_hunting", {"swings": 0.025}), ("climb_droop", {"sinks": 0.08})])
@pytest.mark.parametrize("share", [0.93, 0.97, 1.05])
def test_a_fault_in_a_second_flight_at_another_speed_is_seen(name: str, fault: dict[str, float], share: float) -> None:
    found = judged(one_flight(2000.0), one_flight(2000.0 * share, **fault))
    assert check(found, name).verdict is Outcome.FAIL, check(found, name).reason


@pytest.mark.parametrize("name", ["climb_droop", "recovery", "steady_band"])
def test_without_a_duty_a_lower_second_flight_may_have_sunk(name: str) -> None:
    found = check(judged(one_flight(2000.0), one_flight(1900.0), without=("duty",)), name)
    assert found.verdict is Outcome.UNKNOWN, found.reason
    assert "the head sank" in found.reason


def test_flights_at_one_speed_say_nothing() -> None:
    found = judged(one_flight(2000.0), one_flight(2000.0))
    assert not any("apart" in said for said in found.warnings)
    assert len(set(governed_rpm(found))) == 1


def test_a_flight_that_never_comes_to_its_set_speed_hides_no_fault() -> None:
    low = one_flight(1860.0, swings=0.02)
    low["duty"] = np.where(low["duty"] > 0.6, 1.0, low["duty"])
    found = judged(one_flight(2000.0), low)
    for name in ("climb_droop", "no_hunting", "steady_band", "duty_margin", "hover_duty"):
        assert check(found, name).verdict is not Outcome.PASS, check(found, name).reason


def test_a_level_that_drifts_up_makes_no_long_soft_start() -> None:
    flights = [one_flight(2000.0), one_flight(2060.0)]
    for flight in flights:
        time_s = 0.02 * np.arange(flight["head_speed_rpm"].size)
        flight["head_speed_rpm"] *= 1.0 + 0.03 * np.clip((time_s - 20.0) / 60.0, 0.0, 1.5)
    found = judged(*flights)
    spools = [one.end_s - one.start_s for one in found.segments if one.kind == "soft_spool"]
    assert spools == [pytest.approx(UP_S, abs=1.0)] * 2
    assert check(found, "soft_start_time").verdict is Outcome.PASS
    assert check(found, "hold_clears_quick_restart").verdict is not Outcome.FAIL
