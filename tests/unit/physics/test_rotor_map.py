"""The rotor's map against the blade elements that it is made of, between its own places."""

import math

import numpy as np
import pytest

from steadyhead.flight.rig import rig
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.craft import GRAVITY_M_S2
from steadyhead.physics.forward import flight_loads
from steadyhead.physics.kernel import kernel
from steadyhead.physics.rotor import Motion
from steadyhead.physics.rotor_map import Grade, RotorMap, map_loads, rotor_map

DRAWS = 150


@pytest.fixture(scope="module")
def made():
    own = rig(read_machine(bundled("fox600")), blades_on=True)
    craft, speed = own.craft, own.set_rad_s[1]
    weight = craft.body.mass_kg * GRAVITY_M_S2
    return craft, speed, weight, rotor_map(craft.rotor, craft.section, craft.air, speed, weight)


@kernel
def asked(chart: RotorMap, grade: Grade, motion: Motion) -> tuple[float, float, float]:
    """Loads of the map.

    Valid: as `map_loads`.
    Source: `map_loads`.
    """
    return map_loads(chart, grade, motion)


def misses(made, *, lift: float = 1.0, drag: float = 1.0, speed_share: float = 1.0):
    craft, speed, weight, chart = made
    random = np.random.default_rng(5)
    section = craft.section._replace(
        lift_factor=craft.section.lift_factor * lift, drag_factor=craft.section.drag_factor * drag
    )
    grade = Grade(craft.air.density_kg_m3, lift, drag)
    found = []
    for _ in range(DRAWS):
        pitch = math.radians(random.uniform(-6.0, 10.0))
        through, across = random.uniform(-13.0, 3.0), random.choice([0.0, random.uniform(0.0, 14.0)])
        turn = speed_share * speed
        motion = Motion(turn, pitch, 0.0, through * speed_share, across * speed_share)
        exact = flight_loads(craft.rotor, section, craft.air, motion)
        thrust, torque, back = asked(chart, grade, motion)
        if -0.5 < exact.thrust_n / weight < 3.0:
            square = speed_share * speed_share
            found.append(((thrust - exact.thrust_n) / weight, (torque - exact.torque_nm) / square, back - exact.drag_n))
    assert len(found) > DRAWS // 2
    return np.array(found)


def hover_torque(made) -> float:
    craft, speed, _, _ = made
    return float(flight_loads(craft.rotor, craft.section, craft.air, Motion(speed, 0.06, 0.0, 0.0, 0.0)).torque_nm)


def test_between_its_places_the_map_is_the_blade_elements(made):
    miss = misses(made)
    assert np.sqrt(np.mean(miss[:, 0] ** 2)) < 0.015
    assert np.abs(miss[:, 0]).max() < 0.08
    assert np.sqrt(np.mean(miss[:, 1] ** 2)) < 0.015 * hover_torque(made)


def test_other_lift_and_drag_of_the_blades_follow_without_a_new_map(made):
    miss = misses(made, lift=1.06, drag=1.2)
    assert np.sqrt(np.mean(miss[:, 0] ** 2)) < 0.02
    assert abs(np.mean(miss[:, 1])) < 0.02 * hover_torque(made)


@pytest.mark.parametrize("share", [0.7, 0.85])
def test_a_slower_rotor_has_more_drag_for_its_square_of_speed(made, share):
    miss = misses(made, speed_share=share)
    assert abs(np.mean(miss[:, 1])) < 0.04 * hover_torque(made)
    craft, speed, _weight, chart = made
    plain = chart._replace(drag_growth=0.0)
    motion = Motion(share * speed, 0.06, 0.0, 0.0, 0.0)
    grade = Grade(craft.air.density_kg_m3, 1.0, 1.0)
    assert asked(chart, grade, motion)[1] > asked(plain, grade, motion)[1]


def test_beyond_its_ends_the_map_holds_its_end_values(made):
    craft, speed, _, chart = made
    grade = Grade(craft.air.density_kg_m3, 1.0, 1.0)
    at_end = asked(chart, grade, Motion(speed, 0.25, 0.0, 0.0, 0.0))
    beyond = asked(chart, grade, Motion(speed, 0.4, 0.0, 0.0, 0.0))
    assert at_end == pytest.approx(beyond, rel=1e-12)
