"""Logs with blades and without, given together: each number comes from those that show it, and the answer says so."""

from dataclasses import replace

import numpy as np
import pytest

from steadyhead.learn.blades_seen import blades_doubt, by_build
from steadyhead.learn.joint import joint, models_of
from steadyhead.learn.learning import learned
from steadyhead.learn.parameters import parameters
from steadyhead.learn.result import Learned, Parameter
from steadyhead.learn.rows import Evidence, evidence
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine, read_machine_text
from steadyhead.trace.trace import Trace
from tests.noisy_flight import COAST_TEXT, Truth, logged, noisy_flight

MACHINE = read_machine(bundled("fox600"))
TEXT = read_machine_text(bundled("fox600"))
SEED = 5
"""Of a machine whose motor stops sooner than its bare head, and whose logger writes both speeds."""
BARE_TEXT = COAST_TEXT.replace("says = ", "blades = false\nsays = ", 1)
FLOWN, BENCH = noisy_flight(MACHINE, SEED), noisy_flight(MACHINE, SEED, text=BARE_TEXT)


def by_one_logger(flight: Truth, *, blades: bool) -> Trace:
    """Return a flight as one and the same sensors log it."""
    return logged(flight.machine, flight.clean, np.random.default_rng(SEED), blades=blades)


FLIGHT = replace(by_one_logger(FLOWN, blades=True), source="logs/flight.csv")
BARE = replace(by_one_logger(BENCH, blades=False), source="logs/bare.csv")
POWER = ("pack_current_a", "pack_voltage_v", "duty")


def found(trace: Trace) -> Evidence:
    one = evidence(MACHINE, trace)
    assert one is not None
    return one


def of(told: tuple[Parameter, ...], key: str) -> Parameter:
    return next(one for one in told if one.key == key)


@pytest.fixture(scope="module")
def both() -> Learned:
    return learned(MACHINE, TEXT, [FLIGHT, BARE])


def test_inertia_with_blades_comes_from_the_flight_and_the_bare_one_from_the_bench(both: Learned) -> None:
    assert of(both.parameters, "rotor.inertia").told_by == ("logs/flight.csv",)
    assert of(both.parameters, "rotor.drag_factor").told_by == ("logs/flight.csv",)
    assert of(both.parameters, "rotor.hub_inertia").told_by == ("logs/bare.csv",)
    assert set(of(both.parameters, "motor.kv").told_by) == {"logs/flight.csv", "logs/bare.csv"}
    interval, true = of(both.parameters, "rotor.inertia").value_interval, FLOWN.machine.value("rotor.inertia")
    assert interval is not None
    assert true is not None
    assert interval[0] <= true.si <= interval[1]


def test_a_bench_log_whose_build_does_not_show_takes_nothing_from_the_flight_beside_it() -> None:
    flown, unsure = found(FLIGHT), replace(found(BARE), blades_known=False, coasts=())
    doubt = blades_doubt(unsure, [flown, unsure])
    assert doubt is not None
    assert doubt.holds == {"rotor.hub_inertia"}
    assert "those of the other logs: flight.csv" in doubt.says
    made = joint(MACHINE, models_of(MACHINE, [flown, unsure]))
    told = parameters(MACHINE, made, dict.fromkeys(doubt.holds, doubt.says))
    assert of(told, "rotor.inertia").told_by == ("logs/flight.csv",)
    assert not of(told, "rotor.hub_inertia").told


def test_a_coast_down_that_may_be_a_bare_heads_does_not_speak_of_the_blades_of_a_flight() -> None:
    # Without current nothing in it says whether blades were fitted: it counted as one with blades.
    blind = replace(BARE, channels={name: value for name, value in BARE.channels.items() if name not in POWER})
    answer, alone = (learned(MACHINE, TEXT, logs) for logs in ([FLIGHT, blind], [FLIGHT]))
    for key in ("rotor.inertia", "rotor.drag_factor"):
        with_it, without = of(answer.parameters, key), of(alone.parameters, key)
        assert with_it.told_by == ("logs/flight.csv",)
        assert with_it.value == pytest.approx(without.value, rel=0.001)
    assert any("bare.csv" in line and "do not show whether blades were fitted" in line for line in answer.warnings)


def test_a_coast_down_given_alone_is_taken_with_blades_as_the_file_has_the_machine() -> None:
    blind = replace(BARE, channels={name: value for name, value in BARE.channels.items() if name not in POWER})
    assert found(blind).found.blades_on is None
    assert by_build([found(blind)])[0].coasts


def test_a_log_of_unknown_build_beside_others_of_unknown_build_tells_neither_inertia_nor_drag() -> None:
    unsure = replace(found(BARE), blades_known=False, coasts=())
    doubt = blades_doubt(unsure, [unsure, unsure])
    assert doubt is not None
    assert "rotor.inertia" in doubt.holds


def test_the_bare_heads_own_inertia_holds_the_truth(both: Learned) -> None:
    # The simulated bare head has no drag of the air at all: what is taken for it must leave room for that.
    hub, true = of(both.parameters, "rotor.hub_inertia"), FLOWN.machine.value("rotor.hub_inertia")
    assert true is not None
    assert hub.told
    assert hub.value_interval is not None
    assert hub.value_interval[0] <= 1e3 * true.si <= hub.value_interval[1]


def test_a_bare_head_that_the_motor_may_push_on_tells_no_coast_down() -> None:
    # It is so light that it slows down sooner than motor and gears, so both turn together: 60 to 90 % too much inertia.
    assert found(BARE).coasts
    blind = {name: values for name, values in BARE.channels.items() if name != "motor_side_speed_rpm"}
    assert not found(replace(BARE, channels=blind)).coasts
    together = {**BARE.channels, "motor_side_speed_rpm": BARE.channels["head_speed_rpm"]}
    assert not found(replace(BARE, channels=together)).coasts
