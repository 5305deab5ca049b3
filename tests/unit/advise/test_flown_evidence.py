"""Flights and descents as evidence: flown by drawn machines, too; no pass where one of those fails."""

from dataclasses import replace

import pytest

from steadyhead import job
from steadyhead.advise.evidence import evidence
from steadyhead.advise.flights import scenario_of, with_doubt
from steadyhead.advise.seen import CLIMB_OUT, GLIDE, HEIGHT, SOFT_START
from steadyhead.flight.bail_out import height_checks
from steadyhead.flight.bail_out_case import ready
from steadyhead.flight.descend import descend
from steadyhead.words.progress import silent
from steadyhead.words.verdict import Limit, Outcome, Verdict

LIMIT = Limit(value=4.0, unit="%", origin="test")


def droop(percent: float) -> Verdict:
    return Verdict.at_most("climb_droop", percent, LIMIT, what="droop")


def fox():
    return job.read_machine(job.bundled("fox600"))


def test_the_interval_is_that_of_the_machines_flown():
    told = with_doubt(droop(2.0), [droop(1.5), droop(3.0)])
    assert told.figure_interval == (1.5, 3.0)
    assert told.verdict is Outcome.PASS


@pytest.mark.parametrize("bad", [droop(4.5), None])
def test_one_drawn_machine_that_fails_or_cannot_fly_leaves_no_pass(bad):
    told = with_doubt(droop(2.0), [droop(1.5), bad])
    assert told.verdict is Outcome.UNKNOWN
    assert "1 of 2 machines" in told.reason


def test_a_failing_flight_says_how_many_drawn_machines_hold():
    told = with_doubt(droop(5.0), [droop(3.0), droop(6.0)])
    assert told.verdict is Outcome.FAIL
    assert "1 of 2 machines drawn from its spread hold it" in told.reason


def test_the_hard_climb_is_flown_in_the_fastest_mode_at_the_end_of_the_pack():
    scenario = scenario_of(fox(), CLIMB_OUT)
    assert scenario.switch == "mode 3"
    assert scenario.charge == pytest.approx(fox().value("pack.reserve").si + 0.05)


def test_flights_glide_and_bail_out_height_are_evidence_with_their_doubt():
    read = fox().model_copy(update={"flight_mode": fox().flight_mode[:1]})
    seen = evidence(read, (CLIMB_OUT, SOFT_START, GLIDE, HEIGHT), (), silent)
    assert not seen.cannot
    checks = {one.check.check: one.check for one in seen.every}
    for name in ("climb_droop", "overspeed", "recovery", "duty_margin", "soft_start_time"):
        low, high = checks[name].figure_interval
        assert low < checks[name].figure < high or low < high, name
    assert {"glide_found", "glide_collective", "bail_out_height", "bail_out_ramp"} <= set(checks)
    descended = {check.check: check for check in descend(read).checks}
    assert checks["glide_collective"] == descended["glide_collective"]
    assert "95%" in checks["bail_out_height"].reason
    assert seen.doubts


def test_a_map_of_the_rotor_taken_over_from_before_a_change_tells_the_same_height():
    read = replace_position(fox())
    own = ready(read, 0)
    slower = read.replaced({"flight_mode.1.head_speed": 0.92 * read.flight_mode[0].head_speed.si})
    taken, anew = ready(slower, 0, like=own), ready(slower, 0)
    assert taken.map is own.map
    assert anew.map is not own.map
    heights = [height_checks(one)[0].figure for one in (taken, anew)]
    # The map is in ratios; only the Reynolds number of the blades is that of the other speed. Heights are whole metres.
    assert abs(heights[0] - heights[1]) <= 2.0
    thinner = read.replaced({"rotor.chord": 0.9 * read.value("rotor.chord").si})
    assert ready(thinner, 0, like=own).map is not own.map


def replace_position(read):
    return read.replaced({"channel.autorotation": 0.15})


def test_a_flight_without_a_figure_keeps_its_own_verdict():
    granted = Verdict(check="quick_restart_granted", verdict=Outcome.PASS, reason="granted")
    assert with_doubt(granted, [granted, granted]) == replace(granted, figure_interval=None)
