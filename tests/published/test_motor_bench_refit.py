"""Refit of Kv and resistance from 80 open full-command readings.

Readings: P. Cao, J. Strawson, public repository StrawsonDesign/motor_propeller_testing, 2018, MIT licence, read from a
stored copy. Expected answers were computed outside this project with plain least squares: 0.5 % on Kv, 3 % on
resistance, since the table prints four and three digits.
"""

import numpy as np
import pytest

from steadyhead.physics.motor_refit import MotorRefit, motor_refit
from tests.agrees import agrees
from tests.drive_rows import RAD_S_PER_RPM, drive_rows

READINGS = drive_rows("motor_bench_full_command.csv")
EXPECTED = drive_rows("motor_bench_refit.csv")


def refit_of(motor: str) -> MotorRefit:
    rows = [row for row in READINGS if row["motor"] == motor]
    columns = ("voltage_V", "current_A", "speed_rev_per_min")
    volts, amps, rpm = (np.array([float(row[column]) for row in rows]) for column in columns)
    return motor_refit(volts, amps, rpm * RAD_S_PER_RPM)


@pytest.mark.parametrize("row", EXPECTED, ids=lambda row: row["motor"])
def test_the_refit_finds_the_same_constants(row):
    fit = refit_of(row["motor"])
    kv, ohms = float(row["fit_kv_rev_per_min_per_V"]), float(row["fit_rtot_ohm"])
    assert fit.rows == int(row["rows"])
    assert agrees(fit.kv_rad_s_v / RAD_S_PER_RPM, kv, percent=0.5, because="the same least squares on the same rows")
    assert agrees(fit.resistance_ohm, ohms, percent=3.0, because="the same formula, printed to three digits")
    assert fit.told_apart


@pytest.mark.parametrize("row", EXPECTED, ids=lambda row: row["motor"])
def test_the_refit_states_the_same_doubt(row):
    fit = refit_of(row["motor"])
    why = "the same formula, errors printed to two or three digits"
    kv_error = fit.kv_error_rad_s_v / RAD_S_PER_RPM
    rms = fit.rms_residual_rad_s / RAD_S_PER_RPM
    assert agrees(kv_error, float(row["se_kv"]), percent=3.0, because=why)
    assert agrees(fit.resistance_error_ohm, float(row["jack_se_rtot_ohm"]), percent=3.0, because=why)
    assert agrees(rms, float(row["rms_residual_rev_per_min"]), percent=1.0, because=why)
    assert agrees(fit.rms_residual_percent, float(row["rms_residual_percent"]), percent=3.0, because=why)
