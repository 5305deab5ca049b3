"""The controller's transition, story by story: what it does with the channel, and when."""

import pytest

from steadyhead.physics.run_state import (
    RUN_SAYS,
    Run,
    RunRules,
    RunState,
    advance,
    is_driven,
    moved_channel,
    powered_up,
    ramp_per_s,
)

RULES = RunRules(
    stop_percent=8.0,
    start_percent=22.0,
    start_delay_s=0.2,
    stop_delay_s=0.05,
    soft_spool_s=15.0,
    quick_spool_s=2.0,
    governed_before_s=5.0,
    permission_s=90.0,
    clear_percent=8.0,
    clear_after_s=0.0,
    arm_s=0.5,
    permits=1,
    idles_after_running=1,
    idles_from_rest=0,
    counts_spool_up=0,
    needs_turning_head=0,
    arms=1,
    arm_visits=1,
)
STEP_S = 0.01
RUNS, BAND, LOW = 57.0, 15.0, 0.0


def held(
    rules: RunRules, state: RunState, channel: float, time_s: float, *, motor: float = 0.5, head: float = 0.5
) -> RunState:
    for _ in range(round(time_s / STEP_S)):
        state = advance(rules, state, channel, motor, head, STEP_S)
    return state


def governed(rules: RunRules = RULES, time_s: float = 6.0) -> RunState:
    state = held(rules, powered_up(rules), LOW, 1.0, head=0.0)
    state = held(rules, state, RUNS, 1.0)
    return held(rules, state, RUNS, time_s, motor=1.0)


def test_a_controller_that_arms_at_the_low_end_waits_for_it():
    state = held(RULES, powered_up(RULES), RUNS, 10.0)
    assert state.run == Run.UNARMED
    assert held(RULES, state, LOW, 0.4).run == Run.UNARMED
    assert held(RULES, state, LOW, 0.6).run == Run.OFF


def test_two_visits_are_two_visits_and_not_one_long_one():
    rules = RULES._replace(arm_visits=2)
    once = held(rules, powered_up(rules), LOW, 5.0)
    assert once.run == Run.UNARMED
    assert held(rules, held(rules, once, BAND, 0.2), LOW, 1.0).run == Run.OFF


def test_the_start_comes_after_the_delay_and_is_broken_off_below_the_threshold():
    off = held(RULES, powered_up(RULES), LOW, 1.0)
    assert held(RULES, off, RUNS, 0.1).run == Run.WAITING
    assert held(RULES, held(RULES, off, RUNS, 0.1), BAND, 0.1).run == Run.OFF
    assert held(RULES, off, RUNS, 0.3).run == Run.SOFT


def test_on_the_thresholds_nothing_starts_and_nothing_stops():
    off = held(RULES, powered_up(RULES), LOW, 1.0)
    assert held(RULES, off, RULES.start_percent, 5.0).run == Run.OFF
    assert held(RULES, governed(), RULES.stop_percent, 5.0).run == Run.IDLING


def test_in_the_band_a_motor_that_ran_idles_and_one_at_rest_stays_off():
    assert held(RULES, governed(), BAND, 1.0).run == Run.IDLING
    off = held(RULES, powered_up(RULES), LOW, 1.0)
    assert held(RULES, off, BAND, 5.0).run == Run.OFF
    assert held(RULES._replace(idles_from_rest=1), off, BAND, 1.0).run == Run.IDLING
    assert held(RULES._replace(idles_after_running=0), governed(), BAND, 1.0).run == Run.OFF


def test_out_of_the_band_the_restart_is_quick_and_comes_at_once():
    state = advance(RULES, held(RULES, governed(), BAND, 10.0), RUNS, 0.5, 0.5, STEP_S)
    assert state.run == Run.QUICK


@pytest.mark.parametrize(
    ("changed", "stay_s", "run_s"),
    [
        ({"permits": 0}, 10.0, 6.0),
        ({"permission_s": 5.0}, 10.0, 6.0),
        ({}, 10.0, 4.0),
        ({"clear_percent": 20.0}, 10.0, 6.0),
    ],
)
def test_the_restart_is_slow_without_a_permission_that_lasts(changed, stay_s, run_s):
    rules = RULES._replace(**changed)
    state = held(rules, governed(rules, run_s), BAND, stay_s)
    assert held(rules, state, RUNS, 0.3).run == Run.SOFT


def test_below_the_cut_off_the_motor_is_off_after_the_stop_delay_and_the_permission_gone():
    assert held(RULES, governed(), LOW, 0.03).run == Run.GOVERNED
    state = held(RULES, governed(), LOW, 0.1)
    assert state.run == Run.OFF
    assert state.permitted_s < 0.0
    assert held(RULES, state, RUNS, 0.5).run == Run.SOFT


def test_a_permission_that_hold_clears_late_survives_a_short_hold():
    rules = RULES._replace(clear_after_s=2.0)
    assert held(rules, held(rules, governed(rules), LOW, 1.0), RUNS, 0.5).run == Run.QUICK
    assert held(rules, held(rules, governed(rules), LOW, 3.0), RUNS, 0.5).run == Run.SOFT


def test_a_standing_head_is_refused_the_quick_ramp_where_the_controller_looks():
    rules = RULES._replace(needs_turning_head=1, idles_after_running=0)
    state = held(rules, governed(rules), BAND, 1.0)
    assert held(rules, state, RUNS, 0.5, head=0.0).run == Run.SOFT
    assert held(rules, state, RUNS, 0.5, head=0.5).run == Run.QUICK


def test_the_spool_up_counts_only_where_it_says_so():
    state = held(RULES, held(RULES, powered_up(RULES), LOW, 1.0), RUNS, 8.0)
    assert held(RULES, held(RULES, state, BAND, 1.0), RUNS, 0.5).run == Run.SOFT
    rules = RULES._replace(counts_spool_up=1)
    state = held(rules, held(rules, powered_up(rules), LOW, 1.0), RUNS, 8.0)
    assert held(rules, held(rules, state, BAND, 1.0), RUNS, 0.5).run == Run.QUICK


def test_a_quick_ramp_broken_off_is_quick_again_and_needs_a_new_governed_run_after_it_ended():
    quick = held(RULES, held(RULES, governed(), BAND, 2.0), RUNS, 0.5)
    assert held(RULES, held(RULES, quick, BAND, 0.5), RUNS, 0.5).run == Run.QUICK
    short = held(RULES, quick, RUNS, 1.0, motor=1.0)
    assert short.run == Run.GOVERNED
    assert held(RULES, held(RULES, short, BAND, 0.5), RUNS, 0.5).run == Run.SOFT


def test_halving_the_step_changes_no_state_away_from_the_edges():
    fine = powered_up(RULES)
    for channel, time_s, motor in ((LOW, 1.0, 0.5), (RUNS, 1.0, 0.5), (RUNS, 6.0, 1.0), (BAND, 3.0, 0.5)):
        for _ in range(round(time_s / 0.002)):
            fine = advance(RULES, fine, channel, motor, 0.5, 0.002)
    assert fine.run == held(RULES, governed(), BAND, 3.0).run


def test_ramps_and_channel_move_at_their_rates():
    assert ramp_per_s(RULES, Run.SOFT) == pytest.approx(1.0 / 15.0)
    assert ramp_per_s(RULES, Run.QUICK) == pytest.approx(0.5)
    assert ramp_per_s(RULES, Run.IDLING) == 0.0
    assert moved_channel(10.0, 57.0, 50.0, 0.1) == pytest.approx(15.0)
    assert moved_channel(57.0, 0.0, 50.0, 0.1) == pytest.approx(52.0)
    assert moved_channel(10.0, 12.0, 50.0, 0.1) == 12.0


def test_every_run_has_its_words_and_its_answer_whether_it_is_driven():
    assert set(RUN_SAYS) == set(Run)
    assert {run for run in Run if is_driven(run)} == {Run.SOFT, Run.QUICK, Run.GOVERNED, Run.IDLING}
