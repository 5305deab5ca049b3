"""Whether a steady autorotation comes back by itself after a small disturbance."""

import math

from steadyhead.physics.craft import GRAVITY_M_S2
from steadyhead.physics.glide import Glide, Glider, glide_balance, hover_inflow
from steadyhead.physics.kernel import kernel

SPEED_STEP = 2e-3


@kernel
def glide_rates(glider: Glider, glide: Glide, faster_rad_s: float, sinking_m_s: float) -> tuple[float, float]:
    """How fast head speed and sink rate change beside a glide, rad/s2 and m/s2, collective and forward speed held.

    Valid: inflow settled, which takes a tenth of the head's own time; disc angle held.
    Source: Newton's laws; `glide_balance`.
    """
    beside = Glide(
        glide.head_rad_s + faster_rad_s, glide.forward_m_s, glide.sink_m_s + sinking_m_s, glide.collective_rad,
        glide.tilt_rad, glide.code,
    )  # fmt: skip
    left = glide_balance(glider, beside)
    return -left.slowing_nm / glider.head_kg_m2, -left.rise_n * GRAVITY_M_S2 / glider.weight_n


@kernel
def glide_growth(glider: Glider, glide: Glide) -> float:
    """How fast a small disturbance of head speed and sink rate grows, 1/s; below zero it dies out: a stable glide.

    greatest real part of the eigenvalues of the 2 by 2 motion of head speed and sink rate, by central differences
    Valid: as `glide_rates`; collective held, so without the pilot.
    Source: linear stability; any dynamics textbook.
    """
    head, fall = SPEED_STEP * glide.head_rad_s, SPEED_STEP * max(glide.sink_m_s, hover_inflow(glider))
    head_up, fall_up = glide_rates(glider, glide, head, 0.0), glide_rates(glider, glide, 0.0, fall)
    head_down, fall_down = glide_rates(glider, glide, -head, 0.0), glide_rates(glider, glide, 0.0, -fall)
    a, c = (head_up[0] - head_down[0]) / (2.0 * head), (head_up[1] - head_down[1]) / (2.0 * head)
    b, d = (fall_up[0] - fall_down[0]) / (2.0 * fall), (fall_up[1] - fall_down[1]) / (2.0 * fall)
    middle, square = 0.5 * (a + d), 0.25 * (a - d) * (a - d) + b * c
    return middle + math.sqrt(max(square, 0.0))
