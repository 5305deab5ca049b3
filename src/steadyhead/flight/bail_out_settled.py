"""Puts a drawn machine into its own steady glide, or its own level flight: where its bail-out begins."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.bail_out_columns import (
    AIR_UP,
    COLLECTIVE,
    DENSITY,
    DRAG,
    DRAG_AREA,
    FORWARD,
    HEAD,
    LEVEL,
    LIFT,
    MASS,
    MOTOR,
    SINK,
    TILT,
    WAIT,
)
from steadyhead.physics.craft import Body, Craft
from steadyhead.physics.kernel import kernel
from steadyhead.physics.point_mass import level_flight, slower_glide
from steadyhead.physics.rotor_map import Grade, RotorMap
from steadyhead.physics.tail_curve import tail_torque


@kernel
def settle_case(
    craft: Craft, rotor_map: RotorMap, set_rad_s: float, miss_rad: float, case: NDArray[np.float64]
) -> None:
    """Write into a case the glide or the level flight that its machine holds; the pilot's pitch is off by `miss_rad`.

    Shapes: case (33,) as `bail_out_columns.CASE`; a sink above zero says that it glides.
    Valid: as `point_mass.slower_glide`.
    Source: `point_mass.slower_glide`, `point_mass.level_flight`.
    """
    b = craft.body
    body = Body(
        case[MASS], case[DRAG_AREA], b.head_kg_m2, b.motor_kg_m2, b.head_drag_nm, b.blades_on, b.tail_on_head, b.pack_k,
        b.air_k,
    )  # fmt: skip
    drawn = Craft(
        craft.motor, craft.controller, craft.pack, craft.gears, craft.heats, craft.rotor, craft.section, craft.air,
        craft.tail, body,
    )  # fmt: skip
    grade = Grade(case[DENSITY], case[LIFT], case[DRAG])
    taken = body.head_drag_nm + body.tail_on_head * tail_torque(craft.tail, case[HEAD], 0.0)
    found, head = slower_glide(drawn, rotor_map, grade, case[HEAD], case[FORWARD], taken)
    level = level_flight(drawn, rotor_map, grade, set_rad_s, case[FORWARD])
    case[WAIT], case[LEVEL] = found.collective_rad + miss_rad, level.collective_rad
    if case[SINK] > 0.0:
        case[SINK], case[HEAD] = found.sink_m_s - case[AIR_UP], head
        case[COLLECTIVE], case[TILT] = found.collective_rad + miss_rad, found.tilt_rad
    else:
        case[COLLECTIVE], case[TILT] = level.collective_rad, level.tilt_rad
        case[MOTOR] = head * craft.gears.ratio


@kernel
def settle_cases(
    craft: Craft, rotor_map: RotorMap, set_rad_s: float, cases: NDArray[np.float64], miss_rad: NDArray[np.float64]
) -> None:
    """Settle every row of cases.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`, miss_rad (n,).
    Valid: as `settle_case`.
    Source: `settle_case`.
    """
    for number in range(cases.shape[0]):
        settle_case(craft, rotor_map, set_rad_s, miss_rad[number], cases[number])
