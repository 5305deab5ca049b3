"""Times the rotor against the packaged solver dynbem on the same rotor and polar, and says how far apart they are.

Run by hand from the root of the repository: python speed/hover_against_dynbem.py
The packaged solver is compiled Rust; its hover solve is closed by scipy's brentq on collective, as a user would.
"""

import math
import sys
import time
from collections.abc import Callable
from pathlib import Path

import dynbem
import numpy as np
from scipy.optimize import brentq

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.physics.rotor import axial_loads
from steadyhead.physics.section import table_section
from steadyhead.physics.trim import collective_for_thrust
from tests.published.rotor_rigs import AIR, knight_rig

ALPHA = np.radians(np.linspace(-25.0, 25.0, 501))
LIFT, DRAG = 5.75 * ALPHA, 0.0113 + 1.25 * ALPHA**2
RIG = knight_rig("4")
SECTION = table_section(ALPHA, LIFT, DRAG)
PITCH_RAD, WANTED_N = math.radians(8.0), 60.0


def best_us(call: Callable[[], object], times: int) -> float:
    """Shortest mean time of one call in seven rounds, microseconds."""
    call()
    rounds = []
    for _ in range(7):
        start = time.perf_counter()
        for _ in range(times):
            call()
        rounds.append((time.perf_counter() - start) / times * 1e6)
    return min(rounds)


def oracle(elements: int) -> Callable[[float], tuple[float, float]]:
    """Thrust and torque of the packaged solver by collective."""
    rotor = RIG.rotor
    blade = dynbem.BladeGeometry(
        n_blades=int(rotor.blades), radius_m=rotor.radius_m, root_cutout_m=rotor.root_cutout_m, chord_m=rotor.chord_m,
        twist_deg=0.0, n_elements=elements,
    )  # fmt: skip
    linear = dynbem.LinearPolarParameters(
        Re_design=242000, CL0=0.0, CL_alpha_per_rad=5.75, CD0=0.0113, alpha_stall_deg=25.0
    )
    polar = dynbem.TabulatedPolar(alpha_rad=ALPHA, cl=LIFT, cd=DRAG)
    model = dynbem.BEMModel(dynbem.RotorDefinition(blade=blade, airfoil=linear), polar, 36)

    def loads(collective_rad: float) -> tuple[float, float]:
        inputs = dynbem.RotorInputs(
            collective_rad=collective_rad, tilt_lon=0.0, tilt_lat=0.0, R_hub=np.eye(3), v_hub_world=np.zeros(3),
            wind_world=np.zeros(3), omega_rad_s=RIG.speed_rad_s, rho_kg_m3=AIR.density_kg_m3,
        )  # fmt: skip
        result, _ = model.compute_forces(inputs, dynbem.QuasiStaticRotorState())
        return -float(result.F_world[2]), float(result.Q_spin)

    return loads


def main() -> None:
    theirs = oracle(60)
    ours = axial_loads(RIG.rotor, SECTION, AIR, RIG.speed_rad_s, PITCH_RAD, 0.0)
    thrust, torque = theirs(PITCH_RAD)
    far = 100.0 * (ours.thrust_n / thrust - 1.0), 100.0 * (ours.torque_nm / torque - 1.0)
    print(f"hover at 8 degrees: thrust {far[0]:+.2f} %, torque {far[1]:+.2f} %; times in microseconds")
    rotor, speed = RIG.rotor, RIG.speed_rad_s
    point = best_us(lambda: axial_loads(rotor, SECTION, AIR, speed, PITCH_RAD, 0.0), 200)
    their_point = best_us(lambda: theirs(PITCH_RAD), 50)
    print(
        f"one hover point: ours {point:.1f}, dynbem of 60 elements {their_point:.1f}, {their_point / point:.1f} times"
    )
    solve = best_us(lambda: collective_for_thrust(rotor, SECTION, AIR, speed, WANTED_N, 0.0), 100)
    their_solve = best_us(lambda: brentq(lambda pitch: theirs(pitch)[0] - WANTED_N, 0.0, 0.25, xtol=1e-9), 5)
    print(f"solved for thrust: ours {solve:.1f}, dynbem with brentq {their_solve:.1f}, {their_solve / solve:.1f} times")


if __name__ == "__main__":
    main()
