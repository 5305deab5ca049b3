import math

import pytest

from steadyhead.plan.rotor_point import (
    AirProperties,
    RotorGeometry,
    SectionConstants,
    SectionTable,
    rotor_for_thrust,
    rotor_point,
)
from steadyhead.words.errors import InputError, SolveError
from tests.agrees import agrees
from tests.published.rotor_rigs import rows

RIG = RotorGeometry(blades=4, radius_m=0.762, chord_m=0.0508, root_cutout_m=0.127)
TEXTBOOK = SectionConstants(lift_slope_per_rad=5.75, zero_lift_drag=0.0113, drag_quadratic_per_rad2=1.25)


def point(**changed):
    asked = {"collective_deg": 8.0, "head_speed_rpm": 960.0, "section": TEXTBOOK} | changed
    return rotor_point(RIG, **asked)


def test_the_knight_hefner_rotor_comes_out_through_the_public_function():
    # NACA TN-626 (1937), table III by way of the reference file: four blades, 960 rpm.
    checked = 0
    for row in rows("knight_hefner_1937_hover.csv"):
        if float(row["blades"]) != 4 or float(row["CT_over_sigma"]) < 0.05:
            continue
        got = point(collective_deg=float(row["collective_deg"]))
        assert agrees(got.ct, float(row["CT"]), percent=8.0, because="spread of a textbook model on this set")
        checked += 1
    assert checked >= 2


def test_coefficients_follow_their_definitions():
    got = point()
    area, tip = math.pi * 0.762**2, 960.0 * math.pi / 30.0 * 0.762
    assert got.tip_speed_m_s == pytest.approx(tip)
    assert got.ct == pytest.approx(got.thrust_n / (1.225 * area * tip**2))
    assert got.cp == got.cq == pytest.approx(got.torque_nm / (1.225 * area * tip**2 * 0.762))
    assert got.power_w == pytest.approx(got.torque_nm * 960.0 * math.pi / 30.0)
    assert got.figure_of_merit == pytest.approx(got.ct**1.5 / (math.sqrt(2.0) * got.cp))
    assert got.blade_loading == pytest.approx(got.ct / (4.0 * 0.0508 / (math.pi * 0.762)))
    assert got.induced_power_w + got.profile_power_w == pytest.approx(got.power_w)


def test_a_table_made_of_the_constants_gives_the_same_rotor():
    angles = [0.05 * step for step in range(241)]
    radians = [math.radians(angle) for angle in angles]
    table = SectionTable(alpha_deg=angles, cl=[5.75 * a for a in radians], cd=[0.0113 + 1.25 * a * a for a in radians])
    one, other = point(), point(section=table)
    assert other.thrust_n == pytest.approx(one.thrust_n, rel=1e-4)
    assert other.torque_nm == pytest.approx(one.torque_nm, rel=1e-4)


def test_the_collective_found_for_a_thrust_gives_that_thrust():
    found = rotor_for_thrust(RIG, thrust_n=60.0, head_speed_rpm=960.0, section=TEXTBOOK)
    # The search stops within a millionth of the thrust.
    assert found.thrust_n == pytest.approx(60.0, rel=2e-6)
    assert point(collective_deg=found.collective_deg).thrust_n == pytest.approx(60.0, rel=2e-6)


def test_a_thrust_beyond_stall_is_refused_with_the_most_there_is():
    with pytest.raises(SolveError, match="stall"):
        rotor_for_thrust(RIG, thrust_n=900.0, head_speed_rpm=960.0, section=TEXTBOOK)


def test_thrust_and_torque_go_with_density():
    thin = point(air=AirProperties(density_kg_m3=1.0))
    assert thin.thrust_n == pytest.approx(point().thrust_n / 1.225, rel=1e-9)
    assert thin.ct == pytest.approx(point().ct, rel=1e-9)


def test_climbing_at_one_collective_thrusts_less():
    assert point(climb_m_s=2.0).thrust_n < point().thrust_n < point(climb_m_s=-1.0).thrust_n


def test_without_a_section_the_bundled_one_is_taken():
    got = point(section=None)
    assert got.thrust_n == pytest.approx(point().thrust_n, rel=0.15)


@pytest.mark.parametrize(
    ("changed", "place"),
    [
        ({"head_speed_rpm": 0.0}, "head_speed_rpm"),
        ({"head_speed_rpm": math.nan}, "head_speed_rpm"),
        ({"collective_deg": math.inf}, "collective_deg"),
        ({"air": AirProperties(density_kg_m3=-1.0)}, "density_kg_m3"),
        ({"section": SectionConstants(lift_slope_per_rad=0.0, zero_lift_drag=0.01)}, "section"),
        ({"section": SectionTable(alpha_deg=[0, 5], cl=[0, 0.5], cd=[0.01, 0.02])}, "section"),
    ],
)
def test_what_cannot_be_is_refused_by_name(changed, place):
    with pytest.raises(InputError, match=place):
        point(**changed)


@pytest.mark.parametrize(
    ("changed", "place"),
    [({"blades": 0}, "blades"), ({"radius_m": 0.0}, "radius_m"), ({"root_cutout_m": 0.8}, "root_cutout_m")],
)
def test_a_rotor_that_cannot_be_is_refused_by_name(changed, place):
    shape = {"blades": 2, "radius_m": 0.7, "chord_m": 0.05} | changed
    with pytest.raises(InputError, match=place):
        rotor_point(RotorGeometry(**shape), collective_deg=5.0, head_speed_rpm=1900.0)
