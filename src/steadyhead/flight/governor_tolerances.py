"""What a governor is held against: the machine's own tolerances, and how far a loop has to stay from hunting."""

from dataclasses import dataclass

from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Limit

MODULUS_LEAST = 0.5
GAIN_LEAST = 2.0
PHASE_LEAST_DEG = 30.0
MARGIN_ORIGIN = "Astrom and Hagglund, Advanced PID Control, 2006, from memory"
"""Greatest sensitivity 2, gain margin 2, phase margin 30 degrees: the lower ends of the usual ranges."""


@dataclass(frozen=True, kw_only=True)
class Tolerances:
    """Limits of the figures; None where the machine file names none and there is no common one."""

    droop: Limit | None
    overspeed: Limit | None
    recovery: Limit | None
    recovery_band_percent: float
    modulus: Limit
    gain: Limit
    phase: Limit


def tolerances(machine: Machine) -> Tolerances:
    """Return the tolerances of a machine."""
    band = machine.limit("limits.recovery_band")
    return Tolerances(
        droop=machine.limit("limits.droop"),
        overspeed=machine.limit("limits.overspeed"),
        recovery=machine.limit("limits.recovery"),
        recovery_band_percent=band.value if band else 1.0,
        modulus=Limit(value=MODULUS_LEAST, unit="", origin=MARGIN_ORIGIN),
        gain=Limit(value=GAIN_LEAST, unit="", origin=MARGIN_ORIGIN),
        phase=Limit(value=PHASE_LEAST_DEG, unit="°", origin=MARGIN_ORIGIN),
    )
