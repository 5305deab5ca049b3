"""Random but believable drives for the property tests: from a 3-cell small machine to a 14-cell large one."""

from math import pi

from hypothesis import strategies as st

from steadyhead.physics.controller import Controller
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Source


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


def motors() -> st.SearchStrategy[Motor]:
    return st.builds(
        Motor,
        kv_rad_s_v=between(300.0 * pi / 30.0, 4000.0 * pi / 30.0),
        resistance_20c_ohm=between(0.004, 0.06),
        no_load_a=between(0.3, 6.0),
        no_load_speed_rad_s=between(500.0, 3000.0),
        no_load_speed_share=between(0.0, 1.0),
    )


def controllers() -> st.SearchStrategy[Controller]:
    return st.builds(
        Controller,
        resistance_ohm=between(0.0, 0.005),
        switching_hz=between(8000.0, 32000.0),
        switching_loss_s=between(0.0, 1.5e-6),
        ripple_factor=between(0.0, 2.0),
        freewheel_v=between(0.0, 0.9),
    )


def sources() -> st.SearchStrategy[Source]:
    return st.builds(Source, open_circuit_v=between(10.0, 60.0), resistance_ohm=between(0.0, 0.08))


def shares() -> st.SearchStrategy[float]:
    return between(0.05, 0.95)


def temperatures_k() -> st.SearchStrategy[float]:
    return between(263.0, 420.0)


def speed_of(motor: Motor, source: Source, share: float) -> float:
    """A speed as a share of Kv times the rested voltage, so that draws reach from far below full duty to above it."""
    return share * motor.kv_rad_s_v * source.open_circuit_v


def torque_of(motor: Motor, source: Source, share: float) -> float:
    """A torque whose current would drop `share` of a quarter of the rested voltage over winding and source."""
    ohms = motor.resistance_20c_ohm + source.resistance_ohm
    return 0.25 * share * source.open_circuit_v / ohms / motor.kv_rad_s_v
