"""What a fit looks for, and what it must take from the machine file: one list, each with how far it is known before."""

import math
from dataclasses import dataclass, replace

from steadyhead.machine.description import Machine
from steadyhead.machine.keys import Quantity

NINETY = 1.6448536269514722
"""Half width of a 90 % interval in standard deviations, normal distribution."""
OPEN_SD = 2.5
"""Standard deviation of the logarithm for what the logs alone shall tell: a factor of sixty either way."""


@dataclass(frozen=True, kw_only=True)
class Unknown:
    """One number of the fit. It is fitted as its logarithm where `log`, so it stays above zero.

    `centre` and `sd` are what is known before the logs are looked at, in what is fitted.
    """

    name: str
    log: bool
    centre: float
    sd: float
    low: float
    high: float
    learned: bool = False

    def value(self, fitted: float) -> float:
        """Return the number itself, SI."""
        return math.exp(fitted) if self.log else fitted

    def fitted(self, value: float) -> float:
        """Return what is fitted for a number, SI."""
        return math.log(value) if self.log else value


LEARNED = (
    "motor.kv",
    "motor.resistance",
    "pack.resistance",
    "pack.slow_resistance",
    "pack.slow_time",
    "rotor.inertia",
    "rotor.hub_inertia",
    "rotor.drag_factor",
    "gears.drag_torque",
)
"""Keys of the machine file that logs can tell; `pack.resistance` is fitted as flown and said at 25 C."""

TAKEN = (
    "motor.no_load_current",
    "motor.no_load_speed_share",
    "motor.inertia",
    "controller.resistance",
    "controller.ripple_factor",
    "controller.freewheel_drop",
    "gears.efficiency",
    "pack.capacity",
)
"""Keys that must be taken from the machine file with their doubt."""

NARROWED = ("controller.ripple_factor",)
"""Of those, what steady running shows by itself: each is held by its doubt, and told where the logs leave little of it.
What is fitted beside it goes with it, so a proposed file without it would be of another machine than the fit."""
NARROWED_SHARE = 0.5
"""Share of the doubt before the logs, up to which a narrowed number counts as told by them; own choice."""

LEAST_SHARE = {"pack.capacity": 0.1}
"""Least half width as a share: the shape of the open-circuit curve may not tell how much charge went out."""
LEAST_DOUBT = {"controller.ripple_factor": 1.0, "controller.freewheel_drop": 0.2}
"""The size of the part-duty loss was read off motors far smaller than a helicopter's: a fit doubts it more."""
LEAST = {"controller.ripple_factor": 0.0, "controller.freewheel_drop": 0.0}
"""No loss gives power back: below nought a fit would feed the motor's inertia out of it."""
TYPICAL_DOUBT_SHARE = {"motor.inertia": 2.0, "motor.no_load_current": 2.0}
LEARNED_DOUBT_SHARE = 2.0
"""Least half width, as a share, of what nobody stated: parts alike in size differ, and a typical number may not pull a
fit away from its logs. Common practice, no source."""

LOGARITHMIC = (*LEARNED, "motor.no_load_current", "motor.inertia", "controller.resistance", "pack.capacity")

BESIDE: dict[str, tuple[float, float, str]] = {
    "voltage_scale": (1.0, 0.005, "scale of the voltage sensor: 0.5 %"),
    "current_scale": (1.0, 0.02, "scale of the current sensor: 2 %"),
    "duty_lost": (0.0, 0.005, "duty lost beside what is logged, dead time of the controller: 0.5 %"),
    "winding_warmth": (1.0, 0.5, "warming of the winding, of what the heat nodes give: half to one and a half times"),
    "winding_over_sensor": (15.0, 20.0, "winding over a logged motor temperature, K: the sensor sits on can or stator"),
    "head_drag_share": (0.5, 0.4, "share of the gear drag that stays with a coasting head"),
    "tail_share": (0.7, 0.5, "share of the nose-holding torque that the tail gives on the ground"),
    "drag_exponent": (0.0, 0.3, "how far the drag grows otherwise with speed than blade elements give"),
    "early_share": (0.1, 0.25, "what of the pack comes back within seconds, beside its resistance at once"),
    "early_time": (2.0, 2.0, "how long that takes, s"),
    "bare_drag": (0.03, 0.03, "drag of head and grips without blades, N m at the usual speed"),
}
"""What no file and no log says: centre, half width of 90 %, meaning. Common practice, no source."""
BESIDE_LOGARITHMIC = ("early_time",)
BESIDE_NOT_BELOW_NOUGHT = ("bare_drag",)


OF_ONE_LOG = {
    "charge": "charge that the pack began with", "offset": "rest voltage of this make of cell",
    "tilt": "rest voltage of this make of cell", "top": "rest voltage of this make of cell",
    "bend": "rest voltage of this make of cell", "lag": "lag of the voltage behind the current",
    "speed lag": "lag of the speed sensor", "current lag": "lag of the current sensor",
    "standby": "current of controller and receiver with the motor off", "zero": "zero of the current sensor",
    "pitch": "drag of the blades at flat pitch: air density, and a collective that is a little off",
}  # fmt: skip
"""What is fitted for each log alone, in words."""


def in_words(name: str) -> str:
    """Return what an unknown is, for people: a key of the machine file as it stands."""
    if name in BESIDE:
        return BESIDE[name][2]
    own, _, number = name.rpartition(" ")
    if own.startswith("coast "):
        return f"speed at which a coast-down began, log {number}"
    return f"{OF_ONE_LOG[own]}, log {number}" if own in OF_ONE_LOG else name


def unknown_of_key(machine: Machine, key: str, *, known: bool) -> Unknown:
    """Return the unknown for a key; `known` takes the file's number and spread, else the logs alone shall tell."""
    value, declared = machine.value(key), machine.declared(key)
    if value is None or not isinstance(declared, Quantity):
        raise KeyError(key)
    kind = declared.kind
    low, high = kind.si(kind.low), kind.si(kind.high)
    log = key in LOGARITHMIC
    si = max(value.si, low, 1e-9) if log else value.si
    half = max(value.spread_si, LEAST_DOUBT.get(key, 0.01 * abs(si)), 1e-9)
    half = max(half, LEAST_SHARE.get(key, 0.0) * si)
    if value.is_typical:
        half = max(half, TYPICAL_DOUBT_SHARE.get(key, LEARNED_DOUBT_SHARE if key in LEARNED else 0.0) * si)
    if log:
        low = max(low, 1e-4 * si)
        sd = math.log1p(half / si) / NINETY if known else OPEN_SD
        return Unknown(
            name=key, log=True, centre=math.log(si), sd=sd, low=math.log(low), high=math.log(high),
            learned=key in LEARNED,
        )  # fmt: skip
    # Not held to what the file takes: it is not learned, and an end nearby would make the doubt look small.
    free = of_spread(key, si, half / NINETY)
    return replace(free, low=max(free.low, LEAST[key])) if key in LEAST else free


def of_spread(name: str, centre: float, sd: float) -> Unknown:
    """Return an unknown with room on both sides."""
    return Unknown(name=name, log=False, centre=centre, sd=sd, low=centre - 8.0 * sd, high=centre + 8.0 * sd)


def beside(name: str) -> Unknown:
    """Return an unknown that no machine file holds."""
    centre, half, _ = BESIDE[name]
    if name in BESIDE_LOGARITHMIC:
        middle, sd = math.log(centre), math.log1p(half / centre) / NINETY
        return Unknown(name=name, log=True, centre=middle, sd=sd, low=middle - 6.0, high=middle + 6.0)
    free = of_spread(name, centre, half / NINETY)
    return replace(free, low=0.0) if name in BESIDE_NOT_BELOW_NOUGHT else free


def of_log(name: str, number: int, centre: float, sd: float) -> Unknown:
    """Return an unknown that belongs to one log, such as the charge it began with."""
    return of_spread(f"{name} {number}", centre, sd)
