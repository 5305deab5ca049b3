"""Air density from the pressure and the temperature that a log carries."""

import numpy as np

from steadyhead.physics.air import air_at
from steadyhead.trace.trace import Trace

ZERO_CELSIUS_K = 273.15
PA_PER_HPA = 100.0


def logged_density(trace: Trace) -> float | None:
    """Return the air density of a log, kg/m³, from its medians; None where it carries no pressure or no temperature.

    rho = p / (R T)
    Valid: dry air; water vapour makes warm humid air up to 1.5 % thinner. A sensor in the sun or beside a warm part
    reads high: 3 degrees are 1 %.
    """
    pressure, temperature = trace.get("air_pressure_hpa"), trace.get("air_temperature_c")
    if pressure is None or temperature is None:
        return None
    middle_pa = PA_PER_HPA * float(np.nanmedian(pressure))
    return air_at(middle_pa, ZERO_CELSIUS_K + float(np.nanmedian(temperature))).density_kg_m3
