"""One-node winding heat with copper feedback: cases computed outside this project, copper of IEC 60028.

The file prints six or seven digits; its stated tolerance is 1e-4 relative.
"""

from math import exp, isinf

import pytest

from steadyhead.physics.heat import (
    HEAT_STOP_SAYS,
    ControllerHeat,
    HeatStop,
    MotorHeat,
    copper_node_after,
    winding_after,
)
from tests.agrees import agrees
from tests.drive_rows import ZERO_C, drive_rows

ROWS = drive_rows("thermal_one_node_cases.csv")
SETTLING = [row for row in ROWS if row["final_temperature_C"] != "runaway"]
WHY = "the stated tolerance of the computed cases"


def node_of(row: dict[str, str]) -> tuple[ControllerHeat, float, float, float, float]:
    heat = ControllerHeat(float(row["cth_J_per_K"]), float(row["rth_K_per_W"]))
    air = float(row["ambient_C"]) + ZERO_C
    return heat, float(row["current_A"]), float(row["r20_ohm"]), float(row["iron_loss_W"]), air


@pytest.mark.parametrize("row", SETTLING, ids=lambda row: row["current_A"])
def test_a_node_settles_where_and_as_fast_as_published(row):
    node = copper_node_after(*node_of(row), 1e7)
    final_c, time_constant = float(row["final_temperature_C"]), float(row["time_constant_s"])
    assert node.code == HeatStop.DONE
    assert agrees(node.feedback, float(row["g"]), percent=0.01, because=WHY)
    assert agrees(node.settled_k - ZERO_C, final_c, percent=0.01, because=WHY)
    assert agrees(node.temperature_k - ZERO_C, final_c, percent=0.01, because=WHY)
    assert agrees(node.time_constant_s, time_constant, percent=0.01, because=WHY)
    one = copper_node_after(*node_of(row), time_constant)
    air_c = float(row["ambient_C"])
    risen = air_c + (final_c - air_c) * (1.0 - exp(-1.0))
    assert agrees(one.temperature_k - ZERO_C, risen, percent=0.01, because=WHY)


@pytest.mark.parametrize("row", SETTLING, ids=lambda row: row["current_A"])
def test_two_nodes_that_share_one_resistance_to_air_settle_there_too(row):
    node, current, r20, iron, air = node_of(row)
    tight = MotorHeat(0.5 * node.body_j_k, 1e-6, 0.5 * node.body_j_k, node.body_to_air_k_w)
    winding = winding_after(tight, current, r20, iron, air, 1e7)
    assert agrees(winding.winding_k - ZERO_C, float(row["final_temperature_C"]), percent=0.01, because=WHY)
    assert agrees(winding.settled_winding_k - ZERO_C, float(row["final_temperature_C"]), percent=0.01, because=WHY)


def test_the_runaway_case_says_so_and_keeps_warming():
    (row,) = [row for row in ROWS if row["final_temperature_C"] == "runaway"]
    early, late = copper_node_after(*node_of(row), 60.0), copper_node_after(*node_of(row), 600.0)
    assert agrees(early.feedback, float(row["g"]), percent=0.01, because=WHY)
    assert early.code == late.code == HeatStop.RUNAWAY
    assert isinf(early.settled_k)
    assert early.temperature_k < late.temperature_k
    assert "faster than it can cool" in HEAT_STOP_SAYS[HeatStop(early.code)]
