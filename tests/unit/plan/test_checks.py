import numpy as np
import pytest

from steadyhead.plan.checks import CHECKS, LIMIT_KEYS, checks_of
from steadyhead.plan.figures import AT, FIGURES
from steadyhead.plan.loads import LOADS
from steadyhead.plan.outcomes import held
from steadyhead.words.verdict import Limit, Outcome, worst
from tests.unit.plan.sample import fox, fox_solved, one_mode_solved


def figures(**changed):
    return {name: 0.0 for name in FIGURES} | {"duty": 0.7, "cell_voltage_v": 3.8} | changed


def verdicts(load, limits, **changed):
    return {one.check: one for one in checks_of(load, figures(**changed), {}, limits.get)}


@pytest.mark.parametrize("load", LOADS)
def test_without_limits_nothing_passes(load):
    assert {one.verdict for one in checks_of(load, figures(), {}, {}.get)} == {Outcome.UNKNOWN}


def test_an_unknown_limit_is_named_by_its_key():
    judged = verdicts("hover", {}, motor_current_a=40.0)["motor_current"]
    assert judged.needs == ("motor.current_max",)
    assert "40 A" in judged.reason


@pytest.mark.parametrize(("load", "outcome"), [("hover", Outcome.FAIL), ("climb", Outcome.PASS)])
def test_a_hover_is_held_to_the_continuous_current_and_a_climb_to_the_burst(load, outcome):
    limits = {
        "controller.current_continuous": Limit(value=100.0, unit="A", origin="machine file, maker"),
        "controller.current_burst": Limit(value=150.0, unit="A", origin="machine file, maker"),
    }
    assert verdicts(load, limits, motor_current_a=120.0)["controller_current"].verdict is outcome


def test_only_the_hover_has_a_band_of_duty():
    limits = {key: fox().limit(key) for key in LIMIT_KEYS}
    assert verdicts("hover", limits, duty=0.4)["hover_duty"].verdict is Outcome.FAIL
    assert "hover_duty" not in verdicts("climb", limits, duty=0.4)


def test_every_limit_key_is_a_key_of_the_machine_file():
    for key in LIMIT_KEYS:
        fox().declared(key)


def test_every_check_reads_a_figure_of_the_plan():
    assert {check.figure for check in CHECKS} <= set(AT)


@pytest.mark.parametrize("solved", [fox_solved, one_mode_solved])
def test_all_at_once_the_checks_end_as_they_do_one_by_one(solved):
    solved = solved()
    spread, central = solved.figures, solved.central.figures
    ends = {}
    for place in np.ndindex(*central.shape[:3]):
        one = {name: float(central[(*place, at)]) for name, at in AT.items()}
        doubt = {name: (float(spread.low[(*place, at)]), float(spread.high[(*place, at)])) for name, at in AT.items()}
        for verdict in checks_of(LOADS[place[1]], one, doubt, solved.limits.get):
            ends.setdefault(verdict.check, []).append(verdict.verdict)
    together = {}
    for check in held(solved.limits, central, spread.low, spread.high):
        together.setdefault(check.check, []).append(check.outcome)
    for check, outcomes in ends.items():
        assert worst(outcomes) is worst(together[check]), check
