"""The pilot's collective: given by the scenario, or flown on height by a simple stated law."""

from typing import NamedTuple

from steadyhead.physics.kernel import kernel


class Pilot(NamedTuple):
    """How the pilot holds a height. SI; common practice, no source.

    Wanted climb speed is the height still to go over `approach_s`, at most `climb_end_m_s`; collective is
    trim + gain * error + integral of error, kept within what the machine is set to.
    """

    approach_s: float
    climb_end_m_s: float
    gain_rad_s_m: float
    integral_rad_m: float
    low_rad: float
    high_rad: float


@kernel
def climb_wanted(pilot: Pilot, goal_m: float, height_m: float) -> float:
    """Climb speed that the pilot wants on the way to a height, m/s.

    V = (h' - h) / T, at most the pilot's own
    Valid: any height.
    Source: common practice, no source.
    """
    return min(max((goal_m - height_m) / pilot.approach_s, -pilot.climb_end_m_s), pilot.climb_end_m_s)


@kernel
def collective_flown(
    pilot: Pilot, wanted_m_s: float, climb_m_s: float, trim_rad: float, step_s: float
) -> tuple[float, float]:
    """Collective that the pilot asks for, rad, and the trim that he has learned since.

    e = V' - V, c = trim + k e, trim grows by k_i e dt while c is within its ends
    Valid: hover and slow vertical flight; no reaction time of his own (the pulse frame and servo delay him).
    Source: PI law on climb speed, common practice, no source.
    """
    error = wanted_m_s - climb_m_s
    free = trim_rad + pilot.gain_rad_s_m * error
    collective = min(max(free, pilot.low_rad), pilot.high_rad)
    if free != collective and (free - collective) * error > 0.0:
        return collective, trim_rad
    return collective, trim_rad + pilot.integral_rad_m * error * step_s
