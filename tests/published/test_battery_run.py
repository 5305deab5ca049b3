"""Sag and recovery of equivalent circuits against PyBaMM 26.10.1.1 (stored runs and one live run) and closed form.

PyBaMM (BSD-3) solves its own equations; ours steps each RC pair exactly. The two-RC cell is that of M. Chen and
G. A. Rincon-Mora, IEEE Trans. Energy Conversion 21(2), 504-511, 2006.
"""

from math import exp

import numpy as np
import pytest

from steadyhead.physics.pack import (
    Pack,
    charge_after,
    charge_factor,
    over_charge,
    pack_source,
    published_open_circuit,
    slow_charge_factor,
    slow_voltage_after,
)
from tests.drive_rows import drive_rows

PULSE = drive_rows("battery_thevenin_pulse.csv")
RUN = drive_rows("battery_two_rc_run.csv")


def pulse_voltage(time_s: float) -> float:
    """One-RC cell of the pulse file: 5 Ah from 80 %, 3 and 2 mohm, 10 s, 50 A for 20 s."""
    loaded_s = min(time_s, 20.0)
    charge = charge_after(0.8, 50.0, 5.0 * 3600.0, loaded_s)
    slow_v = slow_voltage_after(0.0, 50.0, 0.002, 10.0, loaded_s)
    slow_v = slow_voltage_after(slow_v, 0.0, 0.002, 10.0, time_s - loaded_s)
    current = 50.0 if time_s < 20.0 else 0.0
    return 3.3 + 0.9 * charge - 0.003 * current - slow_v


@pytest.mark.parametrize("row", PULSE, ids=lambda row: row["time_s"])
def test_a_pulse_follows_the_closed_form_and_pybamm(row):
    got = pulse_voltage(float(row["time_s"]))
    assert abs(got - float(row["closed_form_V"])) < 1e-4
    assert abs(got - float(row["pybamm_V"])) < 1e-4


def two_rc_run(times_s: list[float], step_s: float = 0.25) -> dict[float, float]:
    """Cell voltage at the stated times: 0.64 A for 600 s from 90 %, then rest."""
    charge, slow_1_v, slow_2_v, seen = 0.9, 0.0, 0.0, {}
    steps = round(max(times_s) / step_s)
    for step in range(steps + 1):
        time_s = step * step_s
        current = 0.64 if time_s < 600.0 else 0.0
        if time_s in times_s:
            quick = 0.07446 * charge_factor(charge) * current
            seen[time_s] = published_open_circuit(charge) - quick - slow_1_v - slow_2_v
        middle = charge_after(charge, current, 0.85 * 3600.0, 0.5 * step_s)
        r1 = 0.04669 * slow_charge_factor(middle)
        r2 = 0.04984 * over_charge(middle, 6.603 / 0.04984, 155.2)
        tau_1 = r1 * 703.6 * over_charge(middle, -752.9 / 703.6, 13.51)
        tau_2 = r2 * 4475.0 * over_charge(middle, -6056.0 / 4475.0, 27.12)
        slow_1_v = slow_voltage_after(slow_1_v, current, r1, tau_1, step_s)
        slow_2_v = slow_voltage_after(slow_2_v, current, r2, tau_2, step_s)
        charge = charge_after(charge, current, 0.85 * 3600.0, step_s)
    return seen


def test_a_ten_minute_run_and_its_rest_follow_pybamm_to_a_millivolt():
    published = {float(row["time_s"]): float(row["pybamm_V"]) for row in RUN}
    got = two_rc_run(list(published))
    assert got.keys() == published.keys()
    for time_s, volts in published.items():
        assert abs(got[time_s] - volts) < 1e-3, f"{time_s} s: {got[time_s]:.5f} V against {volts} V"


@pytest.mark.filterwarnings("ignore")
def test_a_pulse_follows_pybamm_solved_here(monkeypatch):
    monkeypatch.setenv("PYBAMM_DISABLE_TELEMETRY", "true")
    pybamm = pytest.importorskip("pybamm")
    model = pybamm.equivalent_circuit.Thevenin(options={"number of rc elements": 1})
    values = pybamm.ParameterValues("ECM_Example")
    values.update(
        {
            "Cell capacity [A.h]": 5.0,
            "Nominal cell capacity [A.h]": 5.0,
            "Initial SoC": 0.8,
            "Open-circuit voltage [V]": lambda soc: 3.3 + 0.9 * soc,
            "R0 [Ohm]": 0.003,
            "R1 [Ohm]": 0.002,
            "C1 [F]": 5000.0,
            "Element-1 initial overpotential [V]": 0,
            "Entropic change [V/K]": 0,
            "Current function [A]": lambda t: 50.0 * (t < 20),
        }
    )
    solution = pybamm.Simulation(model, parameter_values=values).solve(np.linspace(0.0, 60.0, 601))
    volts, seconds = solution["Voltage [V]"].entries, solution["Time [s]"].entries
    away = np.abs(seconds - 20.0) > 0.15
    ours = np.array([pulse_voltage(float(t)) for t in seconds])
    assert away.sum() > 500
    assert float(np.max(np.abs(ours - volts)[away])) < 1e-4


def test_a_held_load_sags_by_the_quick_and_the_risen_slow_resistance():
    pack = Pack(6.0, 18000.0, 0.02, 0.01, 30.0)
    fresh, held = pack_source(pack, 0.5, 298.15, 0.0), pack_source(pack, 0.5, 298.15, 30.0)
    slow = 0.01 * slow_charge_factor(0.5) * (1.0 - exp(-1.0))
    assert fresh.resistance_ohm == pytest.approx(0.02 * charge_factor(0.5), rel=1e-12)
    assert held.resistance_ohm - fresh.resistance_ohm == pytest.approx(slow, rel=1e-9)
