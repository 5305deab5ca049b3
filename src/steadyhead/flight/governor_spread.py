"""The same machine as it may really be: draws from the spread of everything that the governor's loop rests on."""

import math

import numpy as np
from numpy.typing import NDArray

from steadyhead.machine.description import Machine
from steadyhead.machine.keys import Quantity
from steadyhead.plan.solved import INPUTS
from steadyhead.words.value import Value

DRAWS = 19
"""The lowest and the highest of 19 draws enclose nine tenths of the spread on average: (n - 1) / (n + 1)."""
SEED = 20_260_601
SIGMAS_OF_HALF_WIDTH = 1.645
"""Standard deviations in the half width of a 90 % interval of a normal spread."""
LOOP_INPUTS = (
    "rotor.inertia", "rotor.servo_lag", "motor.inertia", "governor.rate", "governor.filter_time",
    "governor.sensor_delay", "governor.collective_feed", "governor.gain", "governor.integral_time",
)  # fmt: skip
FASTEST_HZ = 500.0
LEAST_SHARE = 0.1
"""A spread as wide as the value itself ends at this share of it, short of zero."""
WIDE = 0.2
"""Share of a value from which its spread counts as wide."""

Floats = NDArray[np.float64]


def drawn(machine: Machine, more: tuple[str, ...] = ()) -> tuple[Machine, ...]:
    """Return DRAWS machines, every uncertain value drawn from its own spread; always the same ones.

    A machine that is known exactly is returned once: all its draws would be the same.
    `more` names keys that are drawn besides those that the governor's loop rests on.

    A wide spread of a value that cannot be negative is drawn in ratio, either side by itself, so that it never reaches
    zero and both ends of its interval are kept.
    """
    wanted = {*INPUTS, *LOOP_INPUTS, *more}
    spreads = [(key, value) for key, value in sorted(machine.values()) if key in wanted and value.spread_si > 0.0]
    if not spreads:
        return (machine,)
    random = np.random.default_rng(SEED)
    deviates = random.standard_normal((DRAWS, len(spreads))) / SIGMAS_OF_HALF_WIDTH
    return tuple(
        machine.replaced(
            {key: float(moved(machine, key, value, z)) for (key, value), z in zip(spreads, row, strict=True)}
        )
        for row in deviates
    )


def slowed(machine: Machine) -> Machine:
    """Return the same machine with a governor of at most FASTEST_HZ and, all in all, as old a reading of speed.

    For the map alone, which would take minutes with thousands of samples a second; margins keep the true rate.
    """
    rate, delay = machine.value("governor.rate"), machine.value("governor.sensor_delay")
    smoothing = machine.value("governor.filter_time")
    if rate is None or delay is None or smoothing is None or rate.si <= FASTEST_HZ:
        return machine
    older_s = _age(1.0 / FASTEST_HZ, smoothing.si) - _age(1.0 / rate.si, smoothing.si)
    return machine.replaced({"governor.rate": FASTEST_HZ, "governor.sensor_delay": max(delay.si - older_s, 0.0)})


def _age(sample_s: float, filter_s: float) -> float:
    """Return the mean age that sampling and smoothing give a reading, s: half a sample held, and the filter's lag."""
    if filter_s <= 0.0:
        return 0.5 * sample_s
    return 0.5 * sample_s + sample_s / math.expm1(sample_s / filter_s)


def moved(machine: Machine, key: str, value: Value, half_widths: Floats | float) -> Floats:
    """Return a value moved by some of its half widths, SI; one half width up or down ends where the spread ends.

    Shapes: half_widths (n,) or one number -> the same.
    """
    declared, z = machine.declared(key), np.asarray(half_widths, dtype=np.float64)
    positive = isinstance(declared, Quantity) and declared.kind.low >= 0.0 and value.si > 0.0
    if positive and value.spread_si > WIDE * value.si:
        share = value.spread_si / value.si
        end = np.where(z > 0.0, math.log1p(share), -math.log(max(1.0 - share, LEAST_SHARE)))
        return np.asarray(value.si * np.exp(z * end))
    return np.asarray(value.si + z * value.spread_si)
