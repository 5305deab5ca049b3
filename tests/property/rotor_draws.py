"""Random rotors of model size and random points of flight for the property tests."""

import math

from hypothesis import strategies as st

from steadyhead.physics.air import Air
from steadyhead.physics.rotor import Rotor
from steadyhead.physics.section import constant_section

SECTION = constant_section(5.75, 0.0113, 0.0, 1.0)
AIR = Air(1.2, 341.0, 1.5e-5)


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@st.composite
def rotors(draw: st.DrawFn, twisted: bool = True) -> Rotor:
    radius = draw(between(0.1, 1.0))
    blades = float(draw(st.integers(2, 5)))
    twist = math.radians(draw(between(-12.0, 0.0))) if twisted else 0.0
    return Rotor(blades, radius, radius * draw(between(0.0, 0.3)), radius * draw(between(0.04, 0.12)), twist)


def tip_speeds() -> st.SearchStrategy[float]:
    return between(60.0, 180.0)


def pitches(low_deg: float, high_deg: float) -> st.SearchStrategy[float]:
    return between(low_deg, high_deg).map(math.radians)
