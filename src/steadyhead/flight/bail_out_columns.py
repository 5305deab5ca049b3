"""Columns of a bail-out: what goes into one flight, what it tells, and the rows of its record."""

from steadyhead.physics.run_state import QUICK

CASE = (
    "mass_kg", "drag_area_m2", "head_kg_m2", "density_kg_m3", "lift_scale", "drag_scale", "kv_rad_s_v",
    "resistance_ohm", "no_load_a", "controller_ohm", "pack_ohm", "slow_ohm", "charge", "efficiency", "drag_scale_gears",
    "sink_m_s", "head_rad_s", "forward_m_s", "collective_rad", "tilt_rad", "motor_rad_s", "air_up_m_s",
    "reaction_s", "recognition_s", "quick_spool_s", "arrest_m_s2", "wait_rad", "level_rad", "servo_lag_s",
    "start_percent", "target_percent", "rate_percent_s", "idled_s",
)  # fmt: skip
"""Columns of a case: the machine as drawn, how it descends, and what pilot and channel do."""
(
    MASS, DRAG_AREA, HEAD_INERTIA, DENSITY, LIFT, DRAG, KV, WINDING, NO_LOAD, CONTROLLER, PACK_OHM, SLOW_OHM, CHARGE,
    EFFICIENCY, GEAR_DRAG, SINK, HEAD, FORWARD, COLLECTIVE, TILT, MOTOR, AIR_UP, REACTION, RECOGNITION, SPOOL, ARREST,
    WAIT, LEVEL, SERVO, FROM, TARGET, RATE, IDLED,
) = range(33)  # fmt: skip

TOLD = (
    "code", "height_lost_m", "time_s", "caught_s", "head_low_rad_s", "head_high_rad_s", "load_factor", "full_duty_s",
    "motor_current_a", "pack_current_a", "pack_voltage_v", "duty", "winding_k", "bearing_nm", "bearing_peak_nm",
    "pinion_nm", "pinion_rad_s", "energy_j", "run_taken",
)  # fmt: skip
"""What a bail-out tells: how it ended, the height it took, and the worst of every load on the way."""
(
    CODE, LOST, TIME, CAUGHT, HEAD_LOW, HEAD_HIGH, LOAD, FULL, MOTOR_A, PACK_A, PACK_V, DUTY, WINDING_K, BEARING_NM,
    BEARING_PEAK, PINION, PINION_SPEED, ENERGY, RUN_TAKEN,
) = range(19)  # fmt: skip
QUICK_RUN = QUICK
LEVEL_REACHED, NOT_LEVEL, HEAD_TOO_SLOW, NOT_A_NUMBER = 0, 1, 2, 3
ENDS = {
    LEVEL_REACHED: "level flight was reached",
    NOT_LEVEL: "level flight was not reached in the time looked at",
    HEAD_TOO_SLOW: "the head fell below half of its set speed",
    NOT_A_NUMBER: "the numbers ran away",
}
ROWS = ("time_s", "height_m", "climb_m_s", "head_rad_s", "motor_rad_s", "asked_rad", "pack_current_a", "run")
START_M = 1000.0
"""Height at the decision: far above a ground that plays no part."""
TICK_S = 0.02
"""Time between two looks of the pilot."""
