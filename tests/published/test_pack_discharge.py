"""The pack of the engine under a changing current, beside PyBaMM's one-RC cell (PyBaMM 26.10.1.1, BSD-3), run live.

The cell is linear in charge and its resistances do not change; our curve and factors are taken out of the comparison
by giving PyBaMM our own open-circuit voltage and resistances at each charge.
"""

import numpy as np
import pytest

from steadyhead.physics.pack import (
    cell_open_circuit,
    charge_after,
    charge_factor,
    slow_charge_factor,
    slow_voltage_after,
)

QUICK_OHM, SLOW_OHM, SLOW_S, CAPACITY_AH = 0.003, 0.002, 12.0, 3.3
STEP_S = 0.01


def load_a(time_s: float) -> float:
    return 18.0 + 40.0 * (20.0 <= time_s < 26.0) - 18.0 * (time_s >= 40.0)


def ours(times: np.ndarray) -> np.ndarray:
    charge, slow_v, volts = 0.9, 0.0, []
    for time_s in times:
        current = load_a(float(time_s))
        volts.append(cell_open_circuit(charge) - current * QUICK_OHM * charge_factor(charge) - slow_v)
        slow_v = slow_voltage_after(slow_v, current, SLOW_OHM * slow_charge_factor(charge), SLOW_S, STEP_S)
        charge = charge_after(charge, current, CAPACITY_AH * 3600.0, STEP_S)
    return np.array(volts)


@pytest.mark.filterwarnings("ignore")
def test_sag_and_recovery_of_the_flight_s_pack_follow_pybamm():
    pybamm = pytest.importorskip("pybamm")
    model = pybamm.equivalent_circuit.Thevenin(options={"number of rc elements": 1})
    grow = lambda rise, rate, soc: 1.0 + rise * pybamm.exp(-rate * soc)  # noqa: E731
    values = pybamm.ParameterValues("ECM_Example")
    values.update({
        "Cell capacity [A.h]": CAPACITY_AH, "Nominal cell capacity [A.h]": CAPACITY_AH, "Initial SoC": 0.9,
        "Open-circuit voltage [V]": lambda s: (
            3.685 - 1.031 * pybamm.exp(-35.0 * s) + 0.2156 * s - 0.1178 * s**2 + 0.3201 * s**3
            + 0.0971 * s**8 - 0.12 * pybamm.exp(-8.0 * s)
        ),
        "R0 [Ohm]": lambda temperature, current, soc: QUICK_OHM * grow(0.1562 / 0.07446, 24.37, soc),
        "R1 [Ohm]": lambda temperature, current, soc: SLOW_OHM * grow(0.3208 / 0.04669, 29.14, soc),
        "C1 [F]": lambda temperature, current, soc: SLOW_S / (SLOW_OHM * grow(0.3208 / 0.04669, 29.14, soc)),
        "Element-1 initial overpotential [V]": 0, "Entropic change [V/K]": 0,
        "Current function [A]": lambda t: 18.0 + 40.0 * (t >= 20.0) * (t < 26.0) - 18.0 * (t >= 40.0),
    })  # fmt: skip
    asked = np.arange(0.0, 60.0, 0.25)
    solved = pybamm.Simulation(model, parameter_values=values).solve(np.arange(0.0, 60.001, 0.05))
    theirs = np.interp(asked, solved["Time [s]"].entries, solved["Voltage [V]"].entries)
    times = np.arange(0.0, 60.0, STEP_S)
    mine = np.interp(asked, times, ours(times))
    apart = np.abs(mine - theirs)
    edges = np.any([np.abs(asked - edge) < 0.1 for edge in (20.0, 26.0, 40.0)], axis=0)
    # Steps of current lie between two stored rows there: a millivolt elsewhere is the solver's own tolerance.
    assert apart[~edges].max() < 1e-3
