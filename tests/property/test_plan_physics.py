"""What must hold of any machine's plan, drawn over machines of every size; each draw is one machine solved once."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text
from steadyhead.physics.trim import Stop
from steadyhead.plan.demand import Demand, demand
from steadyhead.plan.figures import AT, HELD_CODE, Solution, powertrain, solution
from steadyhead.plan.loads import FAST_FORWARD, LOADS
from steadyhead.plan.trims import aircraft, trims

FEW = settings(max_examples=25, deadline=None, derandomize=True)
KV = {450: 3200, 500: 1650, 550: 1150, 600: 560, 700: 520}
CELLS = {450: 3, 500: 6, 550: 6, 600: 12, 700: 12}
CAPACITY = {450: 2200, 500: 2700, 550: 4000, 600: 3300, 700: 5000}
HEAD = {450: 2700, 500: 2400, 550: 2200, 600: 2000, 700: 1850}


@st.composite
def machines(draw: st.DrawFn) -> Machine:
    size = draw(st.sampled_from(sorted(KV)))
    head = HEAD[size] * draw(st.floats(0.8, 1.25))
    motor_rpm = KV[size] * CELLS[size] * 3.8 * draw(st.floats(0.6, 0.9))
    teeth = draw(st.integers(10, 18))
    return machine_from_text(
        f"""
[machine]
name = "drawn"
size_class = {size}
[gears]
pinion_teeth = {teeth}
main_gear_teeth = {max(round(teeth * motor_rpm / head), 20)}
[motor]
kv = "{KV[size]} rpm/V"
[pack]
cells = {CELLS[size]}
capacity = "{CAPACITY[size]} mAh"
warm = "35 degC"
cold = "{draw(st.integers(-10, 20))} degC"
[site]
temperature = "{draw(st.integers(-10, 40))} degC"
elevation = "{draw(st.integers(0, 3000))} m"
[[flight_mode]]
name = "drawn"
head_speed = "{head:.0f} rpm"
""",
        "drawn.toml",
    )


def solved(machine: Machine) -> tuple[Demand, Solution]:
    craft = aircraft(machine)
    speeds = np.array([mode.head_speed.si for mode in machine.flight_mode])
    asked = demand(trims(craft, speeds), craft, speeds)
    return asked, solution(asked, craft, powertrain(machine))


def column(answer: Solution, name: str) -> np.ndarray:
    return answer.figures[0, :, :, AT[name]]


@FEW
@given(machines())
def test_pack_power_is_rotors_gears_and_losses_to_a_billionth(machine):
    _, answer = solved(machine)
    parts = ("rotor_power_w", "tail_power_w", "gear_power_w", "motor_loss_w", "controller_loss_w")
    total = sum(column(answer, name) for name in parts)
    runs = column(answer, "motor_rpm") > 0.0
    assert total[runs] == pytest.approx(column(answer, "pack_power_w")[runs], rel=1e-9)
    drawn = column(answer, "pack_voltage_v") * column(answer, "pack_current_a")
    assert drawn == pytest.approx(column(answer, "pack_power_w"), rel=1e-12)


@FEW
@given(machines())
def test_a_fuller_pack_never_leaves_less_head_room_or_ceiling(machine):
    _, answer = solved(machine)
    for name in ("head_room", "ceiling_rpm"):
        by_charge = column(answer, name).reshape(len(LOADS), 3, 2)
        assert np.all(np.diff(by_charge, axis=1) <= 1e-9), name


@FEW
@given(machines())
def test_a_colder_pack_never_reaches_a_higher_ceiling(machine):
    _, answer = solved(machine)
    warm_cold = column(answer, "ceiling_rpm").reshape(len(LOADS), 3, 2)
    # The climb of a cold pack begins from a hotter motor only by the pack's own sag, which costs more than it gives.
    assert np.all(warm_cold[..., 1] <= warm_cold[..., 0] + 1e-6)


@FEW
@given(machines(), st.floats(1.05, 1.5))
def test_a_heavier_machine_never_needs_less_collective_or_power(machine, heavier):
    light, answer = solved(machine)
    mass = machine.value("airframe.mass").si
    heavy, more = solved(machine.replaced({"airframe.mass": mass * heavier}))
    assume(np.all(heavy.code == Stop.DONE))
    # Not in fast forward flight: there a light machine must tilt further, and the air through its disc asks for pitch.
    still = [place for place, load in enumerate(LOADS) if load != FAST_FORWARD]
    assert np.all(heavy.collective_rad[:, still] >= light.collective_rad[:, still] - 1e-9)
    both = (column(answer, "drive_code") <= HELD_CODE) & (column(more, "drive_code") <= HELD_CODE)
    both[LOADS.index(FAST_FORWARD)] = False
    assert np.all(column(more, "pack_current_a")[both] >= column(answer, "pack_current_a")[both] - 1e-9)
    assert more.hover_time_s[0] <= answer.hover_time_s[0] + 1e-9


@FEW
@given(machines())
def test_more_cells_leave_more_head_room(machine):
    _, answer = solved(machine)
    cells = machine.value("pack.cells").si
    _, more = solved(machine.replaced({"pack.cells": cells + 1.0}))
    assert np.all(column(more, "head_room") > column(answer, "head_room"))


@FEW
@given(machines())
def test_what_is_held_lies_under_its_ceiling_and_what_is_not_lies_above(machine):
    _, answer = solved(machine)
    held = column(answer, "drive_code") <= HELD_CODE
    asked, ceiling = column(answer, "head_speed_rpm"), column(answer, "ceiling_rpm")
    assert np.all(held == (column(answer, "duty") <= 1.0))
    assert np.all(ceiling[held] >= asked[held] * (1.0 - 1e-6))
    assert np.all(ceiling[~held] < asked[~held] * (1.0 + 1e-3))
