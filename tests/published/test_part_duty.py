"""Part-duty loss against the open command sweep of two small outrunners.

Readings: P. Cao, J. Strawson, public repository StrawsonDesign/motor_propeller_testing, 2018, MIT licence, read from a
stored copy. Bands are the measured input power over that of a loss-free chopper at the same speed, no-load current
0.8 to 1.2 A since it was not measured; they hold iron loss too. RIPPLE_RATIO was read off this same bench, so the check
says that one constant with a physical form fits seven duties, not that another drive will follow it.
"""

import pytest

from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import DrivePoint, drive_at
from steadyhead.physics.motor import COPPER_REFERENCE_K, Motor
from steadyhead.physics.pack import Source
from tests.drive_rows import RAD_S_PER_RPM, drive_rows

ROWS = drive_rows("motor_bench_partial_command.csv")
REFIT = {row["motor"]: row for row in drive_rows("motor_bench_refit.csv")}
TYPICAL = Controller(0.0, 12000.0, 1e-6, 1.0)
"""Its resistance is inside the refit resistance; 1 us at 12 kHz is common practice, no source."""

BANDS = {
    0.93: (1.00, 1.05),
    0.85: (1.02, 1.10),
    0.76: (1.09, 1.24),
    0.65: (1.16, 1.43),
    0.56: (1.25, 1.64),
    0.48: (1.33, 1.85),
    0.32: (1.40, 2.20),
}


def band_of(row: dict[str, str]) -> float | None:
    duty = float(row["duty_estimate"])
    near = min(BANDS, key=lambda centre: abs(centre - duty))
    return near if abs(near - duty) < 0.02 else None


def point_of(row: dict[str, str], no_load_a: float, controller: Controller) -> DrivePoint:
    """The point at the row's speed, torque current going with speed squared and met at the full-command row."""
    (full,) = [
        other
        for other in ROWS
        if (other["motor"], other["propeller_no"]) == (row["motor"], row["propeller_no"])
        and other["command_us"] == "2000"
    ]
    fit = REFIT[row["motor"]]
    kv = float(fit["fit_kv_rev_per_min_per_V"]) * RAD_S_PER_RPM
    motor = Motor(kv, float(fit["fit_rtot_ohm"]), no_load_a, 1000.0, 0.0)
    rpm = float(row["speed_rev_per_min"])
    torque = (float(full["current_A"]) - no_load_a) / kv * (rpm / float(full["speed_rev_per_min"])) ** 2
    source = Source(float(row["voltage_V"]), 0.0)
    return drive_at(motor, controller, source, torque, rpm * RAD_S_PER_RPM, COPPER_REFERENCE_K)


def over_ideal(row: dict[str, str], no_load_a: float) -> float:
    perfect = point_of(row, no_load_a, Controller(0.0, 12000.0, 0.0, 0.0))
    return point_of(row, no_load_a, TYPICAL).pack_power_w / perfect.pack_power_w


@pytest.mark.parametrize("no_load_a", [0.8, 1.0, 1.2])
@pytest.mark.parametrize("centre", list(BANDS))
def test_part_duty_power_lands_inside_the_measured_band(centre, no_load_a):
    rows = [row for row in ROWS if band_of(row) == centre]
    assert len(rows) == 6
    low, high = BANDS[centre]
    for row in rows:
        ratio = over_ideal(row, no_load_a)
        assert low <= ratio <= high, f"{row['motor']}{row['propeller_no']}: {ratio:.3f} outside {low} to {high}"


def test_a_loss_free_controller_falls_below_the_bands_at_half_duty():
    rows = [row for row in ROWS if band_of(row) == 0.56]
    for row in rows:
        ideal = point_of(row, 1.0, Controller(0.0, 12000.0, 0.0, 0.0)).pack_power_w
        assert float(row["pin_W"]) > 1.2 * ideal


def test_measured_input_power_is_met_within_a_sixth_from_half_duty_up():
    errors = [
        point_of(row, 1.0, TYPICAL).pack_power_w / float(row["pin_W"]) - 1.0
        for row in ROWS
        if float(row["duty_estimate"]) > 0.45
    ]
    assert max(abs(error) for error in errors) < 1.0 / 6.0
