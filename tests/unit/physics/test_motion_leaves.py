import math

import numpy as np
import pytest

from steadyhead.physics.air import Air
from steadyhead.physics.governor import Governor, GovernorState, governed, quantised, ramped
from steadyhead.physics.inflow_dynamics import apparent_mass, inflow_rate, inflow_time_constant
from steadyhead.physics.one_way_bearing import catch_up_loss, catch_up_torque, common_speed, speed_gap_after_play
from steadyhead.physics.pilot import Pilot, climb_wanted, collective_flown
from steadyhead.physics.rotor import Motion, Rotor, axial_loads
from steadyhead.physics.rotor_flow import (
    NOW,
    RATE,
    RINGS,
    TRIED,
    axial_sums,
    edgewise_sums,
    flow_loads,
    settled_flow,
    stalled_flow,
    still_flow,
)
from steadyhead.physics.section import model_section
from steadyhead.physics.servo import frame_of, lag_after, slewed
from steadyhead.physics.tail import Tail, tail_loads
from steadyhead.physics.tail_curve import tail_curve, tail_torque

AIR = Air(1.2, 341.0, 1.5e-5)
ROTOR = Rotor(2.0, 0.66, 0.096, 0.054, 0.0)
SECTION = model_section()
GOVERNOR = Governor(0.004, 1.2, 3.0, 0.0, 0.5, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.2)
REST = GovernorState(0.0, 200.0, 200.0, 0.0, 0.0)
PILOT = Pilot(1.0, 2.5, 0.02, 0.01, -0.2, 0.2)


def test_the_air_that_moves_with_the_inflow_weighs_what_a_disc_of_it_weighs():
    assert apparent_mass(1.2, 0.66) == pytest.approx(8.0 / 3.0 * 1.2 * 0.66**3, rel=1e-12)


def test_a_ring_out_of_balance_moves_its_inflow_and_a_balanced_one_does_not():
    assert inflow_rate(0.0, 0.66) == 0.0
    per_area = 2.0 * 1.2 * 4.0
    assert inflow_rate(4.0, 0.66) == pytest.approx(per_area / (8.0 / (3.0 * math.pi) * 1.2 * 0.66), rel=1e-12)


@pytest.mark.parametrize(("collective", "climb"), [(0.1, 0.0), (0.17, 3.0), (-0.05, -2.0)])
def test_the_flow_settles_at_the_loads_of_steady_flight(collective, climb):
    flow = np.zeros((3, RINGS))
    motion = Motion(200.0, collective, 0.0, climb, 0.0)
    settled_flow(ROTOR, SECTION, AIR, motion, flow)
    loads = flow_loads(ROTOR, SECTION, AIR, motion, flow)
    steady = axial_loads(ROTOR, SECTION, AIR, 200.0, collective, climb)
    assert np.abs(flow[RATE]).max() < 1e-3
    # Twelve rings against the sixteen (in descent 48) of the steady solve.
    assert loads.thrust_n == pytest.approx(steady.thrust_n, rel=2e-3)
    assert loads.torque_nm == pytest.approx(steady.torque_nm, rel=2e-3)


def test_the_inflow_settles_in_the_time_that_the_linear_theory_says():
    flow = np.zeros((3, RINGS))
    motion = Motion(200.0, 0.1, 0.0, 0.0, 0.0)
    settled_flow(ROTOR, SECTION, AIR, motion, flow)
    settled = flow[NOW].copy()
    mean = flow_loads(ROTOR, SECTION, AIR, motion, flow).inflow_m_s
    flow[NOW] *= 0.99
    step_s, gaps = 1e-4, []
    for _ in range(400):
        flow[TRIED] = flow[NOW]
        flow_loads(ROTOR, SECTION, AIR, motion, flow)
        flow[NOW] += step_s * flow[RATE]
        gaps.append(float(np.mean(settled - flow[NOW])))
    solidity = 2.0 * 0.054 / (math.pi * 0.66)
    wanted = inflow_time_constant(mean, 5.7, solidity, 132.0, 0.66)
    got = 0.02 / math.log(gaps[49] / gaps[249])
    # Tip and root loss leave less momentum thrust than the formula has, and the table's lift slope is below its 5.7:
    # the rings are a quarter slower. A wrong power of the apparent mass would be far outside.
    assert got == pytest.approx(wanted, rel=0.3)


def test_a_standing_rotor_has_no_load_and_its_inflow_dies():
    flow = np.ones((3, RINGS))
    assert flow_loads(ROTOR, SECTION, AIR, Motion(0.0, 0.1, 0.0, 0.0, 0.0), flow).thrust_n == 0.0
    assert (flow[RATE] < 0.0).all()


def test_the_catch_up_keeps_angular_momentum_and_loses_the_energy_of_the_gap():
    head, train, low, high = 0.04, 0.008, 180.0, 200.0
    speed = common_speed(low, head, high, train)
    assert head * low + train * high == pytest.approx((head + train) * speed, rel=1e-12)
    before, after = 0.5 * (head * low**2 + train * high**2), 0.5 * (head + train) * speed**2
    assert catch_up_loss(low, head, high, train) == pytest.approx(before - after, rel=1e-9)


def test_a_torque_that_comes_on_at_once_swings_to_twice_its_size():
    assert catch_up_torque(3.0, 0.0, 0.04, 0.008, 500.0) == 6.0
    reduced = 0.04 * 0.008 / 0.048
    assert catch_up_torque(0.0, 5.0, 0.04, 0.008, 500.0) == pytest.approx(5.0 * math.sqrt(500.0 * reduced), rel=1e-12)
    assert speed_gap_after_play(100.0, 0.02) == pytest.approx(2.0, rel=1e-12)
    assert speed_gap_after_play(-100.0, 0.02) == 0.0


def test_the_peak_of_the_catch_up_is_the_one_that_two_masses_on_a_spring_show():
    head, train, stiffness, drive, gap = 0.04, 0.008, 400.0, 6.0, 3.0
    twist, relative, peak, step_s = 0.0, gap, 0.0, 1e-6
    for _ in range(40000):
        torque = stiffness * twist
        peak = max(peak, torque)
        relative += step_s * ((drive - torque) / train - torque / head)
        twist += step_s * relative
    carried = drive * head / (head + train)
    assert catch_up_torque(carried, gap, head, train, stiffness) == pytest.approx(peak, rel=1e-3)


def test_a_servo_follows_exactly_whatever_the_step():
    twice = lag_after(lag_after(0.0, 1.0, 0.04, 0.01), 1.0, 0.04, 0.01)
    assert twice == pytest.approx(lag_after(0.0, 1.0, 0.04, 0.02), rel=1e-12)
    assert lag_after(0.0, 1.0, 0.0, 0.001) == 1.0
    assert slewed(0.0, 1.0, 2.0, 0.1) == pytest.approx(0.2)
    assert slewed(0.0, 1.0, 0.0, 0.1) == 1.0
    assert [frame_of(t, 0.02) for t in (0.0, 0.019, 0.02, 0.041)] == [0, 0, 1, 2]


def test_the_governor_gives_duty_for_a_relative_error_and_for_its_time():
    one = governed(GOVERNOR, REST, 190.0, 200.0, 200.0, 0.0)
    assert one.error == pytest.approx(0.05)
    assert one.duty == pytest.approx(1.2 * 0.05 + 3.0 * 0.05 * 0.004, rel=1e-9)
    assert one.integral == pytest.approx(3.0 * 0.05 * 0.004, rel=1e-9)


def test_the_governor_does_not_wind_up_at_full_duty():
    held = GovernorState(0.9, 150.0, 200.0, 0.25, 1.0)
    after = governed(GOVERNOR, held, 150.0, 200.0, 200.0, 0.0)
    assert after.duty == 1.0
    assert after.integral == 0.9
    released = governed(GOVERNOR, held, 210.0, 200.0, 200.0, 0.0)
    assert released.integral < 0.9


def test_collective_of_either_sign_is_fed_forward():
    up, down = (governed(GOVERNOR, REST, 200.0, 200.0, 200.0, c).duty for c in (0.1, -0.1))
    assert up == down == pytest.approx(0.05, rel=1e-9)


def test_the_sensor_rounds_and_the_ramp_is_straight():
    assert quantised(200.26, 0.5) == 200.5
    assert quantised(200.26, 0.0) == 200.26
    assert ramped(100.0, 200.0, 50.0, 0.1) == 105.0
    assert ramped(199.0, 200.0, 50.0, 0.1) == 200.0
    assert ramped(100.0, 200.0, 0.0, 0.1) == 200.0


def test_the_pilot_climbs_no_faster_than_he_likes_and_keeps_within_the_collective():
    assert climb_wanted(PILOT, 10.0, 9.5) == 0.5
    assert climb_wanted(PILOT, 100.0, 0.0) == 2.5
    asked, trim = collective_flown(PILOT, 2.5, -30.0, 0.1, 0.02)
    assert asked == PILOT.high_rad
    assert trim == 0.1
    asked, trim = collective_flown(PILOT, 0.5, 0.0, 0.1, 0.02)
    assert asked == pytest.approx(0.11)
    assert trim > 0.1


def test_the_tail_s_curve_is_the_tail_rotor_itself_at_any_speed():
    tail = Tail(Rotor(2.0, 0.128, 0.03, 0.027, 0.0), 4.5, 0.795)
    curve = tail_curve(tail, SECTION, AIR, 208.0, 12.0)
    for speed, held, percent in ((208.0, 3.1, 0.3), (180.0, 4.7, 2.0), (230.0, 2.0, 2.0)):
        steady = tail_loads(tail, SECTION, AIR, speed, held).torque_at_main_shaft_nm
        assert tail_torque(curve, speed, held) == pytest.approx(steady, rel=percent / 100.0)
    assert tail_torque(curve, 0.0, 3.0) == 0.0
    assert tail_torque(curve, 208.0, -3.0) == tail_torque(curve, 208.0, 3.0)


@pytest.mark.parametrize(("speed", "climb", "pitch"), [(200.0, 0.5, 0.1), (40.0, -12.0, -0.06), (3.0, 9.0, 0.2)])
def test_rings_side_by_side_add_up_as_one_by_one(speed, climb, pitch):
    side, single = still_flow(), still_flow()
    side[TRIED] = single[TRIED] = np.linspace(-6.0, 9.0, RINGS)
    motion = Motion(speed, pitch, 0.0, climb, 0.0)
    together = axial_sums(ROTOR, SECTION, AIR, motion, side)
    assert together == pytest.approx(edgewise_sums(ROTOR, SECTION, AIR, motion, single), rel=1e-10)
    assert side[RATE] == pytest.approx(single[RATE], rel=1e-10)


def test_a_flow_of_another_number_of_rings_is_no_flow():
    assert math.isnan(axial_sums(ROTOR, SECTION, AIR, Motion(200.0, 0.1, 0.0, 0.0, 0.0), np.zeros((3, 5))).thrust_n)


def test_the_stalled_share_is_that_of_the_blades_past_stall():
    flow = still_flow()
    for pitch, low, high in ((0.08, 0.0, 0.05), (0.5, 0.9, 1.01)):
        settled_flow(ROTOR, SECTION, AIR, Motion(200.0, pitch, 0.0, 0.0, 0.0), flow)
        assert low <= stalled_flow(ROTOR, SECTION, AIR, Motion(200.0, pitch, 0.0, 0.0, 0.0), flow) <= high
