"""dynbem 0.8.0, a packaged blade-element solver (MIT), given the same polar: hover and climb of the TN-626 rotors.

It lies 1 to 6 % above an independent textbook model with the same section data; we are the textbook kind. Not used in
descent, where it knows momentum theory only.
"""

import math

import dynbem
import numpy as np
import pytest

from steadyhead.physics.section import table_section
from tests.agrees import agrees
from tests.published.rotor_rigs import AIR, Rig, knight_rig

ALPHA = np.radians(np.linspace(-25.0, 25.0, 501))
LIFT, DRAG = 5.75 * ALPHA, 0.0113 + 1.25 * ALPHA**2


def oracle(rig: Rig, collective_deg: float, climb_m_s: float) -> tuple[float, float]:
    """Thrust and torque of the packaged solver, N and N m."""
    rotor = rig.rotor
    blade = dynbem.BladeGeometry(
        n_blades=int(rotor.blades), radius_m=rotor.radius_m, root_cutout_m=rotor.root_cutout_m, chord_m=rotor.chord_m,
        twist_deg=0.0, n_elements=120,
    )  # fmt: skip
    linear = dynbem.LinearPolarParameters(
        Re_design=242000, CL0=0.0, CL_alpha_per_rad=5.75, CD0=0.0113, alpha_stall_deg=25.0
    )
    polar = dynbem.TabulatedPolar(alpha_rad=ALPHA, cl=LIFT, cd=DRAG)
    model = dynbem.BEMModel(dynbem.RotorDefinition(blade=blade, airfoil=linear), polar, 4)
    inputs = dynbem.RotorInputs(
        collective_rad=math.radians(collective_deg), tilt_lon=0.0, tilt_lat=0.0, R_hub=np.eye(3),
        v_hub_world=np.array([0.0, 0.0, -climb_m_s]), wind_world=np.zeros(3), omega_rad_s=rig.speed_rad_s,
        rho_kg_m3=AIR.density_kg_m3,
    )  # fmt: skip
    result, _ = model.compute_forces(inputs, dynbem.QuasiStaticRotorState())
    return -float(result.F_world[2]), float(result.Q_spin)


@pytest.mark.parametrize("blades", ["2", "4", "5"])
@pytest.mark.parametrize("collective_deg", [4.0, 8.0, 12.0])
@pytest.mark.parametrize("climb_m_s", [0.0, 2.0])
def test_hover_and_climb_agree_with_a_packaged_solver(blades, collective_deg, climb_m_s):
    rig = knight_rig(blades)
    loads = rig.at_pitch(table_section(ALPHA, LIFT, DRAG), collective_deg, climb_m_s)
    thrust, torque = oracle(rig, collective_deg, climb_m_s)
    assert agrees(loads.thrust_n, thrust, percent=5.0, because="it lies 1 to 5 % over textbook models at high solidity")
    assert agrees(
        loads.torque_nm, torque, percent=4.0, because="it lies 1 to 4 % over textbook models at high solidity"
    )


@pytest.mark.parametrize("blades", ["2", "4"])
def test_hover_thrust_of_usual_solidity_agrees_within_three_percent(blades):
    rig = knight_rig(blades)
    loads = rig.at_pitch(table_section(ALPHA, LIFT, DRAG), 8.0)
    thrust, _ = oracle(rig, 8.0, 0.0)
    assert agrees(loads.thrust_n, thrust, percent=3.0, because="the issue asks for three percent in hover")
