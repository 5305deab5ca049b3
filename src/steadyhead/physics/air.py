"""Air: ISO 2533 standard atmosphere and what a kernel needs to know of the air; plain Python, nothing to compile."""

from typing import NamedTuple

GAS_CONSTANT_J_KG_K = 287.05287
HEAT_RATIO = 1.4
GRAVITY_M_S2 = 9.80665
SEA_LEVEL_PA = 101325.0
SEA_LEVEL_K = 288.15
LAPSE_K_M = 0.0065
EARTH_RADIUS_M = 6356766.0
BAROMETRIC_POWER = GRAVITY_M_S2 / (GAS_CONSTANT_J_KG_K * LAPSE_K_M)


class Air(NamedTuple):
    """What a kernel needs to know of the air. SI."""

    density_kg_m3: float
    speed_of_sound_m_s: float
    kinematic_viscosity_m2_s: float


def geopotential_height(altitude_m: float) -> float:
    """Geopotential height of a height above sea level, m.

    H = r h / (r + h)
    Valid: any height near the ground; at 2000 m the two differ by 0.6 m.
    Source: ISO 2533:1975, clause 2.
    """
    return EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M + altitude_m)


def pressure_at_height(geopotential_m: float) -> float:
    """Pressure of the standard atmosphere at a geopotential height (a pressure altitude is one), Pa.

    p = p0 (1 - L H / T0) ^ (g / (R L))
    Valid: -2000 to 11000 m.
    Source: ISO 2533:1975, clause 2.
    """
    return float(SEA_LEVEL_PA * (1.0 - LAPSE_K_M * geopotential_m / SEA_LEVEL_K) ** BAROMETRIC_POWER)


def standard_pressure(altitude_m: float) -> float:
    """Pressure of the standard atmosphere at a height above sea level, Pa.

    Valid: -2000 to 11000 m.
    Source: ISO 2533:1975, clause 2.
    """
    return pressure_at_height(geopotential_height(altitude_m))


def standard_temperature(altitude_m: float) -> float:
    """Temperature of the standard atmosphere at a height above sea level, K.

    T = T0 - L H
    Valid: -2000 to 11000 m.
    Source: ISO 2533:1975, clause 2.
    """
    return SEA_LEVEL_K - LAPSE_K_M * geopotential_height(altitude_m)


def dynamic_viscosity(temperature_k: float) -> float:
    """Viscosity of air, Pa s.

    mu = 1.458e-6 T^1.5 / (T + 110.4)
    Valid: 100 to 1900 K; does not depend on pressure.
    Source: Sutherland 1893, constants of ISO 2533:1975.
    """
    return float(1.458e-6 * temperature_k**1.5 / (temperature_k + 110.4))


def air_at(pressure_pa: float, temperature_k: float) -> Air:
    """Dry air at a measured pressure and temperature.

    rho = p / (R T), a = sqrt(1.4 R T), nu = mu / rho
    Valid: temperature above 0 K; dry air (air at 30 C and full humidity is 1.6 % lighter, left out).
    Source: ISO 2533:1975, clause 2; humidity figure from the ideal gas law.
    """
    density = pressure_pa / (GAS_CONSTANT_J_KG_K * temperature_k)
    sound = (HEAT_RATIO * GAS_CONSTANT_J_KG_K * temperature_k) ** 0.5
    return Air(density, sound, dynamic_viscosity(temperature_k) / density)


def standard_air(pressure_altitude_m: float, temperature_k: float) -> Air:
    """Dry air at a pressure altitude and an outside temperature.

    Valid: -2000 to 11000 m; a field's elevation stands for its pressure altitude when no pressure was measured.
    Source: ISO 2533:1975, clause 2.
    """
    return air_at(pressure_at_height(pressure_altitude_m), temperature_k)


def density_altitude(density_kg_m3: float) -> float:
    """Height at which the standard atmosphere has this density, m.

    h = (T0 / L) (1 - (rho / rho0) ^ (1 / (g / (R L) - 1)))
    Valid: density 0.36 to 1.48 kg/m3.
    Source: ISO 2533:1975, clause 2, solved for height.
    """
    sea_level = SEA_LEVEL_PA / (GAS_CONSTANT_J_KG_K * SEA_LEVEL_K)
    return float(SEA_LEVEL_K / LAPSE_K_M * (1.0 - (density_kg_m3 / sea_level) ** (1.0 / (BAROMETRIC_POWER - 1.0))))
