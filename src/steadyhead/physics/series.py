"""Elementary functions as short polynomials without branches.

The rings of a rotor run through them side by side, several in one instruction, where a call to a library would take
them one by one. All are fits made here, to the figures that their docstrings name.
"""

import math

import numpy as np

from steadyhead.physics.kernel import inlined_kernel

LN2 = 0.6931471805599453
ROOT_HALF_BITS = 0x3FE6A09E667F3BCD
FRACTION_BITS = 52
L0, L1, L2, L3 = 2.0, 0.6666666666666765, 0.3999999999930234, 0.2857142876064168
L4, L5, L6, L7 = 0.22222197056726048, 0.18183631680229329, 0.1531252814836419, 0.14809710360655276
T0, T1, T2, T3 = 0.999999999999999, -0.3333333333322143, 0.19999999978392663, -0.14285712661684793
T4, T5, T6 = 0.11111048853751296, -0.09089529956562307, 0.07673535428183285
T7, T8, T9 = -0.0650598296717084, 0.05024762118940128, -0.025316479573776477
TAN_EIGHTH = 0.41421356237309503
E0, E1, E2, E3 = 1.0, -0.9999999999999988, 0.49999999999989786, -0.16666666666326233
E4, E5, E6, E7 = 0.041666666608425044, -0.00833333275144418, 0.0013888852589955965, -0.00019839812117106157
E8, E9, E10 = 2.476382308177041e-05, -2.6944728858281585e-06, 2.182459466908579e-07
FALL_END = 30.0
C0, C1, C2, C3 = 0.9999999999999949, -0.1366197723649856, 0.056690113593650227, -0.03233570243445214
C4, C5, C6, C7 = 0.021442036131563143, -0.015515673192929477, 0.011876176328493398, -0.009420904448304129
C8, C9, C10, C11 = 0.007570552625089834, -0.005942076787503173, 0.004311128704788212, -0.002697984838201083
C12, C13, C14, C15 = 0.001347467262759439, -0.0004900015220130352, 0.0001133401896254256, -1.2383090472608944e-05


@inlined_kernel
def natural_log(ratio: float) -> float:
    """Natural logarithm.

    log(2^n m) = n log 2 + 2 artanh((m - 1) / (m + 1)), n and m read off the bits
    Valid: positive finite numbers, within 3e-16 of the value or of 1; anything else gives a number of no meaning.
    Source: series of the inverse hyperbolic tangent, fitted to (m - 1)^2 / (m + 1)^2 up to 0.03.
    """
    bits = np.float64(ratio).view(np.int64)
    whole = (bits - ROOT_HALF_BITS) >> FRACTION_BITS
    mantissa = np.int64(bits - (whole << FRACTION_BITS)).view(np.float64)
    x = (mantissa - 1.0) / (mantissa + 1.0)
    u = x * x
    series = L0 + u * (L1 + u * (L2 + u * (L3 + u * (L4 + u * (L5 + u * (L6 + u * L7))))))
    return whole * LN2 + x * series


@inlined_kernel
def angle_of(across_ratio: float, along_ratio: float) -> float:
    """Angle of a direction, rad, -pi to pi, as atan2 has it.

    Turned into the eighth of the circle next to an axis or a diagonal, where atan(x) = x p(x^2).
    Valid: any finite numbers, within 1e-15 rad; 0 where both are zero.
    Source: fit of atan(x) / x over x^2 up to tan(pi / 8)^2.
    """
    across, along = abs(across_ratio), abs(along_ratio)
    small, large = min(across, along), max(across, along)
    diagonal = small > TAN_EIGHTH * large
    x = (small - large if diagonal else small) / max(small + large if diagonal else large, 1e-300)
    u = x * x
    low = T0 + u * (T1 + u * (T2 + u * (T3 + u * T4)))
    angle = x * (low + u * u * u * u * u * (T5 + u * (T6 + u * (T7 + u * (T8 + u * T9)))))
    angle = 0.25 * math.pi + angle if diagonal else angle
    angle = 0.5 * math.pi - angle if across > along else angle
    angle = math.pi - angle if along_ratio < 0.0 else angle
    return math.copysign(angle, across_ratio)


@inlined_kernel
def exp_falling(exponent: float) -> float:
    """Return exp(-x).

    (exp(-x / 64))^64
    Valid: 0 <= x <= 30, within 2e-14 of the value; above 30 that of 30, which is 1e-13.
    Source: fit of exp(-y) for y up to 30 / 64.
    """
    y = min(exponent, FALL_END) * (1.0 / 64.0)
    y2 = y * y
    y4 = y2 * y2
    high = ((E4 + y * E5) + y2 * (E6 + y * E7)) + y4 * ((E8 + y * E9) + y2 * E10)
    fallen = ((E0 + y * E1) + y2 * (E2 + y * E3)) + y4 * high
    fallen *= fallen
    fallen *= fallen
    fallen *= fallen
    fallen *= fallen
    fallen *= fallen
    return fallen * fallen


@inlined_kernel
def quarter_turns(cosine_ratio: float) -> float:
    """Arc cosine in quarter turns: 2 / pi acos(c).

    sqrt(1 - c) p(c)
    Valid: 0 <= c <= 1, within 1e-14 of the value; above 1 it is 0.
    Source: fit of acos(c) / sqrt(1 - c).
    """
    c = cosine_ratio
    c2 = c * c
    c4 = c2 * c2
    low = ((C0 + c * C1) + c2 * (C2 + c * C3)) + c4 * ((C4 + c * C5) + c2 * (C6 + c * C7))
    high = ((C8 + c * C9) + c2 * (C10 + c * C11)) + c4 * ((C12 + c * C13) + c2 * (C14 + c * C15))
    return math.sqrt(max(1.0 - c, 0.0)) * (low + c4 * c4 * high)
