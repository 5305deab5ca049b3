import math

import pytest

from steadyhead.machine import si
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.words.errors import InputError
from tests.unit.machine.sample import machine

FOX = read_machine(bundled("fox600"))


def test_the_rotor_arrives_in_metres_and_radians():
    rotor = si.rotor(FOX)
    assert rotor == (2.0, 0.66, 0.096, 0.054, 0.0)


def test_the_tail_brings_its_rotor_ratio_and_arm():
    tail = si.tail(FOX)
    assert (tail.rotor.radius_m, tail.ratio, tail.arm_m) == (0.128, 4.5, 0.795)


def test_the_gears_bring_the_ratio_of_both_stages():
    assert si.gears(FOX).ratio == 9.0


def test_the_motor_turns_unloaded_at_kv_times_what_the_winding_leaves_of_the_voltage():
    motor = si.motor(FOX)
    assert motor.kv_rad_s_v == pytest.approx(560 * math.pi / 30)
    assert motor.no_load_speed_rad_s == pytest.approx(560 * math.pi / 30 * (20 - 2.2 * 0.015))


def test_the_pack_arrives_in_ampere_seconds_and_ohm():
    pack = si.pack(FOX)
    assert (pack.cells, pack.capacity_as, pack.resistance_25c_ohm) == (12.0, 11880.0, 0.031)


def test_the_controller_arrives_in_ohm_hertz_and_seconds():
    controller = si.controller(FOX)
    assert (controller.resistance_ohm, controller.switching_hz, controller.switching_loss_s) == (0.0015, 8000.0, 1e-6)


def test_the_heat_nodes_arrive_whole():
    assert all(number > 0 for number in (*si.motor_heat(FOX), *si.controller_heat(FOX)))


def test_the_air_is_that_of_the_site_and_a_read_pressure_overrides_the_elevation():
    by_height = si.air(FOX)
    by_pressure = si.air(FOX.replaced({"site.pressure": 80000.0}))
    assert by_height.density_kg_m3 == pytest.approx(1.19, rel=0.02)
    assert by_pressure.density_kg_m3 == pytest.approx(80000 / (287.05 * 291.15), rel=1e-3)


def test_the_section_carries_the_machines_doubt():
    section = si.section(FOX.shifted("rotor.drag_factor", 1.0))
    assert section.drag_factor == pytest.approx(1.25)
    assert section.lift_factor == 1.0


def test_what_nobody_knows_is_asked_for_by_its_key():
    with pytest.raises(InputError, match=r"motor\.current_max"):
        si.number(machine(), "motor.current_max")
