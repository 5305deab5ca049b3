"""Height and velocity: Prouty, Helicopter Performance, Stability, and Control, 1986, pp. 352-358 (second-hand).

The closed form of the low hover height is checked as printed. The book's diagram is that of a 20,000 lb helicopter with
ground effect and its own pilot; our pilot is made for models, so only the shape of our diagram is held against it.
"""

import math

import pytest

from steadyhead.flight.bail_out_case import ready
from steadyhead.flight.height_velocity import height_velocity
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.craft import GRAVITY_M_S2
from steadyhead.physics.forward import flight_loads
from steadyhead.physics.point_mass import low_hover_height
from steadyhead.physics.rotor import Motion
from tests.agrees import agrees
from tests.published.rotor_rigs import rows

BOOK = {row["quantity"]: row for row in rows("height_velocity.csv")}
EXAMPLE = "low hover height check: V_LG 8 ft/s; J 11735; W 21.67; CW/s 0.083; 1500 hp"
SLUG_FT2, HORSE_W, FOOT_M = 1.3558179, 745.69987, 0.3048


def test_the_low_hover_height_is_the_closed_form_of_the_book():
    energy_s = 0.5 * 11735.0 * SLUG_FT2 * 21.67**2 / (1500.0 * HORSE_W)
    got = low_hover_height(8.0 * FOOT_M, energy_s, 0.083)
    assert agrees(got, float(BOOK[EXAMPLE]["value_SI"]), percent=5.0, because="the book rounds its inputs")


@pytest.fixture(scope="module")
def own():
    return ready(read_machine(bundled("fox600")), 1)


def test_our_low_edge_in_hover_is_of_the_size_that_the_closed_form_says(own):
    """The closed form knows no reaction time: ours lies below it, within a factor of five."""
    craft, speed = own.craft, own.set_rad_s
    case = height_velocity(own, speeds=2, fastest_m_s=4.0)
    hover = flight_loads(craft.rotor, craft.section, craft.air, Motion(speed, 0.058, 0.0, 0.0, 0.0))
    energy_s = 0.5 * craft.body.head_kg_m2 * speed**2 / hover.power_w
    rotor = craft.rotor
    tip = craft.air.density_kg_m3 * (speed * rotor.radius_m) ** 2
    loading = craft.body.mass_kg * GRAVITY_M_S2 / (tip * rotor.blades * rotor.chord_m * rotor.radius_m)
    book = low_hover_height(case.touchdown_sink_m_s, energy_s, loading)
    low = case.points[0].low_m
    assert low is not None
    assert 0.2 * book < low < book
    assert math.isfinite(book)


def test_the_diagram_has_the_shape_of_the_book_s(own):
    """High hover height far above the low one: 405 m over 4.8 m in the book, both edges there in a hover."""
    hover = height_velocity(own, speeds=2, fastest_m_s=4.0).points[0]
    book = float(BOOK["high hover height FAA"]["value_SI"]) / float(BOOK[EXAMPLE]["value_SI"])
    assert book > 50.0
    assert hover.high_m is not None
    assert hover.low_m is not None
    assert hover.high_m > 5.0 * hover.low_m
