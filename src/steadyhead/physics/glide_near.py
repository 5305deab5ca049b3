"""A steady autorotation found from one beside it: other forward speed, other machine, other collective."""

import math

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.glide import Glide, Glider, glide_balance, glide_found, hover_inflow
from steadyhead.physics.kernel import kernel

NEWTON_TURNS = 12
NEWTON_SHARE = 2e-6
STEP_RATIO = 2e-3
STEP_RAD = 1e-3
JUMP_RATIO = 0.6
"""A glide further from its neighbour than this, over the hover inflow, is looked for anew."""
SPEED_TURNS = 12
SPEED_STEP = 0.01
SPEED_CLOSE_RAD = 2e-5


@kernel
def scaled_balance(glider: Glider, glide: Glide) -> tuple[float, float, float]:
    """What is left over at a tried glide as shares of weight, weight, and weight times radius.

    Valid: as `glide_balance`; in vertical flight the disc is level, so its tilt stands in for the push.
    Source: definition.
    """
    left = glide_balance(glider, glide)
    push = left.push_n / glider.weight_n if glide.forward_m_s > 0.0 else glide.tilt_rad
    return left.rise_n / glider.weight_n, push, left.slowing_nm / (glider.weight_n * glider.rotor.radius_m)


@kernel
def moved_glide(glide: Glide, sink_m_s: float, collective_rad: float, tilt_rad: float) -> Glide:
    """A glide with its three unknowns moved.

    Valid: any.
    Source: definition.
    """
    return Glide(
        glide.head_rad_s, glide.forward_m_s, glide.sink_m_s + sink_m_s, glide.collective_rad + collective_rad,
        glide.tilt_rad + tilt_rad, glide.code,
    )  # fmt: skip


@kernel
def newton_step(slopes: NDArray[np.float64], left: tuple[float, float, float]) -> tuple[float, float, float]:
    """Move of three unknowns that takes three remainders away by their slopes, by Cramer's rule.

    Shapes: slopes (3, 3), rows remainders, columns unknowns.
    Valid: slopes not singular.
    Source: Newton's method; Cramer's rule.
    """
    a, b, c = left
    m = slopes
    minor0 = m[1, 1] * m[2, 2] - m[1, 2] * m[2, 1]
    minor1 = m[1, 0] * m[2, 2] - m[1, 2] * m[2, 0]
    minor2 = m[1, 0] * m[2, 1] - m[1, 1] * m[2, 0]
    whole = m[0, 0] * minor0 - m[0, 1] * minor1 + m[0, 2] * minor2
    first = a * minor0 - m[0, 1] * (b * m[2, 2] - m[1, 2] * c) + m[0, 2] * (b * m[2, 1] - m[1, 1] * c)
    second = m[0, 0] * (b * m[2, 2] - m[1, 2] * c) - a * minor1 + m[0, 2] * (m[1, 0] * c - b * m[2, 0])
    third = m[0, 0] * (m[1, 1] * c - b * m[2, 1]) - m[0, 1] * (m[1, 0] * c - b * m[2, 0]) + a * minor2
    return -first / whole, -second / whole, -third / whole


@kernel
def glide_near(glider: Glider, start: Glide) -> Glide:
    """The steady autorotation near a known one, after something small changed; looked for anew where steps fail.

    Newton's method with the slopes taken once.
    Valid: as `glide_found`; ends when the remainders are below 2e-6 of the weight.
    Source: Newton's method with a fixed slope.
    """
    unit = hover_inflow(glider)
    glide, slopes = start, np.empty((3, 3))
    left = scaled_balance(glider, glide)
    for column in range(3):
        moves = (STEP_RATIO * unit if column == 0 else 0.0, STEP_RAD if column == 1 else 0.0,
                 STEP_RAD if column == 2 else 0.0)  # fmt: skip
        beside = scaled_balance(glider, moved_glide(glide, moves[0], moves[1], moves[2]))
        for row in range(3):
            slopes[row, column] = (beside[row] - left[row]) / (moves[0] + moves[1] + moves[2])
    size = max(abs(left[0]), abs(left[1]), abs(left[2]))
    for _ in range(NEWTON_TURNS):
        if size < NEWTON_SHARE:
            return glide
        sink, collective, tilt = newton_step(slopes, left)
        glide = moved_glide(glide, sink, collective, tilt)
        left = scaled_balance(glider, glide)
        new = max(abs(left[0]), abs(left[1]), abs(left[2]))
        if not new < 0.7 * size:
            break
        size = new
    if size < NEWTON_SHARE:
        return glide
    return glide_found(glider, start.head_rad_s, start.forward_m_s)


@kernel
def write_glide(out: NDArray[np.float64], row: int, glide: Glide) -> None:
    """Write a glide into a row of a table.

    Shapes: out (n, 6) as `Glide`.
    Valid: any.
    Source: definition.
    """
    out[row, 0] = glide.head_rad_s
    out[row, 1] = glide.forward_m_s
    out[row, 2] = glide.sink_m_s
    out[row, 3] = glide.collective_rad
    out[row, 4] = glide.tilt_rad
    out[row, 5] = glide.code


@kernel
def glides_near(glider: Glider, starts: NDArray[np.float64], out: NDArray[np.float64]) -> None:
    """Write the steady autorotation near each known one; a known one that is none is looked for anew.

    Shapes: starts, out (n, 6) as `Glide`.
    Valid: as `glide_near`.
    Source: `glide_near`, `glide_found`.
    """
    for row in range(starts.shape[0]):
        s = starts[row]
        glide = Glide(s[0], s[1], s[2], s[3], s[4], int(s[5]))
        found = glide_found(glider, s[0], s[1]) if math.isnan(s[2]) else glide_near(glider, glide)
        write_glide(out, row, found)


@kernel
def glides_over_speed(glider: Glider, head_rad_s: float, forward_m_s: NDArray[np.float64],
                      out: NDArray[np.float64]) -> None:  # fmt: skip
    """Write the steady autorotation at each forward speed, each looked for from the one before.

    Shapes: forward_m_s (n,), out (n, 6) as `Glide`.
    Valid: as `glide_found`.
    Source: `glide_near`, `glide_found`.
    """
    unit = hover_inflow(glider)
    before = glide_found(glider, head_rad_s, forward_m_s[0])
    for row in range(forward_m_s.shape[0]):
        speed = forward_m_s[row]
        start = Glide(head_rad_s, speed, before.sink_m_s, before.collective_rad, before.tilt_rad, before.code)
        glide = glide_found(glider, head_rad_s, speed) if math.isnan(before.sink_m_s) else glide_near(glider, start)
        if abs(glide.sink_m_s - before.sink_m_s) > JUMP_RATIO * unit:
            glide = glide_found(glider, head_rad_s, speed)
        write_glide(out, row, glide)
        before = glide


@kernel
def glide_at_collective(glider: Glider, start: Glide, collective_rad: float) -> Glide:
    """The steady autorotation that the rotor settles at with a collective, at the forward speed of a known one.

    Secant steps on the head speed; the sink rate is no number where none is found.
    Valid: as `glide_near`; on the fast side, where more collective slows the rotor.
    Source: secant method.
    """
    glide, head = start, start.head_rad_s * (1.0 + SPEED_STEP)
    miss = glide.collective_rad - collective_rad
    for _ in range(SPEED_TURNS):
        new = glide_near(
            glider, Glide(head, glide.forward_m_s, glide.sink_m_s, glide.collective_rad, glide.tilt_rad, glide.code)
        )
        value = new.collective_rad - collective_rad
        if math.isnan(value) or value == miss:
            break
        if abs(value) < SPEED_CLOSE_RAD:
            return new
        step = -value * (new.head_rad_s - glide.head_rad_s) / (value - miss)
        longest = 0.1 * new.head_rad_s
        glide, miss = new, value
        head = new.head_rad_s + min(max(step, -longest), longest)
    return Glide(head, start.forward_m_s, math.nan, math.nan, math.nan, start.code)
