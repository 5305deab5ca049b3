"""A published acrobatic miniature helicopter: orders of magnitude of rotor speed, inflow and governor.

V. Gavrilets, B. Mettler, E. Feron, Dynamic Model for a Miniature Aerobatic Helicopter, MIT LIDS P-2580, 2003; values
and their certainty in `miniature_helicopter_mit.csv`. Its rotor has a stabiliser bar and its engine burns fuel: what
is compared is the rotor, its kinetic energy and what its governor's gains mean, never our own machine.
"""

import math

from steadyhead.physics.air import air_at
from steadyhead.physics.governor import Governor, GovernorState, governed
from steadyhead.physics.inflow_dynamics import inflow_time_constant
from steadyhead.physics.rotor import Rotor, axial_loads
from steadyhead.physics.section import constant_section
from steadyhead.physics.trim import Stop, collective_for_thrust
from tests.agrees import agrees
from tests.published.rotor_rigs import rows

GIVEN = {row["parameter"]: float(row["value"].split("-")[0] or 0) for row in rows("miniature_helicopter_mit.csv")}
AIR = air_at(101325.0, 288.15)
SPEED_RAD_S = GIVEN["nominal main rotor speed"]
ROTOR = Rotor(2.0, GIVEN["main rotor radius"], 0.15, GIVEN["main rotor chord"], 0.0)
SECTION = constant_section(GIVEN["main rotor lift curve slope"], GIVEN["main rotor zero-lift drag coefficient CD0"])
WEIGHT_N = GIVEN["mass"] * 9.80665


def test_its_hover_inflow_comes_out_as_stated():
    collective, code = collective_for_thrust(ROTOR, SECTION, AIR, SPEED_RAD_S, WEIGHT_N, 0.0)
    assert code == Stop.DONE
    loads = axial_loads(ROTOR, SECTION, AIR, SPEED_RAD_S, collective, 0.0)
    stated = GIVEN["hover induced velocity stated"]
    assert agrees(loads.inflow_m_s, stated, percent=12.0, because="tip and root loss raise it, the paper has none")
    ideal, profile = GIVEN["derived ideal hover power"], GIVEN["derived profile power sigma CD0/8"]
    assert agrees(loads.power_w, ideal / 0.9 + profile, percent=15.0, because="its wake factor 0.9 against our rings")


def test_its_rotor_holds_the_kinetic_energy_that_the_paper_s_inertia_gives():
    inertia = GIVEN["total rotating inertia / flapping inertia"] * GIVEN["blade flapping inertia"]
    energy = 0.5 * inertia * SPEED_RAD_S**2
    assert agrees(energy, GIVEN["derived rotor kinetic energy"], percent=0.5, because="derived from the same numbers")
    power = GIVEN["derived ideal hover power"] + GIVEN["derived profile power sigma CD0/8"]
    slowing = power / (2.0 * energy)
    assert 0.2 < slowing < 0.8  # of its speed a second without power: a second or two to act, as the trade knows


def test_its_inflow_settles_within_hundredths_of_a_second():
    tau = inflow_time_constant(4.2, 5.5, GIVEN["derived solidity"], GIVEN["derived tip speed"], ROTOR.radius_m)
    assert 0.01 < tau < 0.06


def test_its_governor_gains_in_our_units_hold_its_rotor_without_hunting():
    """Kp 0.01 s/rad and Ki 0.02 1/rad times 167 rad/s: 1.67 of full throttle for the whole speed, 3.3 a second."""
    gain = GIVEN["governor proportional gain Kp"] * SPEED_RAD_S
    gain_per_s = GIVEN["governor integral gain Ki"] * SPEED_RAD_S
    assert 1.0 < gain < 3.0
    assert 1.0 < gain_per_s < 10.0
    governor = Governor(0.02, gain, gain_per_s, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0)
    inertia = GIVEN["total rotating inertia / flapping inertia"] * GIVEN["blade flapping inertia"]
    most_w, load_w = GIVEN["engine maximum power"], 1100.0
    speed, state = SPEED_RAD_S, GovernorState(0.5, SPEED_RAD_S, SPEED_RAD_S, 0.0, 0.5)
    track = []
    for step in range(1000):
        state = governed(governor, state, speed, SPEED_RAD_S, SPEED_RAD_S, 0.0)
        asked = load_w + 400.0 * (step >= 300)
        torque = (most_w * state.duty - asked * (speed / SPEED_RAD_S) ** 3) / speed
        speed += 0.02 * torque / inertia
        track.append(speed / SPEED_RAD_S - 1.0)
    droop, late = min(track[300:]), track[-50:]
    assert -0.15 < droop < -0.01
    assert max(late) - min(late) < 0.002
    assert math.isfinite(droop)
