"""Times a whole plan against only the rotor solves of one done with the packaged solver dynbem, closed by brentq.

Run by hand from the root of the repository: python speed/plan_against_dynbem.py
The other side trims main and tail rotor for every flight mode and load, again for every uncertain input that moves a
rotor, both ways; it works out no forward inflow, drive, pack, heat, flight time, pinion or pack table, ours does.
"""

import math
import statistics
import sys
import time
from pathlib import Path

import dynbem
import numpy as np
from scipy.optimize import brentq

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.rotor import Rotor
from steadyhead.plan.loads import LOADS
from steadyhead.plan.solved import uncertain
from steadyhead.plan.steady import plan
from steadyhead.plan.trims import aircraft

ALPHA = np.radians(np.linspace(-25.0, 25.0, 501))


def thrust_of(rotor: Rotor, density_kg_m3: float) -> "dynbem.BEMModel":
    """The packaged solver for one of our rotors, with a textbook section."""
    blade = dynbem.BladeGeometry(
        n_blades=int(rotor.blades), radius_m=rotor.radius_m, root_cutout_m=rotor.root_cutout_m, chord_m=rotor.chord_m,
        twist_deg=0.0, n_elements=60,
    )  # fmt: skip
    linear = dynbem.LinearPolarParameters(
        Re_design=242000, CL0=0.0, CL_alpha_per_rad=5.75, CD0=0.0113, alpha_stall_deg=25.0
    )
    polar = dynbem.TabulatedPolar(alpha_rad=ALPHA, cl=5.75 * ALPHA, cd=0.0113 + 1.25 * ALPHA**2)
    model = dynbem.BEMModel(dynbem.RotorDefinition(blade=blade, airfoil=linear), polar, 36)

    def thrust_and_torque(pitch_rad: float, speed_rad_s: float) -> tuple[float, float]:
        inputs = dynbem.RotorInputs(
            collective_rad=pitch_rad, tilt_lon=0.0, tilt_lat=0.0, R_hub=np.eye(3), v_hub_world=np.zeros(3),
            wind_world=np.zeros(3), omega_rad_s=speed_rad_s, rho_kg_m3=density_kg_m3,
        )  # fmt: skip
        result, _ = model.compute_forces(inputs, dynbem.QuasiStaticRotorState())
        return -float(result.F_world[2]), abs(float(result.Q_spin))

    return thrust_and_torque


def main() -> None:
    """Print both times and their ratio."""
    machine = read_machine(bundled("fox600"))
    craft = aircraft(machine)
    moves = [key for key in uncertain(machine) if aircraft(machine.shifted(key, 1.0)) != craft]
    main_rotor = thrust_of(craft.rotor, craft.air.density_kg_m3)
    tail_rotor = thrust_of(craft.tail.rotor, craft.air.density_kg_m3)
    speeds = [mode.head_speed.si for mode in machine.flight_mode]
    began, trims = time.perf_counter(), 0
    for _ in range(1 + 2 * len(moves)):
        for speed in speeds:
            for load in LOADS:
                pitch = machine.rotor.collective_max.si
                if load != "climb":
                    wanted = craft.weight_n * (2.5 if load == "hard cyclic" else 1.0)
                    pitch = brentq(lambda p: main_rotor(p, speed)[0] - wanted, 0.0, 0.4, xtol=1e-9)  # noqa: B023
                side = main_rotor(pitch, speed)[1] / craft.tail.arm_m
                tail_speed = speed * craft.tail.ratio
                brentq(lambda p: tail_rotor(p, tail_speed)[0] - side, 0.0, math.radians(40.0), xtol=1e-9)  # noqa: B023
                trims += 2
    theirs = time.perf_counter() - began
    plan(machine)
    ours = []
    for _ in range(5):
        began = time.perf_counter()
        plan(machine)
        ours.append(time.perf_counter() - began)
    taken = statistics.median(ours)
    print(f"{trims} rotor trims by dynbem and brentq: {theirs:.2f} s; a whole plan of ours: {taken:.3f} s")
    print(f"{theirs / taken:.1f} times")


if __name__ == "__main__":
    main()
