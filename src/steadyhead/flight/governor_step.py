"""One load step on the linear plant with the governor's own sampled law, limits included; and what its figures are."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.linear_model import SERVO, STATES, SampledPlant
from steadyhead.flight.loop import AGES, seen_speed
from steadyhead.physics.governor import Governor, GovernorState, governed
from steadyhead.physics.kernel import kernel

UNSTABLE_SHARE = 0.5
"""A deviation of half the head speed ends a step: the linear plant says nothing there."""


class StepStart(NamedTuple):
    """The condition a step starts from, and the step. SI; `set_rad_s` moves the set speed at once, without its ramp."""

    goal_rad_s: float
    duty: float
    collective_rad: float
    command_rad: float
    set_rad_s: float


class StepFigures(NamedTuple):
    """Figures of one step, shares of the set speed, s; recovery -1 where the record ends outside the band.

    `drop` and `rise` are the greatest deviations below and above; `left` the mean of the last tenth.
    """

    drop: float
    rise: float
    recovery_s: float
    left: float


@kernel
def run_step(
    phi: NDArray[np.float64],
    gain: NDArray[np.float64],
    governor: Governor,
    start: StepStart,
    out: NDArray[np.float64],
) -> None:
    """Write the deviation of head speed at each governor sample, rad/s, then the duty.

    x' = phi x + gain (duty - duty0, command)
    Shapes: phi (16, 16), gain (16, 2), out (n, 2).
    Valid: as `linear_model`; duty limits, anti-windup, sensor steps and delay as the engine has them.
    Source: `governor.governed`, `loop.seen_speed`, zero-order hold.
    """
    states, moved = np.zeros(STATES), np.zeros(STATES)
    ages = np.full(AGES, start.goal_rad_s)
    ahead = governor.speed_duty_s_rad * start.goal_rad_s
    ahead += governor.collective_duty_per_rad * abs(start.collective_rad)
    memory = GovernorState(start.duty - ahead, start.goal_rad_s, start.goal_rad_s, 0.0, start.duty)
    wanted = start.goal_rad_s + start.set_rad_s
    for sample in range(out.shape[0]):
        ages[sample % AGES] = start.goal_rad_s + states[0]
        measured = seen_speed(ages, sample, governor.sensor_delay_s / governor.sample_s)
        memory = governed(governor, memory, measured, wanted, wanted, start.collective_rad + states[SERVO])
        out[sample, 0], out[sample, 1] = states[0], memory.duty
        if not abs(states[0]) < UNSTABLE_SHARE * start.goal_rad_s:
            out[sample:, 0] = states[0]
            return
        push = memory.duty - start.duty
        for row in range(STATES):
            total = gain[row, 0] * push + gain[row, 1] * start.command_rad
            for column in range(STATES):
                total += phi[row, column] * states[column]
            moved[row] = total
        for row in range(STATES):
            states[row] = moved[row]


@kernel
def figures_of(
    deviation_rad_s: NDArray[np.float64], goal_rad_s: float, band_share: float, sample_s: float
) -> StepFigures:
    """Drop, rise, time from leaving a band until back in it to stay, and what is left at the end.

    Shapes: deviation_rad_s (n,), from the moment of the step.
    Valid: crossings between samples by a straight line; recovery 0 where the band is never left.
    Source: vocabulary of ISO 8528-5 (meaning from memory): transient speed deviation, recovery time.
    """
    least = most = 0.0
    first = last = -1
    size = deviation_rad_s.shape[0]
    band = band_share * goal_rad_s
    for sample in range(size):
        value = float(deviation_rad_s[sample])
        least, most = min(least, value), max(most, value)
        if abs(value) > band:
            last = sample
            if first < 0:
                first = sample
    tail = max(size // 10, 1)
    left = float(deviation_rad_s[size - tail :].mean()) / goal_rad_s
    recovery = 0.0
    if last == size - 1:
        recovery = -1.0
    elif last >= 0:
        begun = float(first)
        if first > 0:
            inner, outer = abs(deviation_rad_s[first - 1]), abs(deviation_rad_s[first])
            begun = first - (outer - band) / (outer - inner)
        outer, inner = abs(deviation_rad_s[last]), abs(deviation_rad_s[last + 1])
        recovery = (last + (outer - band) / (outer - inner) - begun) * sample_s
    return StepFigures(abs(least) / goal_rad_s, most / goal_rad_s, recovery, left)


def step_response(
    plant: SampledPlant, governor: Governor, start: StepStart, seconds: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return deviation of head speed, rad/s, and duty at each governor sample.

    Shapes: -> (n,), (n,)
    """
    out = np.empty((max(2, round(seconds / governor.sample_s)), 2))
    run_step(plant.phi, plant.gain, governor, start, out)
    return out[:, 0].copy(), out[:, 1].copy()
