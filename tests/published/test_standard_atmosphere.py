"""ISO 2533 / ICAO standard atmosphere by geometric altitude, and density from station pressure; two library oracles."""

import ambiance
import pytest
from fluids.atmosphere import ATMOSPHERE_1976

from steadyhead.physics.air import air_at, density_altitude, standard_air, standard_pressure, standard_temperature
from tests.agrees import agrees
from tests.published.rotor_rigs import rows

PRINTED = "the table prints six to eight digits"


@pytest.mark.parametrize("row", rows("standard_atmosphere.csv", "air"), ids=lambda r: r["altitude_m"])
def test_air_follows_the_standard_atmosphere(row):
    height = float(row["altitude_m"])
    air = air_at(standard_pressure(height), standard_temperature(height))
    assert agrees(standard_temperature(height), float(row["temperature_K"]), percent=0.001, because=PRINTED)
    assert agrees(standard_pressure(height), float(row["pressure_Pa"]), percent=0.001, because=PRINTED)
    assert agrees(air.density_kg_m3, float(row["density_kg_m3"]), percent=0.002, because=PRINTED)
    assert agrees(air.speed_of_sound_m_s, float(row["speed_of_sound_m_s"]), percent=0.001, because=PRINTED)


@pytest.mark.parametrize("row", rows("density_altitude_cases.csv", "air"), ids=lambda r: r["pressure_Pa"])
def test_density_from_a_measured_pressure(row):
    air = air_at(float(row["pressure_Pa"]), float(row["temperature_C"]) + 273.15)
    assert agrees(air.density_kg_m3, float(row["density_kg_m3"]), percent=1e-4, because="seven printed digits")
    # The table prints a tenth of a metre, and its first row is a zero that has no relative band.
    assert abs(density_altitude(air.density_kg_m3) - float(row["density_altitude_m"])) <= 0.1


@pytest.mark.parametrize("height_m", [0.0, 400.0, 1500.0, 3000.0])
def test_air_agrees_with_two_libraries(height_m):
    ours = air_at(standard_pressure(height_m), standard_temperature(height_m))
    icao, us = ambiance.Atmosphere(height_m), ATMOSPHERE_1976(height_m)
    for density, viscosity in ((icao.density[0], icao.kinematic_viscosity[0]), (us.rho, us.mu / us.rho)):
        assert agrees(
            ours.density_kg_m3, density, percent=0.002, because="the same standard, other constants' last digit"
        )
        assert agrees(
            ours.kinematic_viscosity_m2_s, viscosity, percent=0.01, because="viscosity constants have 4 digits"
        )


def test_warm_air_agrees_with_a_library():
    warm = ATMOSPHERE_1976(1500.0, dT=20.0)
    ours = air_at(standard_pressure(1500.0), standard_temperature(1500.0) + 20.0)
    assert agrees(ours.density_kg_m3, warm.rho, percent=0.002, because="the same standard, other constants' last digit")


def test_a_pressure_altitude_is_a_geopotential_height():
    assert agrees(standard_air(1000.0, 281.65).density_kg_m3, 1.11164, percent=0.001, because="six digits are printed")
