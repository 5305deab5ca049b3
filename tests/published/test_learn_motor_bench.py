"""Kv and resistance by the joint fit, on 80 open full-command readings put in as a log at full duty.

Readings: P. Cao, J. Strawson, public repository StrawsonDesign/motor_propeller_testing, 2018, MIT licence, read from a
stored copy. Expected answers were computed outside this project with plain least squares on the speed, Kv +-2 % and
resistance +-15 % asked for: the fit here weighs voltages and leaves out far readings, so it is another estimate.
"""

import numpy as np
import pytest

from steadyhead.learn.fit import Balance, Fitted, fit
from steadyhead.learn.model import Block, Numbers
from steadyhead.learn.unknowns import Unknown
from steadyhead.physics.controller import Controller
from steadyhead.physics.log_balance import DriveRows, voltage_gaps
from steadyhead.physics.motor import Motor
from tests.agrees import agrees
from tests.drive_rows import RAD_S_PER_RPM, drive_rows

READINGS = drive_rows("motor_bench_full_command.csv")
EXPECTED = drive_rows("motor_bench_refit.csv")
COPPER_AT_K = 293.15
NO_LOSS = Controller(0.0, 8000.0, 0.0, 0.0)


class Bench:
    """Readings of one motor at full duty, controller and leads counted with the winding as the reference does."""

    def __init__(self, motor: str) -> None:
        rows = [row for row in READINGS if row["motor"] == motor]
        volts, amps, rpm = (
            np.array([float(row[name]) for row in rows]) for name in ("voltage_V", "current_A", "speed_rev_per_min")
        )
        self.rows = DriveRows(np.ones(volts.size), volts, amps, rpm * RAD_S_PER_RPM)

    def balances(self) -> tuple[Balance, ...]:
        return (self.blocks,)

    def blocks(self, numbers: Numbers) -> list[Block]:
        out = np.empty(self.rows.duty.size)
        motor = Motor(numbers["kv"], numbers["resistance"], 0.8, 1000.0, 0.0)
        voltage_gaps(NO_LOSS, motor, self.rows, np.full(self.rows.duty.size, COPPER_AT_K), out)
        return [Block(name="voltage", left=out, floor=1e-4)]


def fitted(motor: str, nominal_kv: float) -> Fitted:
    kv, ohm = np.log(nominal_kv * RAD_S_PER_RPM), np.log(0.05)
    return fit(
        [Bench(motor)],
        [
            Unknown(name="kv", log=True, centre=kv, sd=2.5, low=kv - 9.0, high=kv + 9.0, learned=True),
            Unknown(name="resistance", log=True, centre=ohm, sd=2.5, low=ohm - 9.0, high=ohm + 9.0, learned=True),
        ],
    )


@pytest.mark.parametrize("row", EXPECTED, ids=lambda row: row["motor"])
def test_the_fit_finds_kv_and_resistance_of_a_real_motor(row: dict[str, str]) -> None:
    made = fitted(row["motor"], float(row["nominal_kv_rev_per_min_per_V"]))
    numbers = made.numbers()
    kv, ohm = float(row["fit_kv_rev_per_min_per_V"]), float(row["fit_rtot_ohm"])
    assert agrees(numbers["kv"] / RAD_S_PER_RPM, kv, percent=2.0, because="asked for with the readings")
    assert agrees(numbers["resistance"], ohm, percent=15.0, because="asked for with the readings")


@pytest.mark.parametrize("row", EXPECTED, ids=lambda row: row["motor"])
def test_the_stated_interval_holds_the_reference_and_is_no_wider_than_it_must(row: dict[str, str]) -> None:
    made = fitted(row["motor"], float(row["nominal_kv_rev_per_min_per_V"]))
    low, high = made.interval("resistance")
    jackknife = float(row["jack_se_rtot_ohm"])
    assert low <= float(row["fit_rtot_ohm"]) <= high
    assert high - low <= 8.0 * jackknife
    assert high - low >= 1.0 * jackknife
