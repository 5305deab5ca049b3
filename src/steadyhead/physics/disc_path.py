"""A tilted disc on a path through the air: what air it meets, and what drag the airframe has."""

import math

from steadyhead.physics.kernel import inlined_kernel


@inlined_kernel
def air_at_disc(forward_m_s: float, climb_m_s: float, tilt_rad: float) -> tuple[float, float]:
    """Air speed down the shaft and across the disc, m/s, without the inflow.

    V_through = V_c cos a + U sin a, V_across = |U cos a - V_c sin a|, tilt nose down positive
    Valid: any path in the plane of the shaft; descent is a negative climb.
    Source: geometry.
    """
    cosine, sine = math.cos(tilt_rad), math.sin(tilt_rad)
    return climb_m_s * cosine + forward_m_s * sine, abs(forward_m_s * cosine - climb_m_s * sine)


@inlined_kernel
def drag_per_speed(density_kg_m3: float, drag_area_m2: float, forward_m_s: float, climb_m_s: float) -> float:
    """Airframe drag over speed, N s/m: times each part of the speed it is that part of the drag.

    D / V = rho/2 V f
    Valid: drag area alike in all directions.
    Source: drag of a body, any fluid mechanics textbook.
    """
    return 0.5 * density_kg_m3 * drag_area_m2 * math.sqrt(forward_m_s * forward_m_s + climb_m_s * climb_m_s)
