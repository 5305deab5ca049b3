"""Lewis form factor of 20 degree full-depth teeth: tests/data/gears/gear_lewis_form_factor.csv.

Budynas and Nisbett, Shigley's Mechanical Engineering Design, table 14-2 (from memory); a stored plastic-gear table of
engineersedge.com was read and agrees within 0.002 but for two misprints, which are marked and not used.
"""

import math

import pytest

from steadyhead.physics.lewis import form_factor
from tests.agrees import agrees
from tests.gear_rows import gear_rows

ROWS = [row for row in gear_rows("gear_lewis_form_factor.csv") if row["teeth"] != "rack"]
STORED = [row for row in ROWS if row["Y_20_full_stored"] and not row["note"]]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["teeth"])
def test_the_rows_of_the_table_come_back(row: dict[str, str]) -> None:
    got = form_factor(float(row["teeth"]))
    assert agrees(got, float(row["Y_20_full_textbook"]), percent=1e-9, because="the table itself, as printed")


@pytest.mark.parametrize("row", STORED, ids=lambda row: row["teeth"])
def test_a_second_printing_of_the_table_agrees(row: dict[str, str]) -> None:
    published = float(row["Y_20_full_stored"])
    because = "both tables print three digits and differ by up to 0.002"
    assert agrees(form_factor(float(row["teeth"])), published, percent=0.205 / published, because=because)


@pytest.mark.parametrize("teeth", [23.0, 25.0, 32.0, 46.0, 67.0, 112.0, 145.0, 220.0])
def test_a_tooth_count_between_two_rows_is_found_between_them(teeth: float) -> None:
    below = max((row for row in ROWS if float(row["teeth"]) < teeth), key=lambda row: float(row["teeth"]))
    above = min((row for row in ROWS if float(row["teeth"]) > teeth), key=lambda row: float(row["teeth"]))
    got = form_factor(teeth)
    assert float(below["Y_20_full_textbook"]) < got < float(above["Y_20_full_textbook"])
    # The reference allows 0.003 for interpolation: a straight line over the teeth themselves stays that near.
    ends = [(float(row["teeth"]), float(row["Y_20_full_textbook"])) for row in (below, above)]
    straight = ends[0][1] + (teeth - ends[0][0]) / (ends[1][0] - ends[0][0]) * (ends[1][1] - ends[0][1])
    assert abs(got - straight) < 0.003


def test_a_very_large_gear_comes_to_the_rack() -> None:
    assert agrees(form_factor(1e9), 0.485, percent=1e-4, because="a rack is a gear of endless teeth")


def test_below_twelve_teeth_the_table_says_nothing() -> None:
    assert math.isnan(form_factor(11.0))
    assert math.isnan(form_factor(math.nan))
