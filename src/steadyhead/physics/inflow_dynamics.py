"""How fast the inflow follows the thrust: the air above the disc has a mass of its own."""

import math

from steadyhead.physics.kernel import inlined_kernel, kernel

APPARENT_MASS = 8.0 / (3.0 * math.pi)
"""Apparent mass over rho pi R^3 of a disc in axial motion. Source: Carpenter and Fridovich 1953, NACA TN-3044."""

APPARENT_MASS_SHAPED = 128.0 / (75.0 * math.pi)
"""The same for a disc whose loading falls to zero at the tip. Source: Pitt and Peters 1981, Vertica 5 (from memory)."""


@kernel
def apparent_mass(density_kg_m3: float, radius_m: float) -> float:
    """Mass of air that moves with the inflow of a whole disc, kg.

    m = 8/3 rho R^3
    Valid: a disc moved along its axis in still air (potential flow past an impermeable disc); uniform inflow.
    Source: Carpenter and Fridovich 1953, NACA TN-3044 (from memory); 63.7 % of the air in a sphere of radius R.
    """
    return APPARENT_MASS * math.pi * density_kg_m3 * radius_m * radius_m * radius_m


@inlined_kernel
def inflow_rate(balance_m2_s2: float, radius_m: float) -> float:
    """How fast the inflow of a ring grows, m/s2, when blades and momentum do not agree.

    m' dv/dt = 2 rho (blade - momentum), m' = apparent mass over disc area = 8/(3 pi) rho R
    Steady, it is blade-element momentum theory itself, ring by ring.
    Valid: the apparent mass spread evenly over the disc (the uniform term); rings do not push each other.
    Source: Carpenter and Fridovich 1953, NACA TN-3044; Pitt and Peters 1981, Vertica 5, uniform term (from memory).
    """
    return 2.0 * balance_m2_s2 / (APPARENT_MASS * radius_m)


@kernel
def inflow_time_constant(inflow_m_s: float, lift_slope_per_rad: float, solidity: float, tip_speed_m_s: float,
                         radius_m: float) -> float:  # fmt: skip
    """Time in which the uniform inflow of a hovering rotor settles after a small change of pitch, s.

    tau = 8/(3 pi) R / (4 v + sigma a w R / 4)
    Valid: hover, linear lift; about 10 to 40 ms for a model helicopter.
    Source: `inflow_rate` linearised about hover with uniform inflow; Carpenter and Fridovich 1953.
    """
    return APPARENT_MASS * radius_m / (4.0 * inflow_m_s + 0.25 * solidity * lift_slope_per_rad * tip_speed_m_s)
