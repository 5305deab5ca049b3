"""Where the speed shows nothing, and what a hole in a log takes away from the verdicts."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.holes import holes_of, longest_hole_s
from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Limit, Outcome, Verdict
from tests.naive.drive_log import Drive, fly
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import flight, trace_of

TIME_S = np.arange(0.0, 10.0, 0.02)


def test_rows_lost_and_values_missing_are_holes_and_a_lone_empty_cell_is_none() -> None:
    values = np.ones(TIME_S.size)
    values[100] = np.nan
    values[200:230] = np.nan
    keep = np.ones(TIME_S.size, bool)
    keep[300:320] = False
    holes = holes_of(TIME_S[keep], values[keep], 0.02)
    assert holes == pytest.approx(np.array([[3.98, 4.60], [5.98, 6.40]]))
    assert longest_hole_s(holes, 4.5, 5.0) == pytest.approx(0.62)
    assert longest_hole_s(holes, 4.5, 6.1) == pytest.approx(0.62)
    assert longest_hole_s(holes, 4.7, 5.9) == 0.0
    assert longest_hole_s(holes_of(TIME_S, None, 0.02), 0.0, 10.0) == 0.0


def blanked(trace: Trace, *spans: tuple[float, float]) -> Trace:
    head = trace.channels["head_speed_rpm"].copy()
    for begin, end in spans:
        head[(trace.time_s > begin) & (trace.time_s < end)] = np.nan
    return dataclasses.replace(trace, channels={**trace.channels, "head_speed_rpm": head})


@pytest.fixture(scope="module")
def sound() -> Trace:
    keep = ("head", "throttle", "duty", "volt", "amp", "height", "collective")
    return trace_of(fly(Drive(), flight()), keep=keep)


def verdicts(trace: Trace) -> dict[str, Outcome]:
    return {c.check: c.verdict for c in judge(MACHINE, trace).checks}


def test_a_recovery_and_an_overshoot_that_nobody_saw_never_pass(sound: Trace) -> None:
    seen = verdicts(sound)
    assert seen["recovery"] is seen["overspeed"] is Outcome.PASS
    unseen = verdicts(blanked(sound, (52.4, 54.4), (72.4, 74.4), (87.0, 89.0)))
    assert unseen["recovery"] is unseen["overspeed"] is Outcome.UNKNOWN


def test_a_droop_does_not_pass_where_another_climb_out_fell_below_the_limit_unseen(sound: Trace) -> None:
    assert verdicts(sound)["climb_droop"] is Outcome.PASS
    climb = next(e for e in judge(MACHINE, sound).events if e.kind == "climb")
    deep = (sound.time_s > climb.start_s + 0.3) & (sound.time_s < climb.end_s)
    head = np.where(deep, 0.94, 1.0) * sound.channels["head_speed_rpm"]
    fallen = dataclasses.replace(sound, channels={**sound.channels, "head_speed_rpm": head})
    length_s = climb.end_s - climb.start_s
    got = judge(MACHINE, blanked(fallen, (climb.end_s - 0.5 * length_s, climb.end_s)))
    told = next(check for check in got.checks if check.check == "climb_droop")
    assert told.figure is not None
    assert told.limit is not None
    assert told.figure < told.limit
    assert told.verdict is Outcome.UNKNOWN
    assert "does not show where it settled" in told.reason


def test_a_bail_out_that_nobody_saw_has_no_time(sound: Trace) -> None:
    assert verdicts(sound)["quick_restart_time"] is Outcome.PASS
    assert verdicts(blanked(sound, (104.5, 107.5)))["quick_restart_time"] is Outcome.UNKNOWN


def test_a_hole_far_from_every_load_takes_nothing_away(sound: Trace) -> None:
    assert verdicts(blanked(sound, (150.0, 151.0))) == verdicts(sound)


def test_a_failed_figure_whose_doubt_reaches_the_limit_can_be_made_unknown() -> None:
    limit = Limit(value=3.0, unit="s", origin="yours")
    wide = Verdict.at_most("quick_restart_time", 4.0, limit, what="it", interval=(2.0, 6.0))
    narrow = Verdict.at_most("quick_restart_time", 4.0, limit, what="it", interval=(3.5, 4.5))
    assert wide.verdict is Outcome.FAIL
    assert wide.unless_it_may_hold("more").verdict is Outcome.UNKNOWN
    assert narrow.unless_it_may_hold("more").verdict is Outcome.FAIL
    low = Verdict.at_least("cell_voltage", 2.5, limit, what="it", interval=(2.0, 3.2))
    assert low.unless_it_may_hold("more").verdict is Outcome.UNKNOWN
