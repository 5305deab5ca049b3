"""NACA TN-2474 (Castles and Gray 1951): hover of two three-bladed rotors, and their vertical descent.

Second check of the rotor; section constants as its authors used them, drag rise as in TN-626 (not fitted here).
Its own repeats scatter by 8 % in thrust, so the bands are wide.
"""

import math

import pytest

from steadyhead.physics.glide import glide_found, hover_inflow
from steadyhead.physics.section import model_section
from tests.agrees import agrees
from tests.published.rotor_rigs import bare_glider, castles_rig, castles_section, rows

WORKING = [row for row in rows("castles_gray_1951_hover.csv") if float(row["CT_over_sigma"]) >= 0.05]
# The last point of a run is past the rotor's stall; we stall later and read 16 % high.
PAST_STALL = {("6ft", "15", "11.99")}
DESCENT = [
    row
    for row in rows("castles_gray_1951_descent.csv")
    if float(row["lambda_z_V_over_vh"]) > 0.0 and row["lambda_i_thrust"]
]
AUTOROTATION = [
    row for row in rows("castles_gray_1951_autorotation_derived.csv") if row["B_V_over_vh_zero_shaft_torque"]
]


def point(row: dict[str, str]) -> str:
    return " ".join(list(row.values())[:4])


def is_past_stall(row: dict[str, str]) -> bool:
    return (row["rotor"], row["run"], row["blade_angle_075R_deg"]) in PAST_STALL


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(row, marks=pytest.mark.xfail(reason="a miss: past the rotor's stall we read 16 % high"))
        if is_past_stall(row)
        else row
        for row in WORKING
    ],
    ids=point,
)
def test_hover_thrust_at_a_blade_angle(row):
    rig = castles_rig(row["rotor"], row["rotor_speed_rpm"])
    section = castles_section(row["rotor"], row["rotor_speed_rpm"])
    loads = rig.at_pitch(section, float(row["blade_angle_075R_deg"]))
    assert agrees(rig.ct(loads), float(row["CT"]), percent=12.0, because="runs repeat to 8 %, blade zero to 0.5 deg")


@pytest.mark.parametrize("row", [row for row in WORKING if row["delta_CQ"]], ids=point)
def test_hover_power_at_a_thrust(row):
    rig = castles_rig(row["rotor"], row["rotor_speed_rpm"])
    section = castles_section(row["rotor"], row["rotor_speed_rpm"])
    zero = rig.cq(rig.at_pitch(section, 0.0))
    _, loads = rig.at_thrust(section, float(row["CT"]))
    published = float(row["delta_CQ"]) + zero
    assert agrees(rig.cq(loads), published, percent=25.0, because="repeats run from 0.000226 to 0.000292 at one thrust")


@pytest.mark.parametrize("row", [row for row in WORKING if row["delta_CQ"]], ids=point)
def test_hover_power_at_a_thrust_with_the_bundled_section(row):
    rig = castles_rig(row["rotor"], row["rotor_speed_rpm"])
    zero = rig.cq(rig.at_pitch(model_section(), 0.0))
    _, loads = rig.at_thrust(model_section(), float(row["CT"]))
    published = float(row["delta_CQ"]) + zero
    assert agrees(rig.cq(loads), published, percent=25.0, because="repeats run from 0.000226 to 0.000292 at one thrust")


@pytest.mark.parametrize(
    ("low", "high", "band"),
    [(0.0, 1.3, 0.2), (1.3, 1.75, 0.5), (1.75, 3.0, 0.2)],
    ids=["slow", "vortex ring", "windmill"],
)
def test_mean_inflow_in_descent_lies_in_the_tunnel_scatter(low, high, band):
    errors = []
    for row in DESCENT:
        ratio, ct = float(row["lambda_z_V_over_vh"]), float(row["CT"])
        if low <= ratio < high:
            rig = castles_rig(row["rotor"], row["rotor_speed_rpm"])
            unit = rig.hover_inflow_m_s(ct)
            _, loads = rig.at_thrust(castles_section(row["rotor"], row["rotor_speed_rpm"]), ct, -ratio * unit)
            errors.append(loads.inflow_m_s / unit - float(row["lambda_i_thrust"]))
    rms = math.sqrt(sum(error * error for error in errors) / len(errors))
    assert len(errors) > 50
    assert rms <= band
    assert abs(sum(errors) / len(errors)) <= 0.5 * band


# Run 32 autorotates at 2.15 vh; runs 9 and 34 of the same rotor and thrust, at another speed, at 2.31 and 2.34.
EARLY = {"32"}


def glider_of(row: dict[str, str]):
    rig = castles_rig(row["rotor"], row["rotor_speed_rpm"])
    section = castles_section(row["rotor"], row["rotor_speed_rpm"])
    return rig, bare_glider(rig.rotor, section, float(row["CT"]) * rig.thrust_unit_n)


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(row, marks=pytest.mark.xfail(reason="a miss: 0.20 vh faster than this one run"))
        if row["run"] in EARLY
        else row
        for row in AUTOROTATION
    ],
    ids=point,
)
def test_a_rotor_turns_by_itself_at_the_tunnel_rate_of_descent(row):
    rig, glider = glider_of(row)
    found = glide_found(glider, rig.speed_rad_s, 0.0).sink_m_s / hover_inflow(glider)
    published = float(row["B_V_over_vh_zero_shaft_torque"])
    # 0.15 vh of 2.05 to 2.47 vh.
    assert agrees(found, published, percent=6.0, because="runs scatter 0.08 vh, drag doubt moves it 0.04 to 0.1 vh")


@pytest.mark.parametrize("row", rows("castles_gray_1951_autorotation_derived.csv"), ids=point)
def test_ideal_autorotation_lies_where_the_tunnel_has_it(row):
    rig, glider = glider_of(row)
    blades = rig.at_pitch(glider.section, 0.0).torque_nm
    ideal = glider._replace(head_drag_nm=-blades)
    found = glide_found(ideal, rig.speed_rad_s, 0.0).sink_m_s / hover_inflow(glider)
    published = float(row["A_V_over_vh_ideal"])
    assert agrees(found, published, percent=7.5, because="runs scatter 0.06 vh, the band is 0.15 vh of 1.78 to 2.02")


@pytest.mark.parametrize(("low", "high", "band", "least"), [(0.0, 1.3, 0.2, 0.85), (1.3, 1.75, 0.5, 0.85),
                                                            (1.75, 3.0, 0.2, 0.75)])  # fmt: skip
def test_single_points_of_the_descent_lie_in_the_band(low, high, band, least):
    inside = []
    for row in DESCENT:
        ratio, ct = float(row["lambda_z_V_over_vh"]), float(row["CT"])
        if low <= ratio < high:
            rig = castles_rig(row["rotor"], row["rotor_speed_rpm"])
            unit = rig.hover_inflow_m_s(ct)
            _, loads = rig.at_thrust(castles_section(row["rotor"], row["rotor_speed_rpm"]), ct, -ratio * unit)
            inside.append(abs(loads.inflow_m_s / unit - float(row["lambda_i_thrust"])) <= band)
    assert sum(inside) >= least * len(inside)
