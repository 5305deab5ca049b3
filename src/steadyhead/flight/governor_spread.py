"""The same machine as it may really be: draws from the spread of everything that the governor's loop rests on."""

import numpy as np

from steadyhead.machine.description import Machine
from steadyhead.plan.solved import INPUTS

DRAWS = 19
"""The lowest and the highest of 19 draws enclose nine tenths of the spread on average: (n - 1) / (n + 1)."""
SEED = 20_260_601
SIGMAS_OF_HALF_WIDTH = 1.645
"""Standard deviations in the half width of a 90 % interval of a normal spread."""
LOOP_INPUTS = (
    "rotor.inertia", "rotor.servo_lag", "motor.inertia", "governor.rate", "governor.filter_time",
    "governor.sensor_delay", "governor.collective_feed",
)  # fmt: skip
GAINS = ("governor.gain", "governor.integral_time")


def drawn(machine: Machine, *, with_gains: bool) -> tuple[Machine, ...]:
    """Return DRAWS machines, every uncertain value drawn from its own normal spread; always the same ones.

    With or without the doubt on today's gains: the map puts its own gains in their place.
    """
    wanted = {*INPUTS, *LOOP_INPUTS, *(GAINS if with_gains else ())}
    spreads = [(key, value) for key, value in sorted(machine.values()) if key in wanted and value.spread_si > 0.0]
    random = np.random.default_rng(SEED)
    deviates = random.standard_normal((DRAWS, len(spreads))) / SIGMAS_OF_HALF_WIDTH
    return tuple(
        machine.replaced(
            {key: value.si + float(z) * value.spread_si for (key, value), z in zip(spreads, row, strict=True)}
        )
        for row in deviates
    )
