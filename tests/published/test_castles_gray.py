"""NACA TN-2474 (Castles and Gray 1951): hover of two three-bladed rotors, and their vertical descent.

Second check of the rotor; section constants as its authors used them, drag rise as in TN-626 (not fitted here).
Its own repeats scatter by 8 % in thrust, so the bands are wide.
"""

import math

import pytest

from steadyhead.physics.section import model_section
from tests.agrees import agrees
from tests.published.rotor_rigs import Rig, castles_rig, castles_section, rows

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


def descent_without_torque(rig: Rig, row: dict[str, str]) -> float:
    section = castles_section(row["rotor"], row["rotor_speed_rpm"])
    ct = float(row["CT"])
    low, high = 1.5, 3.2
    for _ in range(25):
        middle = 0.5 * (low + high)
        _, loads = rig.at_thrust(section, ct, -middle * rig.hover_inflow_m_s(ct))
        low, high = (middle, high) if loads.power_w > 0.0 else (low, middle)
    return low


@pytest.mark.parametrize("row", AUTOROTATION, ids=point)
def test_a_rotor_turns_by_itself_at_the_tunnel_rate_of_descent(row):
    found = descent_without_torque(castles_rig(row["rotor"], row["rotor_speed_rpm"]), row)
    published = float(row["B_V_over_vh_zero_shaft_torque"])
    assert agrees(found, published, percent=10.0, because="runs scatter 0.08, drag doubt moves it 0.04 to 0.1")
