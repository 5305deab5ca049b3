"""Servos and pulse frames: how late and how smoothly a command reaches the blades."""

import math

from steadyhead.physics.kernel import inlined_kernel, kernel


@inlined_kernel
def lag_after(value_rad: float, command_rad: float, lag_s: float, step_s: float) -> float:
    """Where a first-order servo stands after a step of time, rad.

    x = c + (x0 - c) exp(-dt / T)
    Valid: command steady over the step; exact for any step; T = 0 follows at once.
    Source: first-order lag, step response in closed form; any control textbook.
    """
    return lagged(value_rad, command_rad, lag_left(lag_s, step_s))


@inlined_kernel
def lagged(value_rad: float, command_rad: float, left_share: float) -> float:
    """Where a first-order servo stands when a share of its way is left, rad.

    x = c + (x0 - c) left
    Valid: as `lag_after`.
    Source: as `lag_after`.
    """
    return command_rad + (value_rad - command_rad) * left_share


@inlined_kernel
def lag_left(lag_s: float, step_s: float) -> float:
    """Share of a servo's way that is still left after a step of time, 0 to 1.

    exp(-dt / T)
    Valid: T = 0 leaves nothing.
    Source: first-order lag, step response in closed form; any control textbook.
    """
    return math.exp(-step_s / lag_s) if lag_s > 0.0 else 0.0


@kernel
def slewed(value_rad: float, command_rad: float, rate_rad_s: float, step_s: float) -> float:
    """Command as a servo of limited speed can follow it, rad.

    Valid: rate > 0; a rate of 0 means no limit is known.
    Source: definition.
    """
    if rate_rad_s <= 0.0:
        return command_rad
    most = rate_rad_s * step_s
    return value_rad + min(max(command_rad - value_rad, -most), most)


@kernel
def frame_of(time_s: float, frame_s: float) -> int:
    """Number of the pulse frame that is in force at a time: a command waits for the next frame.

    Valid: frame_s > 0, time from the first frame on.
    Source: definition of a sampled channel.
    """
    return int(time_s / frame_s + 1e-9)
