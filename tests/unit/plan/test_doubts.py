import pytest

from steadyhead.plan.doubts import MEASURES, MOST_NAMED, doubts_on, measure
from steadyhead.plan.solved import INPUTS, uncertain
from steadyhead.words.value import Origin, Value
from tests.unit.plan.sample import fox, one_mode

VALUES = {
    key: Value(number=1.0, unit="", si=1.0, spread_si=0.1, origin=Origin.TYPICAL) for key in (*INPUTS, "far.fetched")
}


def test_every_input_of_the_plan_has_its_own_advice():
    assert set(MEASURES) >= set(INPUTS)


def test_every_input_is_a_key_of_the_machine_file():
    for key in INPUTS:
        fox().declared(key)


def test_a_key_without_advice_is_still_named():
    assert measure("far.fetched_thing") == "find out far fetched thing"


def test_small_shares_are_left_out_and_the_rest_is_cut_off():
    shares = {key: 1.0 / (place + 2.0) for place, key in enumerate(INPUTS[:10])} | {"far.fetched": 0.001}
    told = doubts_on("the duty", shares, VALUES)
    assert len(told) == MOST_NAMED
    assert told[0].key == INPUTS[0]
    assert told[0].sentence.endswith("carries 50 % of the doubt on the duty")


def test_inputs_without_a_spread_are_not_moved():
    assert "motor.kv" in uncertain(fox())
    exact = fox().filled({"motor.kv": Value(number=560.0, unit="rpm/V", si=58.6, spread_si=0.0, origin=Origin.MAKER)})
    assert "motor.kv" not in uncertain(exact)


def test_a_measured_pressure_takes_the_doubt_off_the_elevation():
    measured = Value(number=985.0, unit="hPa", si=98500.0, spread_si=100.0, origin=Origin.MEASURED)
    assert "site.elevation" in uncertain(one_mode())
    assert "site.elevation" not in uncertain(one_mode().filled({"site.pressure": measured}))


@pytest.mark.parametrize("key", ["rotor.inertia", "rotor.blade_mass", "channel.step", "governor.soft_spool"])
def test_what_is_no_part_of_the_plan_moves_no_figure(key):
    from steadyhead.plan.solved import solve

    value = fox().value(key)
    assert value is not None
    one = solve(fox().replaced({key: value.si * 1.05}))
    assert (one.central.hover_time_s == solve(fox()).central.hover_time_s).all()
