"""What the margins and load steps are judged as; the awkward ends: no crossing, unstable, never back, not held."""

from dataclasses import replace

import pytest

from steadyhead.flight import governor_answer, governor_spread
from steadyhead.flight.governor_checks import loop_checks, step_checks
from steadyhead.flight.governor_result import LoopFigures, StepTold
from steadyhead.flight.governor_tolerances import tolerances
from steadyhead.words.verdict import Outcome
from tests.unit.flight.governed import machine

HELD = tolerances(machine("fox600"))
LOOP = LoopFigures(
    mode="normal", load="hover", charge=1.0, head_speed_rpm=1700.0, duty=0.6, collective_deg=4.0, solved=True,
    stable=True, gain_margin=3.0, gain_margin_db=9.5, phase_margin_deg=50.0, delay_margin_s=0.02, modulus_margin=0.6,
    modulus_margin_interval=(0.55, 0.65), crossover_hz=4.0, swing_hz=5.0, swing_damping=0.5, rotor_time_s=0.06,
    duty_to_speed_percent=1.5, difference_check=0.01, state_names=None, a_matrix=None, b_matrix=None,
)  # fmt: skip
STEP = StepTold(
    mode="normal", step="load on", charge=1.0, solved=True, not_held_share=0.0, drop_percent=2.0,
    drop_percent_interval=(1.0, 3.0), rise_percent=1.0, rise_percent_interval=(0.5, 2.0), recovery_s=0.4,
    recovery_s_interval=(0.2, 0.8), left_percent=0.0,
)  # fmt: skip


def verdicts(checks):
    return {check.check: check.verdict for check in checks}


def test_a_loop_inside_its_margins_passes_with_its_own_gains_and_is_unknown_with_typical_ones():
    assert set(verdicts(loop_checks([LOOP], HELD, True)).values()) == {Outcome.PASS}
    assert set(verdicts(loop_checks([LOOP], HELD, False)).values()) == {Outcome.UNKNOWN}


def test_a_margin_whose_spread_reaches_over_the_limit_is_unknown():
    near = replace(LOOP, modulus_margin_interval=(0.4, 0.7))
    assert verdicts(loop_checks([LOOP, near], HELD, True))["modulus_margin"] is Outcome.UNKNOWN


def test_an_unstable_loop_fails_every_margin():
    wild = replace(LOOP, stable=False, modulus_margin=0.0, gain_margin=0.7, modulus_margin_interval=None)
    assert set(verdicts(loop_checks([LOOP, wild], HELD, True)).values()) == {Outcome.FAIL}
    many = loop_checks([wild] * 5, HELD, True)
    assert "and 3 more conditions" in many[0].reason


def test_a_loop_without_a_crossing_is_far_from_hunting():
    quiet = replace(LOOP, gain_margin=None, phase_margin_deg=None)
    assert verdicts(loop_checks([quiet], HELD, True))["phase_margin"] is Outcome.PASS


def test_conditions_that_full_duty_does_not_hold_say_nothing():
    assert set(verdicts(loop_checks([replace(LOOP, solved=False)], HELD, True)).values()) == {Outcome.UNKNOWN}


def test_steps_inside_their_tolerances_pass():
    assert set(verdicts(step_checks([STEP], HELD, True)).values()) == {Outcome.PASS}


@pytest.mark.parametrize(
    ("change", "check"),
    [
        ({"drop_percent": 4.5, "drop_percent_interval": (4.0, 5.0)}, "climb_droop"),
        ({"rise_percent": 5.5, "rise_percent_interval": (5.1, 6.0)}, "overspeed"),
        ({"recovery_s": 1.2, "recovery_s_interval": (1.1, 1.4)}, "recovery"),
        ({"recovery_s": None, "recovery_s_interval": (0.4, None)}, "recovery"),
    ],
)
def test_the_worst_step_decides(change, check):
    found = verdicts(step_checks([STEP, replace(STEP, **change)], HELD, True))
    assert found.pop(check) is Outcome.FAIL
    assert set(found.values()) == {Outcome.PASS}
    assert verdicts(step_checks([replace(STEP, **change)], HELD, False))[check] is Outcome.UNKNOWN


def test_a_recovery_that_never_comes_on_some_machines_is_unknown():
    one = replace(STEP, recovery_s_interval=(0.2, None))
    assert verdicts(step_checks([one], HELD, True))["recovery"] is Outcome.UNKNOWN


def test_a_climb_that_full_duty_does_not_hold_fails_whatever_the_gains():
    gone = replace(
        STEP, solved=False, drop_percent=None, rise_percent=None, recovery_s=None, drop_percent_interval=None,
        rise_percent_interval=None, recovery_s_interval=None,
    )  # fmt: skip
    found = verdicts(step_checks([STEP, gone], HELD, False))
    assert found["step_held"] is Outcome.FAIL
    assert verdicts(step_checks([gone], HELD, True))["climb_droop"] is Outcome.UNKNOWN


def test_a_climb_that_some_drawn_machines_do_not_hold_is_unknown():
    found = verdicts(step_checks([replace(STEP, not_held_share=0.1)], HELD, True))
    assert found["step_held"] is Outcome.UNKNOWN


def test_one_flight_mode_solved_anew_tells_what_all_solved_anew_tell(monkeypatch):
    few = governor_spread.drawn
    monkeypatch.setattr(governor_answer, "drawn", lambda one: few(one)[:2])
    fox = machine("fox600")
    before = governor_answer.todays_governor(fox)
    slower = fox.replaced({"flight_mode.2.head_speed": 0.97 * fox.flight_mode[1].head_speed.si})
    solved = []
    seen = governor_answer.bench
    monkeypatch.setattr(governor_answer, "bench", lambda one, mode=None: solved.append(mode) or seen(one, mode))
    quick = governor_answer.todays_governor(slower, before=before)
    assert solved == [None, *["idle-up 1"] * 3]
    whole = governor_answer.todays_governor(slower)
    assert (quick.conditions, quick.steps, quick.ramps, quick.checks) == (
        whole.conditions, whole.steps, whole.ramps, whole.checks
    )  # fmt: skip
    assert quick.conditions != before.conditions
    heavier = fox.replaced({"airframe.mass": 1.1 * fox.value("airframe.mass").si})
    assert governor_answer.one_mode_moved(heavier, fox) is None
    assert governor_answer.one_mode_moved(slower, fox) == 1
