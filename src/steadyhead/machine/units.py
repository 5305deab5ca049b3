"""Unit spellings that the machine file takes: one list for the reader, the schema and the manual.

The list is closed on purpose. A units library reads "1/min" or "Hz" as 1/s and would miss the turn (2 pi) in a head
speed. pint checks every factor in the tests, and is asked at run time only to explain a spelling that is not listed:
loading it costs half a second.
"""

import math
import re
from typing import NamedTuple

RPM = 2.0 * math.pi / 60.0
DEG = math.pi / 180.0


class Spelling(NamedTuple):
    """SI = number * factor + offset; `pint` is how the units library spells it, "" when it says the same."""

    factor: float
    offset: float = 0.0
    pint: str = ""

    def si(self, number: float) -> float:
        """Return a number in SI; 95 % is 0.95, not the 0.9500000000000001 of a plain product."""
        part = 1.0 / self.factor
        scaled = number / round(part) if part > 1.0 and abs(part - round(part)) < 1e-9 * part else number * self.factor
        return scaled + self.offset

    def number(self, si: float) -> float:
        """Return an SI number in this unit."""
        return (si - self.offset) / self.factor


LENGTH = {
    "mm": Spelling(1e-3),
    "cm": Spelling(1e-2),
    "m": Spelling(1.0),
    "in": Spelling(0.0254),
    "inch": Spelling(0.0254),
    "ft": Spelling(0.3048),
}
AREA = {
    "m2": Spelling(1.0, pint="m**2"),
    "m^2": Spelling(1.0, pint="m**2"),
    "m²": Spelling(1.0, pint="m**2"),
    "cm2": Spelling(1e-4, pint="cm**2"),
    "cm^2": Spelling(1e-4, pint="cm**2"),
    "cm²": Spelling(1e-4, pint="cm**2"),
}
MASS = {
    "g": Spelling(1e-3),
    "kg": Spelling(1.0),
    "oz": Spelling(0.028349523125),
    "lb": Spelling(0.45359237),
}
INERTIA = {
    "kg m2": Spelling(1.0, pint="kg*m**2"),
    "kg m^2": Spelling(1.0, pint="kg*m**2"),
    "kg m²": Spelling(1.0, pint="kg*m**2"),
    "kg*m^2": Spelling(1.0, pint="kg*m**2"),
    "kg*m2": Spelling(1.0, pint="kg*m**2"),
    "g m2": Spelling(1e-3, pint="g*m**2"),
    "g m^2": Spelling(1e-3, pint="g*m**2"),
    "g m²": Spelling(1e-3, pint="g*m**2"),
}
ANGLE = {
    "deg": Spelling(DEG),
    "°": Spelling(DEG, pint="deg"),
    "rad": Spelling(1.0),
}
TURNING = {
    "rpm": Spelling(RPM),
    "rad/s": Spelling(1.0),
    "rev/s": Spelling(2.0 * math.pi, pint="revolution/s"),
}
KV = {
    "rpm/V": Spelling(RPM),
    "rad/s/V": Spelling(1.0),
}
SPEED = {
    "m/s": Spelling(1.0),
    "km/h": Spelling(1.0 / 3.6),
    "mph": Spelling(0.44704),
    "ft/s": Spelling(0.3048),
}
RESISTANCE = {
    "mohm": Spelling(1e-3),
    "m\u03a9": Spelling(1e-3, pint="mohm"),  # Greek capital omega
    "m\u2126": Spelling(1e-3, pint="mohm"),  # ohm sign
    "mOhm": Spelling(1e-3, pint="mohm"),
    "ohm": Spelling(1.0),
    "Ohm": Spelling(1.0, pint="ohm"),
    "\u03a9": Spelling(1.0, pint="ohm"),
    "\u2126": Spelling(1.0, pint="ohm"),
}
CURRENT = {
    "A": Spelling(1.0),
    "mA": Spelling(1e-3),
}
VOLTAGE = {
    "V": Spelling(1.0),
    "mV": Spelling(1e-3),
}
CHARGE = {
    "mAh": Spelling(3.6, pint="mA*hour"),
    "Ah": Spelling(3600.0, pint="A*hour"),
}
TORQUE = {
    "N m": Spelling(1.0, pint="N*m"),
    "Nm": Spelling(1.0, pint="N*m"),
    "mN m": Spelling(1e-3, pint="mN*m"),
    "mNm": Spelling(1e-3, pint="mN*m"),
    "N cm": Spelling(1e-2, pint="N*cm"),
    "Ncm": Spelling(1e-2, pint="N*cm"),
}
TIME = {
    "s": Spelling(1.0),
    "ms": Spelling(1e-3),
    "us": Spelling(1e-6),
    "\u00b5s": Spelling(1e-6, pint="us"),  # micro sign
    "\u03bcs": Spelling(1e-6, pint="us"),  # Greek mu
    "ns": Spelling(1e-9),
    "min": Spelling(60.0),
}
FREQUENCY = {
    "Hz": Spelling(1.0),
    "kHz": Spelling(1e3),
}
TEMPERATURE = {
    "degC": Spelling(1.0, 273.15),
    "°C": Spelling(1.0, 273.15, pint="degC"),
    "K": Spelling(1.0),
    "degF": Spelling(5.0 / 9.0, 459.67 * 5.0 / 9.0),
    "°F": Spelling(5.0 / 9.0, 459.67 * 5.0 / 9.0, pint="degF"),
}
HEAT_CAPACITY = {"J/K": Spelling(1.0)}
HEAT_PATH = {
    "K/W": Spelling(1.0),
    "degC/W": Spelling(1.0, pint="delta_degC/W"),
    "°C/W": Spelling(1.0, pint="delta_degC/W"),
}
PRESSURE = {
    "Pa": Spelling(1.0),
    "hPa": Spelling(100.0),
    "mbar": Spelling(100.0),
    "kPa": Spelling(1e3),
}
STRESS = {
    "MPa": Spelling(1e6),
    "N/mm2": Spelling(1e6, pint="N/mm**2"),
    "N/mm^2": Spelling(1e6, pint="N/mm**2"),
    "N/mm²": Spelling(1e6, pint="N/mm**2"),
    "psi": Spelling(6894.757293168361),
}
STIFFNESS = {
    "N m/rad": Spelling(1.0, pint="N*m/rad"),
    "Nm/rad": Spelling(1.0, pint="N*m/rad"),
    "N m/deg": Spelling(1.0 / DEG, pint="N*m/deg"),
    "Nm/deg": Spelling(1.0 / DEG, pint="N*m/deg"),
}
PERCENT = {"%": Spelling(0.01, pint="percent")}
PERCENT_RATE = {"%/s": Spelling(0.01, pint="percent/s")}
SHARE = {
    "": Spelling(1.0, pint="dimensionless"),
    "%": Spelling(0.01, pint="percent"),
}

FAMILIES: dict[str, dict[str, Spelling]] = {
    "length": LENGTH,
    "area": AREA,
    "mass": MASS,
    "moment of inertia": INERTIA,
    "angle": ANGLE,
    "turning speed": TURNING,
    "motor speed per volt": KV,
    "speed": SPEED,
    "resistance": RESISTANCE,
    "current": CURRENT,
    "voltage": VOLTAGE,
    "charge": CHARGE,
    "torque": TORQUE,
    "time": TIME,
    "frequency": FREQUENCY,
    "temperature": TEMPERATURE,
    "heat capacity": HEAT_CAPACITY,
    "heat resistance": HEAT_PATH,
    "air pressure": PRESSURE,
    "stress": STRESS,
    "twisting stiffness": STIFFNESS,
    "percentage": PERCENT,
    "percentage per second": PERCENT_RATE,
    "share": SHARE,
}

_NAMES = re.compile(r"[A-Za-z]{1,24}(/[A-Za-z]{1,24}){0,2}")

DIFFERENCES: dict[str, float] = {"K": 1.0, "degC": 1.0, "°C": 1.0, "degF": 5.0 / 9.0, "°F": 5.0 / 9.0}
"""Spellings of a temperature difference, in kelvin."""


def family_of(spelling: str) -> str | None:
    """Return the family a spelling belongs to, or None; "%" counts as a percentage."""
    for name, spellings in FAMILIES.items():
        if spelling and spelling in spellings:
            return name
    return None


def explained(number: float, spelling: str, family: str, unit: str) -> str:
    """Return a sentence part on a spelling that is not listed, with the number in `unit` where pint can tell.

    Valid: plain names joined by "/"; pint would work out whole sums, so it is not asked for anything else.
    """
    if not _NAMES.fullmatch(spelling):
        return ""
    import pint

    want = FAMILIES[family][unit]
    try:
        registry: pint.UnitRegistry[float] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
        got = registry.Quantity(number, spelling).to(want.pint or unit).magnitude
    except (pint.PintError, ValueError, TypeError, ArithmeticError, AttributeError):
        return ""
    return f', which would be "{got:.6g} {unit}"'
