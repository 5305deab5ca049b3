import pytest

from steadyhead.machine.reading import machine_from_text
from steadyhead.plan.loads import LOADS
from steadyhead.plan.steady import plan
from steadyhead.words import cautions
from steadyhead.words.plain import json_text, plain
from steadyhead.words.verdict import Outcome, worst
from tests.unit.plan.sample import ONE_MODE, fox, one_mode, without_modes


@pytest.fixture(scope="module")
def fox_plan():
    return plan(fox())


@pytest.fixture(scope="module")
def bare_plan():
    return plan(one_mode())


def test_every_mode_is_held_in_every_load_and_pack_state(fox_plan):
    for mode in fox_plan.modes:
        assert len(mode.conditions) == len(LOADS) * 3 * 2
        assert {one.load for one in mode.conditions} == set(LOADS)
        assert {one.charge for one in mode.conditions} == {1.0, 0.5, 0.2}
        assert len({one.condition for one in mode.conditions}) == len(mode.conditions)


def test_a_verdict_is_the_worst_of_what_it_stands_on(fox_plan):
    for mode in fox_plan.modes:
        for one in mode.conditions:
            assert one.verdict is worst(check.verdict for check in one.checks)
        assert mode.verdict is worst(one.verdict for one in mode.conditions)
    assert fox_plan.verdict is worst(mode.verdict for mode in fox_plan.modes)


def test_every_check_says_figure_limit_and_where_the_limit_came_from(fox_plan):
    for mode in fox_plan.modes:
        for one in mode.conditions:
            for check in one.checks:
                assert check.reason
                assert check.figure is not None
                assert check.limit is None or check.limit_origin


def test_every_interval_holds_its_figure(fox_plan):
    for mode in fox_plan.modes:
        for one in mode.conditions:
            for name in ("collective_deg", "rotor_power_w", "motor_current_a", "duty", "ceiling_rpm"):
                low, high = getattr(one, f"{name}_interval")
                assert low <= getattr(one, name) <= high
        low, high = mode.flight_time_s_interval
        assert low < mode.flight_time_s < high


def test_a_healthy_rotor_reaches_every_load_without_a_doubt(fox_plan):
    for mode in fox_plan.modes:
        for one in mode.conditions:
            checks = {check.check: check.verdict for check in one.checks}
            assert checks["thrust_reached"] is Outcome.PASS
            assert checks["tail_holds"] is Outcome.PASS


def test_limits_that_nobody_stated_never_pass(bare_plan):
    assert "motor.current_max" in bare_plan.unknowns
    assert bare_plan.verdict is not Outcome.PASS
    for one in bare_plan.modes[0].conditions:
        assert {check.check: check for check in one.checks}["motor_current"].verdict is Outcome.UNKNOWN


def test_the_plan_says_which_of_its_inputs_are_typical(bare_plan):
    assert "motor.resistance" in bare_plan.typical
    assert "channel.pulse_low" not in bare_plan.typical


def test_the_first_condition_that_is_not_held_says_what_full_duty_holds():
    small = machine_from_text(ONE_MODE.replace("pinion_teeth = 13", "pinion_teeth = 9"), "small.toml")
    conditions = [one for one in plan(small).modes[0].conditions if not one.solved]
    assert conditions
    for one in conditions:
        assert one.head_room < 0.0
        assert f"full duty holds {one.ceiling_rpm:.0f} rpm" in one.reasons[0]
        assert one.verdict is Outcome.FAIL


def test_a_machine_that_cannot_hover_is_a_fail_with_the_figure():
    heavy = ONE_MODE.replace("1990 rpm", "700 rpm") + '[airframe]\nmass = "14 kg"\n'
    answer = plan(machine_from_text(heavy, "heavy.toml"))
    assert answer.verdict is Outcome.FAIL
    hover = answer.modes[0].conditions[0]
    reached = {check.check: check for check in hover.checks}["thrust_reached"]
    assert not hover.solved
    assert reached.verdict is Outcome.FAIL
    assert reached.limit == pytest.approx(14.0 * 9.80665)
    assert 0.0 < reached.figure < reached.limit
    assert answer.modes[0].flight_time_s == 0.0
    assert "cannot hover" in answer.modes[0].reasons[0]


def test_a_machine_without_flight_modes_is_unknown_and_says_what_to_add():
    answer = plan(without_modes())
    assert answer.verdict is Outcome.UNKNOWN
    assert "[[flight_mode]]" in answer.reasons[0]
    assert answer.unknowns == ("flight_mode",)


def test_the_plan_carries_the_cautions(fox_plan):
    assert fox_plan.cautions == cautions.ALL


def test_the_plan_is_json_and_the_same_every_time(fox_plan):
    assert json_text(plan(fox())) == json_text(fox_plan)
    forward = plain(fox_plan)["modes"][0]["conditions"][-1]
    assert forward["load"] == "fast forward"
    assert forward["figure_of_merit"] is None


def test_the_doubts_name_an_input_a_figure_and_what_to_measure(fox_plan):
    assert fox_plan.doubts
    for doubt in fox_plan.doubts:
        assert fox().value(doubt.key).spread_si > 0.0
        assert doubt.key in doubt.sentence
        assert doubt.figure in doubt.sentence
    by_figure = {}
    for doubt in fox_plan.doubts:
        by_figure.setdefault(doubt.figure, []).append(doubt.share)
    for shares in by_figure.values():
        assert shares == sorted(shares, reverse=True)
        assert sum(shares) <= 1.0 + 1e-9


def test_a_fast_flight_beyond_the_model_is_warned_of():
    fast = machine_from_text(ONE_MODE + '[limits]\nforward_speed = "60 m/s"\n', "fast.toml")
    assert any("tip speed" in warning for warning in plan(fast).warnings)
