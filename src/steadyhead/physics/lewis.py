"""Bending at the root of a spur gear's tooth, after Lewis: one tooth carries the load at its tip."""

import math
from typing import NamedTuple

import numpy as np

from steadyhead.physics.kernel import kernel

FORM_TEETH = np.array(
    [12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0, 21.0, 22.0, 24.0, 26.0, 28.0, 30.0, 34.0, 38.0, 43.0, 50.0,
     60.0, 75.0, 100.0, 150.0, 300.0, 400.0, math.inf]
)  # fmt: skip
FORM_FACTOR = np.array(
    [0.245, 0.261, 0.277, 0.290, 0.296, 0.303, 0.309, 0.314, 0.322, 0.328, 0.331, 0.337, 0.346, 0.353, 0.359, 0.371,
     0.384, 0.397, 0.409, 0.422, 0.435, 0.447, 0.460, 0.472, 0.480, 0.485]
)  # fmt: skip
"""Form factor Y of 20 degree full-depth teeth, the last a rack.

Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, table 14-2 (from memory; a stored plastic-gear
table agrees within 0.002).
"""
BARTH_M_S = 6.1
"""Speed of Barth's velocity factor for cut or milled teeth. Source: Shigley, section 14-1 (from memory)."""


class Mesh(NamedTuple):
    """Pinion and the gear it drives. SI; module and width are no number where nobody stated them."""

    pinion_teeth: float
    gear_teeth: float
    module_m: float
    face_m: float


@kernel
def form_factor(teeth_count: float) -> float:
    """Lewis form factor Y, no unit; no number below 12 teeth, where the table ends.

    Between the rows of the table a straight line over 1 / teeth.
    Valid: 20 degree full-depth spur teeth, load at the tip; stub or corrected teeth are stronger.
    Source: FORM_FACTOR.
    """
    if not teeth_count >= FORM_TEETH[0]:
        return math.nan
    for row in range(1, FORM_TEETH.shape[0]):
        if teeth_count <= FORM_TEETH[row]:
            low, high = 1.0 / FORM_TEETH[row - 1], 1.0 / FORM_TEETH[row]
            share = (low - 1.0 / teeth_count) / (low - high)
            return float(FORM_FACTOR[row - 1] + share * (FORM_FACTOR[row] - FORM_FACTOR[row - 1]))
    return float(FORM_FACTOR[-1])


@kernel
def tooth_force(torque_nm: float, module_m: float, teeth_count: float) -> float:
    """Force along the pitch circle, N.

    W = 2 Q / (m z)
    Valid: one tooth carries all.
    Source: definition of the pitch circle.
    """
    return 2.0 * torque_nm / (module_m * teeth_count)


@kernel
def pitch_speed(speed_rad_s: float, module_m: float, teeth_count: float) -> float:
    """Speed of the pitch circle, m/s.

    v = w m z / 2
    Valid: any speed.
    Source: definition of the pitch circle.
    """
    return 0.5 * speed_rad_s * module_m * teeth_count


@kernel
def velocity_factor(pitch_speed_m_s: float) -> float:
    """How much uneven running adds to the load of a tooth, no unit.

    K = (6.1 + v) / 6.1
    Valid: cut or milled teeth of ordinary quality, v >= 0; ground or moulded teeth run smoother, so it reads high.
    Source: Barth, as in Shigley, section 14-1 (from memory; the inch form was read).
    """
    return (BARTH_M_S + pitch_speed_m_s) / BARTH_M_S


@kernel
def tooth_stress(force_n: float, face_m: float, module_m: float, form_factor: float, velocity_factor: float) -> float:
    """Bending stress at the root of a tooth, Pa.

    sigma = K W / (b m Y)
    Valid: spur gears, one tooth carries the load at its tip; stress concentration at the fillet left out.
    Source: W. Lewis 1892, as in Shigley, section 14-1 (from memory).
    """
    return velocity_factor * force_n / (face_m * module_m * form_factor)


@kernel
def mesh_stresses(mesh: Mesh, pinion_torque_nm: float, pinion_rad_s: float) -> tuple[float, float]:
    """Bending stress at a tooth of the pinion and of the gear it drives, Pa; no number where the mesh is not known.

    Valid: as `tooth_stress`; torque below zero counts as zero.
    Source: `tooth_stress`, `velocity_factor`.
    """
    force = tooth_force(pinion_torque_nm if not pinion_torque_nm < 0.0 else 0.0, mesh.module_m, mesh.pinion_teeth)
    factor = velocity_factor(pitch_speed(pinion_rad_s, mesh.module_m, mesh.pinion_teeth))
    pinion = tooth_stress(force, mesh.face_m, mesh.module_m, form_factor(mesh.pinion_teeth), factor)
    return pinion, tooth_stress(force, mesh.face_m, mesh.module_m, form_factor(mesh.gear_teeth), factor)
