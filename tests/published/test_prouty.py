"""Prouty, Helicopter Performance, Stability, and Control: worked numbers of the example helicopter (second-hand).

Used where our functions apply: momentum figures, and the hover sample with a lift slope and a drag of our own choice
(the book's section chart is not among our data), hence its wide band.
"""

import math

from steadyhead.physics.air import air_at
from steadyhead.physics.inflow import glauert_inflow
from steadyhead.physics.rotor import Rotor
from steadyhead.physics.section import constant_section
from tests.agrees import agrees
from tests.published.rotor_rigs import Rig, rows

BOOK = {row["quantity"]: row for row in rows("prouty_example_helicopter.csv")}
ROTOR = Rotor(4.0, 9.144, 0.15 * 9.144, 0.6096, math.radians(-10.0))
RIG = Rig(ROTOR, 198.12 / 9.144)


def value(quantity: str) -> float:
    return float(BOOK[quantity]["value_SI"])


def test_hover_inflow_of_the_example_helicopter():
    weight = 20000.0 * 4.4482216
    density = air_at(101325.0, 288.15).density_kg_m3
    found = glauert_inflow(math.sqrt(weight / (2.0 * density * math.pi * 9.144**2)), 0.0, 0.0)
    published = value("hover induced velocity 20000 lb sea level")
    assert agrees(found, published, percent=2.0, because="the book rounds to three digits")


def test_hover_torque_of_the_sample_calculation_at_its_thrust():
    # NACA 0012 at full scale by the constants common to textbooks: slope 2 pi over the mean Mach factor, cd 0.0087.
    section = constant_section(6.0, 0.0087, -0.0216, 0.4)
    _, loads = RIG.at_thrust(section, value("hover CT"))
    published = value("hover CQ0 profile") + value("hover CQ induced")
    assert agrees(RIG.cq(loads), published, percent=10.0, because="our section constants stand for the book's chart")


def test_collective_of_the_sample_calculation():
    section = constant_section(6.0, 0.0087, -0.0216, 0.4)
    collective, _ = RIG.at_thrust(section, value("hover CT"))
    at_centre = collective + 0.75 * 10.0
    published = value("airfoil NACA 0012 collective theta0 (at centre)")
    assert agrees(at_centre, published, percent=5.0, because="our section constants stand for the book's chart")


def test_climb_adds_the_power_of_lifting_the_weight_in_half():
    section = constant_section(6.0, 0.0087, -0.0216, 0.4)
    _, hover = RIG.at_thrust(section, value("hover CT"))
    _, climb = RIG.at_thrust(section, value("hover CT"), 2.54)
    quick = hover.thrust_n * 2.54 / 2.0
    assert agrees(
        climb.power_w - hover.power_w, quick, percent=16.0, because="the estimate leaves out tip loss and the square"
    )


def test_descent_without_shaft_power():
    section = constant_section(6.0, 0.0087, -0.0216, 0.4)
    ct = value("hover CT")
    low, high = 1.5, 3.0
    for _ in range(30):
        middle = 0.5 * (low + high)
        _, loads = RIG.at_thrust(section, ct, -middle * RIG.hover_inflow_m_s(ct))
        low, high = (middle, high) if loads.power_w > 0.0 else (low, middle)
    published = value("vertical autorotation VD/vh at 0.22 and -10 deg twist")
    assert agrees(low, published, percent=7.0, because="the book reads a curve of twisted blades, ours is untwisted")
