"""A craft as one dict of plain numbers, for the twin."""

import numpy as np

from steadyhead.physics.craft import Craft, State
from steadyhead.physics.inflow import DESCENT_FACTORS
from steadyhead.physics.rotor_flow import NOW, RINGS
from tests.naive.flight_twin import fejer


def plain(craft: Craft) -> dict:
    motor, controller, pack, gears, body = craft.motor, craft.controller, craft.pack, craft.gears, craft.body
    return {
        "polar": craft.section.polar, "log_re_low": craft.section.log_reynolds_low,
        "log_re_step": craft.section.log_reynolds_step, "compressible": craft.section.compressible,
        "lift_factor": craft.section.lift_factor, "drag_factor": craft.section.drag_factor,
        "rule": fejer(RINGS), "radius": craft.rotor.radius_m, "root": craft.rotor.root_cutout_m,
        "chord": craft.rotor.chord_m, "twist": craft.rotor.twist_rad, "blades": craft.rotor.blades,
        "density": craft.air.density_kg_m3, "viscosity": craft.air.kinematic_viscosity_m2_s,
        "sound": craft.air.speed_of_sound_m_s, "descent": DESCENT_FACTORS,
        "tail_table": craft.tail.torque_nms2, "tail_end": craft.tail.held_end_nms2, "tail_full": craft.tail.full_rad_s,
        "pack_k": body.pack_k, "pack_ohm": pack.resistance_25c_ohm, "cells": pack.cells, "capacity": pack.capacity_as,
        "slow_ohm": pack.slow_resistance_25c_ohm, "slow_s": pack.slow_time_s,
        "motor_ohm": motor.resistance_20c_ohm, "kv": motor.kv_rad_s_v, "no_load_a": motor.no_load_a,
        "no_load_speed": motor.no_load_speed_rad_s, "share": motor.no_load_speed_share,
        "controller_ohm": controller.resistance_ohm, "freewheel_v": controller.freewheel_v,
        "switch_hz": controller.switching_hz, "switch_s": controller.switching_loss_s,
        "ripple": controller.ripple_factor, "ratio": gears.ratio, "efficiency": gears.efficiency,
        "drag_nm": gears.drag_torque_nm + body.head_drag_nm, "head_j": body.head_kg_m2, "motor_j": body.motor_kg_m2,
        "mass": body.mass_kg, "drag_area": body.drag_area_m2, "air_k": body.air_k,
        "cw": craft.heats.motor.winding_j_k, "rw": craft.heats.motor.winding_to_case_k_w,
        "cc": craft.heats.motor.case_j_k, "rc": craft.heats.motor.case_to_air_k_w,
        "ck": craft.heats.controller.body_j_k, "rk": craft.heats.controller.body_to_air_k_w,
    }  # fmt: skip


def plain_state(state: State, flow: np.ndarray) -> np.ndarray:
    return np.concatenate([
        [state.head_rad_s, state.climb_m_s, state.height_m, state.charge, state.slow_v, state.winding_k, state.case_k,
         state.controller_k],
        flow[NOW],
    ])  # fmt: skip
