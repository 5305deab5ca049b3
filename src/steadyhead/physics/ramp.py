"""A spool-up along a straight ramp of speed: what it asks of pack, motor, teeth and one-way bearing."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.conditions import Drive
from steadyhead.physics.drive import drive_at
from steadyhead.physics.gears import Gears, motor_torque
from steadyhead.physics.heat import Warmth
from steadyhead.physics.held import HOTTEST_K
from steadyhead.physics.kernel import kernel
from steadyhead.physics.lewis import Mesh, mesh_stresses
from steadyhead.physics.one_way_bearing import catch_up_torque, speed_gap_after_play
from steadyhead.physics.pack import pack_source
from steadyhead.physics.warmth import warmed

PARTS = 60
COLUMNS = (
    "code", "motor_current_a", "pack_current_a", "pack_voltage_v", "duty", "winding_k", "pinion_stress_pa",
    "gear_stress_pa", "bearing_nm", "bearing_peak_nm", "pinion_nm", "pinion_peak_pa", "gear_peak_pa",
)  # fmt: skip
"""What one row of `ramp_peaks` holds: the worst of a whole ramp; code above 1: full duty cannot follow it."""


class RampLoad(NamedTuple):
    """What a ramp has to move. SI; torques at `speed_rad_s` of the head, falling with speed squared.

    `head_kg_m2` turns with the head, `motor_kg_m2` at motor speed; `one_way_play_rad` and `stiffness_nm_rad` are no
    number where nobody knows them. `catches_up` 1: the train has to catch a head that turns; 0: both start at rest.
    """

    speed_rad_s: float
    from_rad_s: float
    rotor_nm: float
    tail_nm: float
    head_kg_m2: float
    motor_kg_m2: float
    head_drag_nm: float
    tail_on_head: float
    one_way_play_rad: float
    stiffness_nm_rad: float
    catches_up: float


class RampPack(NamedTuple):
    """The pack and the warmth that a ramp begins with. SI; charge 0 to 1."""

    charge: float
    pack_k: float
    air_k: float
    start: Warmth


@kernel
def ramp_torque(load: RampLoad, head_rad_s: float, rate_rad_s2: float) -> tuple[float, float]:
    """Torque through the one-way bearing, and all that the gears have to bring to the main shaft, N m.

    q = J_h a + (q_rotor + q_tail) (w / w0)^2 + q_drag; the tail through the bearing only where it hangs on the head
    Valid: collective held; inflow follows at once (the ramp is slow against its 10 to 40 ms).
    Source: Newton's law for rotation; rotor torque goes with speed squared.
    """
    square = (head_rad_s / load.speed_rad_s) * (head_rad_s / load.speed_rad_s)
    carried = load.head_kg_m2 * rate_rad_s2 + load.head_drag_nm
    carried += square * (load.rotor_nm + load.tail_nm * load.tail_on_head)
    return carried, carried + square * load.tail_nm * (1.0 - load.tail_on_head)


@kernel
def bearing_peak(load: RampLoad, gears: Gears, carried_nm: float, rate_rad_s2: float) -> float:
    """Peak torque as the train catches the head at the ramp's end, N m; no number without play and stiffness.

    From rest nothing is caught: the torque carried is the peak. Else the head slows by its own load while it is not
    driven, and the train gains by the ramp.
    Valid: as `one_way_bearing.catch_up_torque`; undamped, so it reads high.
    Source: `one_way_bearing.catch_up_torque`, `one_way_bearing.speed_gap_after_play`.
    """
    if load.catches_up == 0.0:
        return carried_nm
    slowing = (carried_nm - load.head_kg_m2 * rate_rad_s2) / load.head_kg_m2
    if math.isnan(load.one_way_play_rad) or math.isnan(load.stiffness_nm_rad):
        return math.nan
    gap = speed_gap_after_play(rate_rad_s2 + slowing, load.one_way_play_rad)
    train = gears.efficiency * gears.ratio * gears.ratio * load.motor_kg_m2
    return catch_up_torque(carried_nm, gap, load.head_kg_m2, train, load.stiffness_nm_rad)


@kernel
def ramp_peaks(
    drive: Drive, load: RampLoad, mesh: Mesh, pack: RampPack, ramps_s: NDArray[np.float64], out: NDArray[np.float64]
) -> None:
    """Write the worst that each ramp time asks; a ramp time is that from rest to the set speed.

    q_motor = (J_h a + q_load) / (n eta) + J_m n a, the motor's own inertia left out at the tooth
    Shapes: ramps_s (r,), out (r, 13) as COLUMNS.
    Valid: speed follows the ramp; the governor's own overshoot is not in it. Winding warmed part by part.
    Source: Newton's law for rotation; `drive.drive_at`, `warmth.warmed`, `lewis.mesh_stresses`.
    """
    gears = drive.gears
    for number in range(ramps_s.shape[0]):
        rate = load.speed_rad_s / ramps_s[number]
        part_s = (load.speed_rad_s - load.from_rad_s) / rate / PARTS
        worst = out[number]
        worst[:] = 0.0
        worst[3], worst[5] = math.inf, pack.start.winding_k
        warmth = pack.start
        for part in range(PARTS + 1):
            head = load.from_rad_s + (load.speed_rad_s - load.from_rad_s) * part / PARTS
            carried, whole = ramp_torque(load, head, rate)
            pinion = motor_torque(gears, whole)
            torque = pinion + load.motor_kg_m2 * gears.ratio * rate
            source = pack_source(drive.pack, pack.charge, pack.pack_k, part * part_s)
            speed = head * gears.ratio
            point = drive_at(drive.motor, drive.controller, source, torque, speed, min(warmth.winding_k, HOTTEST_K))
            if part > 0:
                warmth = warmed(drive.motor, drive.heats, point, pack.air_k, warmth, part_s)
            stress = mesh_stresses(mesh, pinion, speed)
            worst[0] = max(worst[0], point.code)
            worst[1] = max(worst[1], point.motor_current_a)
            worst[2] = max(worst[2], point.pack_current_a)
            worst[3] = min(worst[3], point.pack_voltage_v)
            worst[4] = max(worst[4], point.duty)
            worst[5] = max(worst[5], warmth.winding_k)
            # A maximum with no number has to stay no number.
            worst[6] = stress[0] if not stress[0] <= worst[6] else worst[6]
            worst[7] = stress[1] if not stress[1] <= worst[7] else worst[7]
            worst[8] = max(worst[8], carried)
            worst[10] = max(worst[10], pinion)
        worst[9] = bearing_peak(load, gears, worst[8], rate)
        caught_nm = worst[10] + (worst[9] - worst[8]) / (gears.ratio * gears.efficiency)
        worst[11], worst[12] = mesh_stresses(mesh, caught_nm, load.speed_rad_s * gears.ratio)
