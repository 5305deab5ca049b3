"""Steady autorotation: balances that close, two searches that agree, stability against a simulation of its own."""

import math

import numpy as np
import pytest

from steadyhead.flight.glider import glider
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.descent_state import DescentState, descent_state
from steadyhead.physics.glide import GlideStop, glide_balance, glide_found, glide_loads, hover_inflow, sinking
from steadyhead.physics.glide_near import glide_at_collective, glide_near, glides_over_speed
from steadyhead.physics.glide_stability import glide_growth, glide_rates

RPM = math.pi / 30.0
FOX = glider(read_machine(bundled("fox600")), 1990.0 * RPM)
PLACES = [(1300.0, 0.0), (1500.0, 6.0), (1730.0, 0.0), (1730.0, 8.0), (1730.0, 18.0), (1990.0, 4.0)]


@pytest.mark.parametrize(("rpm", "forward"), PLACES)
def test_forces_and_torque_close(rpm, forward):
    glide = glide_found(FOX, rpm * RPM, forward)
    left = glide_balance(FOX, glide)
    assert glide.code == GlideStop.DONE
    assert abs(left.rise_n) < 1e-5 * FOX.weight_n
    assert abs(left.push_n) < 1e-4 * FOX.weight_n
    assert abs(left.slowing_nm) < 1e-5 * FOX.weight_n * FOX.rotor.radius_m


@pytest.mark.parametrize(("rpm", "forward"), [(1300.0, 0.0), (1730.0, 0.0)])
def test_the_height_given_up_pays_for_air_blades_and_losses(rpm, forward):
    glide = glide_found(FOX, rpm * RPM, forward)
    loads = glide_loads(FOX, glide)
    drag = 0.5 * FOX.air.density_kg_m3 * glide.sink_m_s**3 * FOX.drag_area_m2
    losses = -loads.torque_nm * glide.head_rad_s
    spent = loads.thrust_n * loads.inflow_m_s + loads.profile_power_w + losses + drag
    # The mean inflow stands for the inflow of each ring here, hence the band.
    assert spent == pytest.approx(FOX.weight_n * glide.sink_m_s, rel=0.08)


@pytest.mark.parametrize(("rpm", "forward"), PLACES)
def test_steps_from_beside_find_what_the_search_finds(rpm, forward):
    found = glide_found(FOX, rpm * RPM, forward)
    start = found._replace(sink_m_s=found.sink_m_s + 0.4, collective_rad=found.collective_rad + 0.01)
    near = glide_near(FOX, start)
    assert near.sink_m_s == pytest.approx(found.sink_m_s, abs=5e-3)
    assert near.collective_rad == pytest.approx(found.collective_rad, abs=1e-4)


def test_no_autorotation_holds_a_head_speed_that_is_too_high_or_too_low():
    assert glide_found(FOX, 2600.0 * RPM, 0.0).code == GlideStop.TOO_FAST
    assert math.isnan(glide_found(FOX, 2600.0 * RPM, 0.0).sink_m_s)
    assert glide_found(FOX, 800.0 * RPM, 0.0).code == GlideStop.STALLED


def test_power_falls_to_nothing_at_the_autorotation_and_below_it_the_rotor_speeds_up():
    glide = glide_found(FOX, 1730.0 * RPM, 0.0)
    _, before = sinking(FOX, 1730.0 * RPM, 0.0, 0.9 * glide.sink_m_s)
    _, after = sinking(FOX, 1730.0 * RPM, 0.0, 1.1 * glide.sink_m_s)
    assert before > 0.0 > after


def test_a_tail_that_is_driven_and_a_draggier_head_sink_more():
    free = FOX._replace(tail_on_head=0.0)
    stiff = FOX._replace(head_drag_nm=FOX.head_drag_nm + 0.05)
    here = glide_found(FOX, 1730.0 * RPM, 8.0).sink_m_s
    assert glide_found(free, 1730.0 * RPM, 8.0).sink_m_s < here < glide_found(stiff, 1730.0 * RPM, 8.0).sink_m_s


def test_a_row_over_forward_speed_is_the_search_at_each():
    forward, out = np.array([0.0, 5.0, 10.0, 15.0]), np.empty((4, 6))
    glides_over_speed(FOX, 1730.0 * RPM, forward, out)
    for row, speed in zip(out, forward, strict=True):
        assert row[2] == pytest.approx(glide_found(FOX, 1730.0 * RPM, float(speed)).sink_m_s, abs=5e-3)


def test_more_collective_settles_at_a_lower_head_speed():
    start = glide_found(FOX, 1730.0 * RPM, 8.0)
    slower = glide_at_collective(FOX, start, start.collective_rad + math.radians(1.0))
    assert slower.head_rad_s < start.head_rad_s
    assert slower.collective_rad == pytest.approx(start.collective_rad + math.radians(1.0), abs=2e-5)
    left = glide_balance(FOX, slower)
    assert abs(left.slowing_nm) < 1e-4 * FOX.weight_n * FOX.rotor.radius_m


@pytest.mark.parametrize("rpm", [1300.0, 1730.0])
def test_growth_is_the_rate_at_which_a_disturbance_dies_out_in_time(rpm):
    glide = glide_found(FOX, rpm * RPM, 8.0)
    faster, sinking_more, step = 0.5, 0.0, 2e-3
    seen = {}
    for number in range(round(6.0 / step)):
        head_rate, sink_rate = glide_rates(FOX, glide, faster, sinking_more)
        faster, sinking_more = faster + step * head_rate, sinking_more + step * sink_rate
        seen[number] = faster
    late = [number for number in seen if number * step > 4.0]
    rate = math.log(seen[late[-1]] / seen[late[0]]) / (step * (late[-1] - late[0]))
    assert glide_growth(FOX, glide) == pytest.approx(rate, rel=0.08)


@pytest.mark.parametrize(
    ("ratio", "across", "state"),
    [(0.0, 0.0, 0), (0.22, 0.0, 0), (0.24, 0.0, 1), (1.2, 0.5, 1), (1.3, 0.0, 2), (2.1, 0.0, 3), (1.0, 1.1, 0)],
)
def test_states_of_a_descending_disc(ratio, across, state):
    assert descent_state(ratio, across) == DescentState(state)


def test_hover_inflow_is_the_closed_form():
    area = math.pi * FOX.rotor.radius_m**2
    assert hover_inflow(FOX) == pytest.approx(math.sqrt(FOX.weight_n / (2.0 * FOX.air.density_kg_m3 * area)))
