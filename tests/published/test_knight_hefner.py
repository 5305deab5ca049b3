"""NACA TN-626 (Knight and Hefner 1937), tables I-IV: hover of untwisted model rotors, two to five blades, Re 242,000.

Primary check of the rotor. Read from a stored copy; the tables' twofold coefficients are halved in our copy. The bands
were argued from the same points (an ordinary blade-element model's error plus a margin), so passing shows that the
model behaves like a careful one of its kind, not that it was validated blind.
"""

import pytest

from steadyhead.physics.section import model_section
from tests.agrees import agrees
from tests.published.rotor_rigs import (
    ROTOR_DRAG_RISE,
    TUNNEL_DRAG_RISE,
    knight_rig,
    knight_section,
    rows,
)

HOVER = [row for row in rows("knight_hefner_1937_hover.csv") if float(row["CT"]) > 0.0]
WORKING = [row for row in HOVER if float(row["CT_over_sigma"]) >= 0.05]
LIGHT = [row for row in HOVER if 0.03 <= float(row["CT_over_sigma"]) < 0.05]
IDLE = [row for row in HOVER if float(row["CT_over_sigma"]) < 0.03]
# Rows whose thrust we miss by more than 25 %: half a degree of blade zero does it, and the pitch check still holds.
MISSED_THRUST = {("4", "1"), ("4", "2")}


def point(row: dict[str, str]) -> str:
    return f"{row['blades']} blades {row['collective_deg']} deg"


@pytest.mark.parametrize("row", WORKING, ids=point)
def test_thrust_at_a_pitch_in_the_working_range(row):
    rig = knight_rig(row["blades"])
    loads = rig.at_pitch(knight_section(ROTOR_DRAG_RISE), float(row["collective_deg"]))
    assert agrees(
        rig.ct(loads), float(row["CT"]), percent=8.0, because="blade angle was set to 0.05 deg, model rms 3 %"
    )


@pytest.mark.parametrize("row", LIGHT, ids=point)
def test_thrust_at_a_pitch_lightly_loaded(row):
    rig = knight_rig(row["blades"])
    loads = rig.at_pitch(knight_section(ROTOR_DRAG_RISE), float(row["collective_deg"]))
    assert agrees(rig.ct(loads), float(row["CT"]), percent=15.0, because="an angle error weighs more at small thrust")


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(row, marks=pytest.mark.xfail(reason="a miss: 47 and 28 % too much thrust at 1 and 2 degrees"))
        if (row["blades"], row["collective_deg"]) in MISSED_THRUST
        else row
        for row in IDLE
    ],
    ids=point,
)
def test_thrust_at_a_pitch_near_idle(row):
    rig = knight_rig(row["blades"])
    loads = rig.at_pitch(knight_section(ROTOR_DRAG_RISE), float(row["collective_deg"]))
    assert agrees(
        rig.ct(loads), float(row["CT"]), percent=25.0, because="blade zero is uncertain by tenths of a degree"
    )


@pytest.mark.parametrize("row", HOVER, ids=point)
def test_pitch_at_a_thrust_is_right_to_half_a_degree(row):
    collective, _ = knight_rig(row["blades"]).at_thrust(knight_section(ROTOR_DRAG_RISE), float(row["CT"]))
    assert abs(collective - float(row["collective_deg"])) <= 0.5


@pytest.mark.parametrize("row", WORKING, ids=point)
def test_power_at_a_thrust_with_the_drag_rise_fitted_to_these_torques(row):
    rig = knight_rig(row["blades"])
    _, loads = rig.at_thrust(knight_section(ROTOR_DRAG_RISE), float(row["CT"]))
    assert agrees(rig.cq(loads), float(row["CQ"]), percent=7.0, because="in-sample: the report fitted 1.25 to these")


@pytest.mark.parametrize("row", WORKING, ids=point)
def test_power_at_a_thrust_with_the_wind_tunnel_drag_rise(row):
    rig = knight_rig(row["blades"])
    _, loads = rig.at_thrust(knight_section(TUNNEL_DRAG_RISE), float(row["CT"]))
    assert agrees(rig.cq(loads), float(row["CQ"]), percent=10.0, because="independent polar: known to read 6 % low")


@pytest.mark.parametrize("row", WORKING, ids=point)
def test_power_at_a_thrust_with_the_bundled_section(row):
    rig = knight_rig(row["blades"])
    _, loads = rig.at_thrust(model_section(), float(row["CT"]))
    assert agrees(rig.cq(loads), float(row["CQ"]), percent=10.0, because="independent polar: known to read 6 % low")


@pytest.mark.parametrize("row", WORKING, ids=point)
def test_thrust_at_a_pitch_with_the_bundled_section(row):
    rig = knight_rig(row["blades"])
    loads = rig.at_pitch(model_section(), float(row["collective_deg"]))
    assert agrees(rig.ct(loads), float(row["CT"]), percent=8.0, because="same band as with the report's constants")


@pytest.mark.parametrize("blades", ["2", "3", "4"])
def test_torque_at_zero_thrust(blades):
    row = next(r for r in rows("knight_hefner_1937_hover.csv") if r["blades"] == blades and float(r["CT"]) == 0.0)
    rig = knight_rig(blades)
    loads = rig.at_pitch(knight_section(ROTOR_DRAG_RISE), 0.0)
    assert agrees(rig.cq(loads), float(row["CQ"]), percent=25.0, because="the rig scatters -22 to +10 % about drag")


@pytest.mark.xfail(reason="a miss: the five-bladed rig reads 22 % under its own section drag, we read 26 % over it")
def test_torque_at_zero_thrust_of_five_blades():
    row = next(r for r in rows("knight_hefner_1937_hover.csv") if r["blades"] == "5" and float(r["CT"]) == 0.0)
    rig = knight_rig("5")
    loads = rig.at_pitch(knight_section(ROTOR_DRAG_RISE), 0.0)
    assert agrees(rig.cq(loads), float(row["CQ"]), percent=25.0, because="the rig scatters -22 to +10 % about drag")
