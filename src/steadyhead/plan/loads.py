"""What the machine is asked to do: the loads and the pack states that every flight mode is held against."""

from typing import NamedTuple

HOVER = "hover"
CLIMB = "climb"
HARD_CYCLIC = "hard cyclic"
FAST_FORWARD = "fast forward"
LOADS = (HOVER, CLIMB, HARD_CYCLIC, FAST_FORWARD)
LONG = (HOVER, FAST_FORWARD)
"""Loads that are flown for minutes, held against continuous ratings; the others against burst ratings."""

ZERO_CELSIUS_K = 273.15


class PackState(NamedTuple):
    """How full and how warm the pack is. SI; charge 0 to 1."""

    name: str
    charge: float
    temperature_k: float


def pack_states(reserve: float, warm_k: float, cold_k: float) -> tuple[PackState, ...]:
    """Return the pack states planned for: full, half and at the reserve, warm and cold."""
    charges = (("full pack", 1.0), ("half pack", 0.5), ("pack at reserve", reserve))
    temperatures = (("warm", warm_k), ("cold", cold_k))
    return tuple(
        PackState(f"{charge_name}, {warmth}", charge, temperature_k)
        for charge_name, charge in charges
        for warmth, temperature_k in temperatures
    )
