"""Pack resistance learned from pulses that PyBaMM simulates: cells of one and two RC pairs, with a curve of their own.

PyBaMM 26.10, `pybamm.equivalent_circuit.Thevenin`, as in `test_battery_run`; cell of battery_thevenin_pulse.csv:
5 Ah, 3.3 V + 0.9 V x charge, 3 mohm at once, 2 mohm with 10 s; the other cell 0.75 mohm with 2.5 s more. Neither curve
nor solver is ours.
"""

import numpy as np
import pytest

from steadyhead.learn.fit import Balance, Fitted, fit
from steadyhead.learn.model import Block, Numbers
from steadyhead.learn.unknowns import Unknown, beside, of_spread
from steadyhead.physics.log_balance import PackRun, pack_run
from tests.agrees import agrees

STEP_S = 0.25
ON_S, OFF_S, PULSES = 25.0, 25.0, 6


def pulses(pairs: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Time, current and voltage of six pulses of 30, 50, 70 ... A, PyBaMM's own answer; a cell of some RC pairs."""
    import pybamm

    model = pybamm.equivalent_circuit.Thevenin(options={"number of rc elements": pairs})
    values = pybamm.ParameterValues("ECM_Example")
    time_s = np.arange(0.0, PULSES * (ON_S + OFF_S), STEP_S)
    number, within = np.divmod(time_s, ON_S + OFF_S)
    current = np.where(within >= OFF_S, 30.0 + 20.0 * (number % 3), 0.0)
    values.update({
        "Cell capacity [A.h]": 5.0, "Nominal cell capacity [A.h]": 5.0, "Initial SoC": 0.9,
        "Open-circuit voltage [V]": lambda soc: 3.3 + 0.9 * soc, "R0 [Ohm]": 0.003, "R1 [Ohm]": 0.002,
        "C1 [F]": 5000.0, "Element-1 initial overpotential [V]": 0, "Entropic change [V/K]": 0,
        "Current function [A]": pybamm.Interpolant(time_s, current, pybamm.t),
        "Lower voltage cut-off [V]": 2.0, "Upper voltage cut-off [V]": 4.4,
    })  # fmt: skip
    if pairs > 1:
        values.update({"R2 [Ohm]": 0.00075, "C2 [F]": 2.5 / 0.00075, "Element-2 initial overpotential [V]": 0})
    solved = pybamm.Simulation(model, parameter_values=values).solve(time_s)
    return time_s, current, np.asarray(solved["Voltage [V]"](time_s))


class Pulsed:
    """The pulses as the fit wants them, with our own open-circuit curve, an offset and a tilt."""

    def __init__(self, pairs: int) -> None:
        self.time_s, self.current, self.voltage = pulses(pairs)

    def balances(self) -> tuple[Balance, ...]:
        return (self.blocks,)

    def blocks(self, n: Numbers) -> list[Block]:
        run = PackRun(
            1.0, 18000.0, n["quick"], n["slow"], n["time"], n["early_share"] * n["quick"], n["early_time"], n["charge"],
            n["offset"], n["tilt"], 0.0,
        )  # fmt: skip
        out = np.empty(self.time_s.size)
        pack_run(run, self.time_s, self.current, np.zeros(self.time_s.size), out)
        return [Block(name="pack", left=self.voltage - out, floor=0.001)]


def fitted(pairs: int) -> Fitted:
    open_sd = 2.5
    logs = [
        Unknown(name=name, log=True, centre=np.log(start), sd=open_sd, low=-20.0, high=9.0, learned=True)
        for name, start in (("quick", 0.006), ("slow", 0.006), ("time", 30.0))
    ]
    ours = [of_spread("charge", 0.9, 0.05), of_spread("offset", 0.0, 0.1), of_spread("tilt", 0.0, 0.4)]
    return fit([Pulsed(pairs)], [*logs, *ours, beside("early_share"), beside("early_time")])


@pytest.fixture(scope="module")
def made() -> Fitted:
    return fitted(1)


@pytest.fixture(scope="module")
def made_of_two() -> Fitted:
    return fitted(2)


def test_the_quick_resistance_comes_out(made: Fitted) -> None:
    why = (
        "their straight open-circuit curve leaves ours by up to 30 mV in this run, beside steps of 100 to 200 mV, and "
        "the fit expects that something comes back within seconds, where this cell has nothing"
    )
    assert agrees(made.numbers()["quick"], 0.003, percent=8.0, because=why)


def test_the_slow_part_comes_out(made: Fitted) -> None:
    why = "a curve that bends otherwise over charge looks like slow resistance"
    assert agrees(made.numbers()["slow"], 0.002, percent=25.0, because=why)
    assert agrees(made.numbers()["time"], 10.0, percent=30.0, because=why)


def test_the_intervals_hold_what_pybamm_was_given(made: Fitted) -> None:
    for name, true in (("quick", 0.003), ("slow", 0.002), ("time", 10.0)):
        low, high = made.interval(name)
        assert low <= true <= high, (name, low, high)


def test_what_comes_back_within_seconds_is_no_resistance_at_once(made_of_two: Fitted) -> None:
    why = "as above; counted as resistance at once, the early pair would add up to 25 %"
    assert agrees(made_of_two.numbers()["quick"], 0.003, percent=6.0, because=why)
    low, high = made_of_two.interval("quick")
    assert low <= 0.003 <= high
