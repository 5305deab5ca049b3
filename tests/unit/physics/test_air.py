from steadyhead.physics.air import air_at, density_altitude, geopotential_height, pressure_at_height, standard_air
from tests.agrees import agrees


def test_sea_level_air_is_the_standard():
    air = air_at(101325.0, 288.15)
    assert agrees(air.density_kg_m3, 1.225, percent=0.001, because="the standard's own constant")
    assert agrees(air.speed_of_sound_m_s, 340.294, percent=0.001, because="the standard's own constant")
    assert agrees(air.kinematic_viscosity_m2_s, 1.4607e-5, percent=0.01, because="the standard's own constant")


def test_warm_thin_air_is_lighter_and_a_measured_pressure_decides():
    assert standard_air(1000.0, 303.15).density_kg_m3 < standard_air(0.0, 288.15).density_kg_m3
    assert air_at(95000.0, 288.15).density_kg_m3 < air_at(101325.0, 288.15).density_kg_m3


def test_density_altitude_undoes_the_standard():
    for height in (-500.0, 800.0, 2500.0):
        standard_k = 288.15 - 0.0065 * height
        density = standard_air(height, standard_k).density_kg_m3
        assert agrees(density_altitude(density), height, percent=1e-6, because="one formula undoes the other")


def test_geopotential_height_lies_a_little_below_the_geometric():
    assert 1999.0 < geopotential_height(2000.0) < 2000.0
    assert pressure_at_height(0.0) == 101325.0
