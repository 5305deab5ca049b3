"""Induced velocity: momentum theory where it holds, the measured curve in descent, Glauert in flight."""

import math

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import inlined_kernel, kernel

# Descent speed over hover inflow, and flow through the disc (descent minus inflow) over hover inflow: untwisted blades.
DESCENT_MEASURED = (
    (0.0, -1.07), (0.1, -1.058), (0.2, -1.038), (0.3, -1.016), (0.4, -1.0), (0.5, -0.987), (0.6, -0.98),
    (0.7, -0.977), (0.8, -0.976), (0.9, -0.976), (1.0, -0.983), (1.1, -1.001), (1.2, -1.02), (1.26, -1.036),
    (1.316, -1.053), (1.372, -1.068), (1.41, -1.036), (1.447, -0.99), (1.484, -0.928), (1.522, -0.854),
    (1.559, -0.777), (1.597, -0.686), (1.634, -0.556), (1.671, -0.4), (1.709, -0.237), (1.746, -0.09),
    (1.784, 0.036), (1.834, 0.2), (1.908, 0.4), (1.989, 0.6), (2.07, 0.8), (2.167, 1.0), (2.267, 1.2),
    (2.376, 1.4), (2.491, 1.6), (2.6, 1.773),
)  # fmt: skip
MEASURED_END = 2.6
PEAK = 1.372
PEAK_END = 1.784
QUARTIC = (1.0, -1.125, -1.372, -1.718, -0.655)


def descent_curve(descent_ratio: NDArray[np.float64]) -> NDArray[np.float64]:
    """Inflow over hover inflow at a rate of descent over hover inflow, as measured.

    Divided by 1.07, its own hover value: that loss (tip, root, uneven inflow) is what the rings carry themselves.
    Towards the peak the division fades, since rings spread over a peak lose in the mean what their unevenness adds.
    Beyond 2.6 the remaining gap to momentum theory dies out exponentially, same value and slope at the join.
    Shapes: descent_ratio (n,) -> (n,)
    Valid: 0 to 2.6 measured (points scatter +-0.1); beyond that the fade is ours, no source.
    Source: Castles and Gray 1951, NACA TN-2474, as drawn in Prouty 1986 fig. 2.13 (second-hand, digitised).
    """
    given = np.array(DESCENT_MEASURED)
    hover = -given[0, 1]
    carried = np.interp(descent_ratio, [0.0, PEAK, PEAK_END], [hover, 1.0, hover])
    measured = np.interp(descent_ratio, given[:, 0], given[:, 0] - given[:, 1]) / carried
    beyond = np.maximum(descent_ratio, MEASURED_END)
    momentum = beyond / 2.0 - np.sqrt(beyond**2 / 4.0 - 1.0)
    end = MEASURED_END / 2.0
    gap = (MEASURED_END - given[-1, 1]) / hover - (end - math.sqrt(end * end - 1.0))
    slope = (1.0 - (given[-1, 1] - given[-2, 1]) / (given[-1, 0] - given[-2, 0])) / hover
    fall = (slope - 0.5 + 0.5 * end / math.sqrt(end * end - 1.0)) / gap
    faded: NDArray[np.float64] = momentum + gap * np.exp(fall * (beyond - MEASURED_END))
    return np.asarray(np.where(descent_ratio <= MEASURED_END, measured, faded), dtype=np.float64)


def _descent_factors(steps: int) -> NDArray[np.float64]:
    """Measured thrust over v (v + V), evenly spaced over v / (v + V): 1 in hover and again in a fast windmill."""
    descent = np.concatenate([np.linspace(1e-4, 3.0, 6001), np.geomspace(3.001, 1e4, 4000)])
    ratio = descent_curve(descent) / descent
    share = ratio / (1.0 + ratio)
    factor = 1.0 / (descent**2 * ratio * (1.0 + ratio))
    order = np.argsort(share)
    places = np.linspace(0.0, 1.0, steps + 1)
    factors: NDArray[np.float64] = np.interp(places, share[order], factor[order], left=1.0, right=1.0)
    return factors


DESCENT_STEPS = 400
DESCENT_FACTORS = _descent_factors(DESCENT_STEPS)


@inlined_kernel
def axial_thrust_factor(inflow_m_s: float, climb_m_s: float) -> float:
    """Square of the hover inflow that belongs to an inflow in axial flight, signed with the thrust, m2/s2.

    thrust / (2 rho A) = v (v + V) in climb and hover; in descent times the measured factor.
    Valid: climb, hover, vortex ring, windmill, either sign of thrust; rises with inflow without a break.
    Source: Rankine-Froude momentum theory; `descent_curve` in descent.
    """
    # No branch in here, so that several rings are worked out at once.
    size = abs(inflow_m_s)
    total = size + abs(climb_m_s)
    place = size / max(total, 1e-300) * DESCENT_STEPS
    left = max(min(int(place), DESCENT_STEPS - 1), 0)
    factor = DESCENT_FACTORS[left] + (place - left) * (DESCENT_FACTORS[left + 1] - DESCENT_FACTORS[left])
    value = size * total * (factor if climb_m_s * inflow_m_s < 0.0 else 1.0)
    return math.copysign(value, inflow_m_s)


@inlined_kernel
def thrust_factor(inflow_m_s: float, climb_m_s: float, edgewise_m_s: float) -> float:
    """Square of the hover inflow that belongs to an inflow in any flight, signed with the thrust, m2/s2.

    v sqrt(Vx^2 + S^2), S = axial thrust factor / v: Glauert's stream with the axial part as in axial flight
    Valid: any; exact Glauert for air through the disc downwards, exact axial for no edgewise speed. In steep descent
    with some edgewise speed the joining is ours, no source.
    Source: Glauert 1926, ARC R&M 1111; `axial_thrust_factor`.
    """
    axial = axial_thrust_factor(inflow_m_s, climb_m_s)
    edgewise = edgewise_m_s * inflow_m_s
    return math.copysign(math.sqrt(axial * axial + edgewise * edgewise), inflow_m_s)


@kernel
def momentum_inflow_ratio(climb_ratio: float) -> float:
    """Inflow over hover inflow at a climb speed over hover inflow (descent negative), momentum theory alone.

    climb: -c/2 + sqrt(c^2/4 + 1); windmill, c <= -2: -c/2 - sqrt(c^2/4 - 1)
    Valid: c >= 0 and c <= -2; NaN between, where no stream tube exists.
    Source: Rankine-Froude momentum theory; Leishman 2006 ch. 2 (from memory).
    """
    if climb_ratio >= 0.0:
        return -climb_ratio / 2.0 + math.sqrt(climb_ratio * climb_ratio / 4.0 + 1.0)
    if climb_ratio <= -2.0:
        return -climb_ratio / 2.0 - math.sqrt(climb_ratio * climb_ratio / 4.0 - 1.0)
    return math.nan


@kernel
def quartic_inflow_ratio(climb_ratio: float) -> float:
    """Inflow over hover inflow between hover and windmill by the textbook quartic, kept for comparison only.

    Valid: -2 <= c <= 0; lies up to 10 % below the tunnel between c -0.5 and -1.6, so the rotor does not use it.
    Source: Leishman 2006 ch. 2 (attribution from memory).
    """
    c = climb_ratio
    return QUARTIC[0] + c * (QUARTIC[1] + c * (QUARTIC[2] + c * (QUARTIC[3] + c * QUARTIC[4])))


@kernel
def glauert_inflow(hover_inflow_m_s: float, edgewise_m_s: float, through_m_s: float) -> float:
    """Induced velocity of a rotor in flight, m/s.

    v sqrt(Vx^2 + (Vz + v)^2) = vh^2, by Newton inside a bracket to 1e-12 of vh
    Valid: Vz >= 0 (air through the disc downwards), hover included; in steep descent use the axial curve.
    Source: Glauert 1926, ARC R&M 1111.
    """
    if hover_inflow_m_s <= 0.0:
        return 0.0
    wanted = hover_inflow_m_s**4
    low, high = 0.0, hover_inflow_m_s + abs(through_m_s)
    v = hover_inflow_m_s
    for _ in range(100):
        through = through_m_s + v
        stream = edgewise_m_s * edgewise_m_s + through * through
        error = v * v * stream - wanted
        if error > 0.0:
            high = v
        else:
            low = v
        slope = 2.0 * v * stream + 2.0 * v * v * through
        new = v - error / slope if slope > 0.0 else 0.5 * (low + high)
        if not low <= new <= high:
            new = 0.5 * (low + high)
        if abs(new - v) <= 1e-12 * hover_inflow_m_s:
            return new
        v = new
    return v
