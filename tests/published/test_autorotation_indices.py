"""Fradenburgh 1984 and Prouty 1986 p. 363: the two autorotation indices and their unit (second-hand).

Thresholds of full-size machines are not used: they do not transfer to a model.
"""

import math

import pytest

from steadyhead.flight.rotor_words import M3_N_PER_FT3_LB
from steadyhead.physics.rotor_energy import flare_index, rotor_energy, sea_level_index
from tests.agrees import agrees
from tests.published.rotor_rigs import rows

BOOK = {row["quantity"]: row for row in rows("autorotation_indices.csv")}
EXAMPLE = "AI_P example helicopter (20000 lb; J 11735 slug ft2; 21.67 rad/s; DL 7.07)"
ENERGY_J = rotor_energy(11735.0 * 1.3558179, 21.67)
WEIGHT_N = 20000.0 * 4.4482216
AREA_M2 = 20000.0 / 7.07 * 0.3048**2


def test_the_sea_level_index_of_the_example_helicopter():
    found = sea_level_index(ENERGY_J, WEIGHT_N, AREA_M2, 1.225) / M3_N_PER_FT3_LB
    assert agrees(found, float(BOOK[EXAMPLE]["value"]), percent=0.3, because="three printed digits")


def test_the_two_families_differ_by_a_factor_of_two_at_sea_level():
    half = flare_index(ENERGY_J, WEIGHT_N, AREA_M2)
    assert agrees(half, 0.2483 / 2.0, percent=0.3, because="0.2483 m3/N is printed with four digits")


def test_the_unit_is_the_one_that_the_table_states():
    assert agrees(M3_N_PER_FT3_LB, 0.0063660, percent=0.01, because="the note prints five digits")


@pytest.mark.parametrize("density", [1.0, 1.3])
def test_thin_air_lowers_the_sea_level_index_only(density):
    found = sea_level_index(ENERGY_J, WEIGHT_N, AREA_M2, density)
    assert math.isclose(found, 2.0 * flare_index(ENERGY_J, WEIGHT_N, AREA_M2) * density / 1.225)
