import numpy as np
import pytest

from steadyhead.physics.conditions import (
    COLUMNS,
    Drive,
    Holding,
    after_hover,
    drive_conditions,
    flight_time,
    flown_point,
    head_load,
    last_charge,
    settled_source,
)
from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import load_torque
from steadyhead.physics.gears import Gears, motor_torque
from steadyhead.physics.heat import ControllerHeat, MotorHeat
from steadyhead.physics.held import Heats
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Pack, pack_source, slow_voltage_after

DRIVE = Drive(
    Motor(58.6, 0.015, 2.0, 1170.0, 0.5),
    Controller(0.0015, 8000.0, 1e-6, 1.0),
    Pack(12.0, 11880.0, 0.031, 0.012, 20.0),
    Gears(9.0, 0.96, 0.06),
    Heats(MotorHeat(26.0, 0.8, 100.0, 0.3), ControllerHeat(90.0, 1.2)),
)
HOLDING = Holding(air_k=291.0, short_hold_s=8.0, reserve=0.2, flight_pack_k=308.0)
HOVER_NM, SPEED_RAD_S = 2.2, 208.0


def test_the_load_at_the_motor_is_what_the_gears_ask_at_any_speed():
    load = head_load(DRIVE.gears, HOVER_NM, SPEED_RAD_S)
    for share in (0.5, 1.0, 1.2):
        wanted = motor_torque(DRIVE.gears, HOVER_NM * share**2)
        assert load_torque(load, SPEED_RAD_S * 9.0 * share) == pytest.approx(wanted, rel=1e-12)


def test_a_climb_after_a_hover_sags_as_the_rc_pair_steps():
    pack, charge, pack_k, hover_a, climb_a, held_s = DRIVE.pack, 0.5, 300.0, 18.0, 80.0, 8.0
    settled = settled_source(pack, charge, pack_k)
    quick = pack_source(pack, charge, pack_k, 0.0).resistance_ohm
    slow = settled.resistance_ohm - quick
    u = slow_voltage_after(hover_a * slow, climb_a, slow, pack.slow_time_s, held_s)
    wanted = settled.open_circuit_v - climb_a * quick - u
    source = after_hover(pack, charge, pack_k, hover_a, held_s)
    assert source.open_circuit_v - climb_a * source.resistance_ohm == pytest.approx(wanted, rel=1e-12)


def test_the_flight_time_is_the_charge_counted_in_small_steps():
    load = head_load(DRIVE.gears, HOVER_NM, SPEED_RAD_S)
    got = flight_time(DRIVE, load, HOLDING)
    charges = np.linspace(0.2, 1.0, 401)
    middles = 0.5 * (charges[1:] + charges[:-1])
    currents = [flown_point(DRIVE, load, float(charge), HOLDING, got).pack_current_a for charge in middles]
    counted = DRIVE.pack.capacity_as * sum((charges[1] - charges[0]) / current for current in currents)
    # The time sets the winding temperature and that the current, settled in two rounds.
    assert got == pytest.approx(counted, rel=1e-4)


def test_a_flight_ends_where_full_duty_no_longer_holds_the_speed():
    load = head_load(DRIVE.gears, HOVER_NM, 297.0)
    end = last_charge(DRIVE, load, HOLDING, 300.0)
    assert 0.2 < end < 1.0
    assert flown_point(DRIVE, load, end, HOLDING, 300.0).code <= 1
    assert flown_point(DRIVE, load, end - 0.01, HOLDING, 300.0).code > 1
    assert flight_time(DRIVE, load, HOLDING) > 0.0


def test_a_speed_that_a_full_pack_does_not_hold_flies_no_time():
    assert flight_time(DRIVE, head_load(DRIVE.gears, HOVER_NM, 400.0), HOLDING) == 0.0


def test_short_loads_begin_where_the_hover_left_the_motor():
    torque = np.array([[HOVER_NM, HOVER_NM]])
    states = np.array([[1.0, 308.0], [0.2, 283.0]])
    out, times = np.empty((1, 2, 2, len(COLUMNS))), np.empty((1, 2))
    drive_conditions(DRIVE, HOLDING, torque, np.array([SPEED_RAD_S]), np.array([1.0, 0.0]), states, out, times)
    winding, held = out[..., COLUMNS.index("winding_k")], out[..., COLUMNS.index("held_s")]
    # The same load as the hover, held on: after eight seconds more the motor is hardly warmer.
    assert winding[0, 1] == pytest.approx(winding[0, 0], abs=0.5)
    assert np.all(winding > 300.0)
    assert held[0, 0] == pytest.approx(times[0, 0])
    assert np.all(held[0, 1] == 8.0)
