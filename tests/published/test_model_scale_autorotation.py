"""Sirohi, Robinson, Chopra, Whyte 2007: free descent of a four-bladed 4-ft rotor (abstract only): order of magnitude.

Blade chord, head speed and body drag are not given, so a chord and the head speed of least sink are tried here.
"""

import math

from steadyhead.physics.glide import glide_found, hover_inflow
from steadyhead.physics.rotor import Rotor
from steadyhead.physics.section import model_section
from tests.agrees import agrees
from tests.published.rotor_rigs import bare_glider, rows

TABLE = {row["quantity"]: float(row["value"]) for row in rows("model_scale_autorotation_tests.csv")}
RADIUS_M = TABLE["rotor diameter"] / 2.0
ROTOR = Rotor(TABLE["blades"], RADIUS_M, 0.1 * RADIUS_M, 0.04, 0.0)
GLIDER = bare_glider(ROTOR, model_section(), TABLE["mass"] * 9.80665)


def test_hover_inflow_of_that_weight_and_disc():
    published = TABLE["hover induced velocity of that weight and disk"]
    assert agrees(hover_inflow(GLIDER), published, percent=0.1, because="four printed digits of a closed form")


def test_the_descent_has_the_right_order_of_magnitude():
    sinks = [glide_found(GLIDER, rpm * math.pi / 30.0, 0.0).sink_m_s for rpm in range(700, 1300, 100)]
    least = min(sink for sink in sinks if not math.isnan(sink))
    published = TABLE["steady vertical descent speed in autorotation"]
    assert agrees(least, published, percent=60.0, because="body drag, chord and head speed are not known")
    assert least > published
