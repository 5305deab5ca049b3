"""The rotor against its plain twin, which shares no line with it."""

import math

import numpy as np
import pytest

from steadyhead.physics.air import Air
from steadyhead.physics.forward import edgewise_loads, level_cyclic
from steadyhead.physics.rotor import Motion, Rotor, axial_loads, disc_loads
from steadyhead.physics.section import table_section
from tests.agrees import agrees
from tests.naive.rotor_twin import TwinRotor, loads, rolling_moment

AIR = Air(1.18, 343.0, 1.5e-5)
CASES = [(2, 0.69, 0.10, 0.054, 200.0), (4, 0.762, 0.127, 0.0508, 100.5), (3, 0.12, 0.03, 0.025, 900.0)]


def pair(blades: int, radius: float, root: float, chord: float, speed: float) -> tuple[Rotor, TwinRotor]:
    return Rotor(float(blades), radius, root, chord, 0.0), TwinRotor(
        blades, radius, root, chord, 5.7, 0.011, 0.9, AIR.density_kg_m3, speed
    )


ALPHA = np.linspace(-math.pi, math.pi, 2881)
SECTION = table_section(ALPHA, 2.85 * np.sin(2.0 * ALPHA), 0.011 + 0.9 * np.sin(ALPHA) ** 2)
WHY = "sixteen rings stand for four hundred, the drag table is stepped"


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize(("pitch_deg", "climb_share"), [(4.0, 0.0), (10.0, 0.0), (8.0, 0.03)])
def test_hover_and_climb_agree_with_the_twin(case, pitch_deg, climb_share):
    rotor, twin = pair(*case)
    climb = climb_share * twin.speed * twin.radius
    ours = axial_loads(rotor, SECTION, AIR, twin.speed, math.radians(pitch_deg), climb)
    thrust, torque = loads(twin, math.radians(pitch_deg), climb)
    assert agrees(ours.thrust_n, thrust, percent=0.1, because=WHY)
    assert agrees(ours.torque_nm, torque, percent=0.1, because=WHY)


@pytest.mark.parametrize("advance", [0.08, 0.2])
def test_forward_flight_agrees_with_the_twin_at_the_same_cyclic(advance):
    rotor, twin = pair(*CASES[0])
    tip = twin.speed * twin.radius
    across, through, pitch, cyclic = advance * tip, 0.02 * tip, math.radians(8.0), math.radians(-2.0)
    ours = disc_loads(rotor, SECTION, AIR, Motion(twin.speed, pitch, cyclic, through, across))
    thrust, torque = loads(twin, pitch, through, across, cyclic, rings=150)
    assert agrees(ours.thrust_n, thrust, percent=0.3, because="twelve rings and eight azimuths against 150 and 24")
    assert agrees(ours.torque_nm, torque, percent=0.6, because="twelve rings and eight azimuths against 150 and 24")


def test_forward_flight_uses_the_cyclic_that_leaves_no_rolling_moment():
    rotor, twin = pair(*CASES[0])
    forward, angle, pitch = 25.0, 0.1, math.radians(7.0)
    ours = edgewise_loads(rotor, SECTION, AIR, twin.speed, pitch, forward, angle)
    tip = twin.speed * twin.radius
    through, across = forward * math.sin(angle), forward * math.cos(angle)
    cyclic = level_cyclic(pitch, across / tip, (through + ours.inflow_m_s) / tip)
    again = disc_loads(rotor, SECTION, AIR, Motion(twin.speed, pitch, cyclic, through, across))
    assert agrees(again.thrust_n, ours.thrust_n, percent=0.01, because="cyclic settles to 1e-5 rad")
    held = rolling_moment(twin, pitch, through, across, cyclic, ours.inflow_m_s)
    left_alone = rolling_moment(twin, pitch, through, across, 0.0, ours.inflow_m_s)
    assert abs(held) < 0.06 * left_alone
