"""Open-circuit curve, circuit elements and temperature of published lithium cells.

M. Chen, G. A. Rincon-Mora, IEEE Trans. Energy Conversion 21(2), 504-511, 2006 (850 mAh polymer; coefficients from
memory, cross-read in stored copies); M. Ecker et al., J. Electrochem. Soc. 162, A1836, 2015; S. G. Marquis et al.,
J. Electrochem. Soc. 166, A3693, 2019; the last two computed with PyBaMM parameter sets.
"""

import pytest

from steadyhead.physics.pack import (
    cell_open_circuit,
    charge_factor,
    over_charge,
    published_open_circuit,
    slow_charge_factor,
    temperature_factor,
)
from tests.agrees import agrees
from tests.drive_rows import ZERO_C, drive_rows, half_last_digit_percent

CURVES = drive_rows("battery_ocv_soc.csv")
ELEMENTS = drive_rows("battery_two_rc_parameters.csv")
WARMTH = {float(row["temperature_C"]): row for row in drive_rows("battery_resistance_temperature.csv")}
BETWEEN_MAKES_V = 0.08


@pytest.mark.parametrize("row", CURVES, ids=lambda row: row["soc"])
def test_the_published_curve_is_evaluated_exactly(row):
    got = published_open_circuit(float(row["soc"]))
    assert agrees(got, float(row["poly_850mAh_V"]), percent=0.01, because="the same formula, printed to five digits")


@pytest.mark.parametrize("row", [r for r in CURVES if 0.2 <= float(r["soc"]) <= 0.95], ids=lambda row: row["soc"])
def test_the_flight_cell_stays_inside_the_envelope_of_two_polymer_cells(row):
    cells = (float(row["poly_850mAh_V"]), float(row["pouch_NMC_V"]))
    got = cell_open_circuit(float(row["soc"]))
    assert min(cells) - BETWEEN_MAKES_V <= got <= max(cells) + BETWEEN_MAKES_V


@pytest.mark.parametrize("row", ELEMENTS, ids=lambda row: row["soc"])
def test_the_five_circuit_elements_follow_the_paper(row):
    s = float(row["soc"])
    got = {
        "r0_ohm": 0.07446 * charge_factor(s),
        "r1_ohm": 0.04669 * slow_charge_factor(s),
        "c1_F": 703.6 * over_charge(s, -752.9 / 703.6, 13.51),
        "r2_ohm": 0.04984 * over_charge(s, 6.603 / 0.04984, 155.2),
        "c2_F": 4475.0 * over_charge(s, -6056.0 / 4475.0, 27.12),
    }
    got["tau1_s"] = got["r1_ohm"] * got["c1_F"]
    got["tau2_s"] = got["r2_ohm"] * got["c2_F"]
    for column, value in got.items():
        percent = max(0.01, half_last_digit_percent(row[column]))
        assert agrees(value, float(row[column]), percent=percent, because="exact evaluation, rounded in print only")


def test_resistance_in_the_cold_and_in_the_warmth_lies_in_the_published_band():
    assert 2.0 <= temperature_factor(ZERO_C) <= 3.5
    assert 0.5 <= temperature_factor(ZERO_C + 40.0) <= 0.7
    assert agrees(temperature_factor(ZERO_C + 25.0), 1.0, percent=1e-9, because="25 C is where it is stated")


@pytest.mark.parametrize("temperature_c", [0.0, 10.0, 20.0, 30.0])
def test_resistance_lies_between_the_two_published_pouch_cells(temperature_c):
    row = WARMTH[temperature_c]
    cells = (float(row["pouch_NMC_r_10s_ratio_to_25C"]), float(row["pouch_LCO_r_10s_ratio_to_25C"]))
    assert min(cells) <= temperature_factor(ZERO_C + temperature_c) <= max(cells)
