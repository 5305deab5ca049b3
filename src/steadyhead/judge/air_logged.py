"""Air density of a log, from what it carries, else from the site of the machine file; and where it comes from."""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.air import air_at, standard_air
from steadyhead.trace.trace import Trace
from steadyhead.words.errors import InputError
from steadyhead.words.value import Origin

ZERO_CELSIUS_K = 273.15
PA_PER_HPA = 100.0
WEATHER_SHARE = 0.03
"""How far the weather moves the air pressure at one place, as a share of it. Common practice, no source."""

DENSITY_LOW_KG_M3, DENSITY_HIGH_KG_M3 = 0.5, 1.6
"""From above 8 km in the standard atmosphere (ISO 2533: 0.526) to -50 °C at 1030 hPa (ideal gas: 1.61): what lies
outside is no flying site's, but a slip of the key."""


class Density(NamedTuple):
    """Air density, kg/m³, how far that of the day may lie from it, as a share, and where it comes from."""

    kg_m3: float | None = None
    doubt_share: float = math.inf
    origin: str = ""


def stated_density(side: str, kg_m3: float | None) -> float | None:
    """Return the air density that was stated for a side, kg/m³, None where none was.

    Raises: InputError when it is no air density of a flying site.
    """
    if kg_m3 is not None and not DENSITY_LOW_KG_M3 <= kg_m3 <= DENSITY_HIGH_KG_M3:
        right = f"{DENSITY_LOW_KG_M3:g} to {DENSITY_HIGH_KG_M3:g} kg/m³"
        raise InputError(f"air density {side}", read=f"{kg_m3:g} kg/m³", right=right)
    return kg_m3


def density_of(machine: Machine, traces: Sequence[Trace], stated_kg_m3: float | None) -> Density:
    """Return the air density of some logs: as stated, else from their pressure and temperature, else from the site.

    A site has one density for every day: without the temperature of the day its doubt has no bound.
    """
    if stated_kg_m3 is not None:
        return Density(stated_kg_m3, 0.0, "stated")
    logged = [value for trace in traces if (value := logged_density(trace)) is not None]
    if logged:
        return Density(float(np.mean(logged)), 0.0, "air pressure and temperature of the logs")
    height = machine.value("site.elevation")
    if machine.site.pressure is None and (height is None or height.origin is Origin.TYPICAL):
        return Density()
    kelvin = [value for trace in traces if (value := logged_kelvin(trace)) is not None]
    if not kelvin:
        return Density(si.air(machine).density_kg_m3, math.inf, "the site in the machine file, not the day's weather")
    air = _at_site(machine, float(np.mean(kelvin)))
    return Density(air, WEATHER_SHARE, "temperature of the logs, at the site in the machine file")


def _at_site(machine: Machine, temperature_k: float) -> float:
    if machine.site.pressure is not None:
        return air_at(machine.site.pressure.si, temperature_k).density_kg_m3
    return standard_air(si.number(machine, "site.elevation"), temperature_k).density_kg_m3


def logged_kelvin(trace: Trace) -> float | None:
    """Return the temperature outside that a log carries, K, its median; None where it carries none."""
    temperature = trace.get("air_temperature_c")
    return None if temperature is None else ZERO_CELSIUS_K + float(np.nanmedian(temperature))


def logged_density(trace: Trace) -> float | None:
    """Return the air density of a log, kg/m³, from its medians; None where it carries no pressure or no temperature.

    rho = p / (R T)
    Valid: dry air; water vapour makes warm humid air up to 1.5 % thinner. A sensor in the sun or beside a warm part
    reads high: 3 degrees are 1 %.
    """
    pressure, temperature_k = trace.get("air_pressure_hpa"), logged_kelvin(trace)
    if pressure is None or temperature_k is None:
        return None
    return air_at(PA_PER_HPA * float(np.nanmedian(pressure)), temperature_k).density_kg_m3
