"""A plain twin of the flight: the continuous equations in numpy, integrated by scipy's LSODA. Imports nothing of ours.

State: head speed rad/s, climb m/s, height m, charge, slow voltage V, winding K, case K, controller K, then the inflow
of each ring. Numbers come in one plain dict; the motor is taken as carrying (one-way bearing locked).
"""

import math

import numpy as np
from scipy.integrate import solve_ivp

GRAVITY = 9.80665
APPARENT = 8.0 / (3.0 * math.pi)


def fejer(points):
    angle = (np.arange(points) + 0.5) * math.pi / points
    order = np.arange(1, points // 2 + 1)
    weight = (1.0 - 2.0 * (np.cos(2.0 * np.outer(angle, order)) / (4.0 * order**2 - 1.0)).sum(axis=1)) / points
    return 0.5 * (1.0 - np.cos(angle)), weight


def section(p, alpha, reynolds, mach):
    """Lift and drag of every ring from the polar tables, two Reynolds rows blended."""
    polar = p["polar"]
    last_row = polar.shape[1] - 1
    place = (np.log(np.maximum(reynolds, 1.0)) - p["log_re_low"]) / p["log_re_step"]
    place = np.clip(place, 0.0, last_row)
    row = place.astype(int)
    above, weight = np.minimum(row + 1, last_row), place - row
    m = np.minimum(mach, 0.7) * p["compressible"]
    gain = 1.0 / np.sqrt(1.0 - m * m) - 1.0
    size = np.abs(alpha)
    grown = np.where(size <= 0.35, size, np.where(size < 0.7, 0.7 - size, 0.0))
    lifted = alpha + np.sign(alpha) * gain * grown

    def value(which, angle):
        spot = (angle + math.pi) * (polar.shape[2] - 1) / (2.0 * math.pi)
        left = np.clip(spot.astype(int), 0, polar.shape[2] - 2)
        part = spot - left
        low = polar[which, row, left] + part * (polar[which, row, left + 1] - polar[which, row, left])
        high = polar[which, above, left] + part * (polar[which, above, left + 1] - polar[which, above, left])
        return low + weight * (high - low)

    return p["lift_factor"] * value(0, lifted), p["drag_factor"] * value(1, alpha)


def rotor(p, speed, pitch, climb, inflow):
    """Thrust, torque and the rates of the rings' inflow."""
    place, share = p["rule"]
    span = p["radius"] - p["root"]
    r, width = p["root"] + span * place, span * share
    theta = pitch + p["twist"] * (r / p["radius"] - 0.75)
    along, through = speed * r, climb + inflow
    w = np.hypot(along, through)
    cl, cd = section(p, theta - np.arctan2(through, along), w * p["chord"] / p["viscosity"], w / p["sound"])
    per = 0.5 * p["density"] * p["blades"] * p["chord"] * width
    ring_thrust = w * (cl * along - cd * through)
    thrust = float(np.sum(per * ring_thrust))
    torque = float(np.sum(per * r * w * (cl * through + cd * along)))
    sine = np.maximum(np.abs(through) / w, 1e-9)
    half = 0.5 * p["blades"]
    loss = np.ones_like(r)
    for edge in (half * (p["radius"] - r) / r, half * (r - p["root"]) / p["root"]):
        loss = loss * np.where(edge < 30.0 * sine, 2.0 / math.pi * np.arccos(np.exp(-edge / sine)), 1.0)
    size, total = np.abs(inflow), np.abs(inflow) + abs(climb)
    momentum = size * total
    falling = climb * inflow < 0.0
    if np.any(falling):
        spot = size / np.maximum(total, 1e-30) * (len(p["descent"]) - 1)
        left = np.minimum(spot.astype(int), len(p["descent"]) - 2)
        factor = p["descent"][left] + (spot - left) * (p["descent"][left + 1] - p["descent"][left])
        momentum = np.where(falling, momentum * factor, momentum)
    solidity = p["blades"] * p["chord"] / (2.0 * math.pi * r)
    balance = 0.25 * solidity * ring_thrust - loss * np.sign(inflow) * momentum
    return thrust, torque, 2.0 * balance / (APPARENT * p["radius"])


def tail_torque(p, speed, held):
    table = p["tail_table"]
    spot = min(abs(held) / max(speed * speed * p["tail_end"], 1e-12), 1.0) * (table.shape[1] - 1)
    slow, full = (np.interp(spot, np.arange(table.shape[1]), row) for row in table)
    fast = min(max(2.0 * speed / p["tail_full"] - 1.0, 0.0), 1.5)
    return speed * speed * (slow + fast * (full - slow))


def drive(p, duty, motor_speed, charge, slow_v, winding):
    """Motor torque, pack current, and the heat of winding, case and controller."""
    s = min(max(charge, 0.0), 1.0)
    cell = -1.031 * math.exp(-35.0 * s) + 3.685 + 0.2156 * s - 0.1178 * s * s + 0.3201 * s**3
    cell += 0.0971 * s**8 - 0.12 * math.exp(-8.0 * s)
    warm = math.exp(25000.0 / 8.314462618 * (1.0 / p["pack_k"] - 1.0 / 298.15))
    ohm = p["pack_ohm"] * (1.0 + 0.1562 / 0.07446 * math.exp(-24.37 * max(charge, 0.0))) * warm
    volts = p["cells"] * cell - slow_v
    resistance = p["motor_ohm"] * (1.0 + 0.00393 * (winding - 293.15)) + p["controller_ohm"]
    back = motor_speed / p["kv"] + (1.0 - duty) * p["freewheel_v"]
    chop = p["switch_hz"] * p["switch_s"] * min(max(1.0 - duty, 0.0) / 0.05, 1.0)

    def idle(speed):
        return p["no_load_a"] * ((1.0 - p["share"]) + p["share"] * speed / p["no_load_speed"])

    def ripple(v):
        return 2.5 * p["ripple"] * idle(p["kv"] * v) * max(duty * (1.0 - duty), 0.0)

    # v = volts - ohm (duty i + chop i + ripple(v)) and duty v - back - i R = 0: two lines that meet.
    per_volt = ripple(1.0) - ripple(0.0)
    matrix = np.array([[1.0 + ohm * per_volt, ohm * (duty + chop)], [duty, -resistance]])
    v, i = np.linalg.solve(matrix, np.array([volts - ohm * ripple(0.0), back]))
    if i < 0.0:
        i, v = 0.0, (volts - ohm * ripple(0.0)) / (1.0 + ohm * per_volt)
    drawn = duty * i + chop * i + ripple(v)
    copper = i * i * (resistance - p["controller_ohm"])
    case = idle(motor_speed) * motor_speed / p["kv"] + v * ripple(v)
    own = p["controller_ohm"] * i * i + v * chop * i + p["freewheel_v"] * i * max(1.0 - duty, 0.0)
    slow_ohm = p["slow_ohm"] * (1.0 + 0.3208 / 0.04669 * math.exp(-29.14 * max(charge, 0.0))) * warm
    return (i - idle(motor_speed)) / p["kv"], drawn, copper, case, own, slow_ohm


def rates(p, y, duty, collective):
    """Time derivative of the whole state."""
    speed, climb, _, charge, slow_v, winding, case, controller = y[:8]
    thrust, torque, inflow_rates = rotor(p, speed, collective, climb, y[8:])
    motor, drawn, copper, case_w, own_w, slow_ohm = drive(p, duty, p["ratio"] * speed, charge, slow_v, winding)
    inertia = p["head_j"] + p["efficiency"] * p["ratio"] ** 2 * p["motor_j"]
    tail, turn = tail_torque(p, speed, torque), 0.0
    for _ in range(6):
        turn = (p["efficiency"] * p["ratio"] * motor - p["drag_nm"] - torque - tail) / inertia
        tail = tail_torque(p, speed, max(torque + p["head_j"] * turn, 0.0))
    drag = 0.5 * p["density"] * abs(climb) * climb * p["drag_area"]
    to_case, to_air = (winding - case) / p["rw"], (case - p["air_k"]) / p["rc"]
    head = [
        turn,
        (thrust - drag) / p["mass"] - GRAVITY,
        climb,
        -drawn / p["capacity"],
        (drawn * slow_ohm - slow_v) / p["slow_s"],
        (copper - to_case) / p["cw"],
        (case_w + to_case - to_air) / p["cc"],
        (own_w - (controller - p["air_k"]) / p["rk"]) / p["ck"],
    ]
    return np.concatenate([head, inflow_rates])


def flown(p, start, duty, collective, end_s, rows, rtol=1e-8, method="LSODA"):
    """States at evenly spaced times; duty and collective are functions of time."""
    times = np.linspace(0.0, end_s, rows)
    solved = solve_ivp(
        lambda t, y: rates(p, y, duty(t), collective(t)), (0.0, end_s), start, method=method, t_eval=times, rtol=rtol,
        atol=1e-10, max_step=0.05,
    )  # fmt: skip
    assert solved.success, solved.message
    return times, solved.y.T


def governed(p, gains, start, collective, end_s, rows, rtol=1e-9, method="LSODA", function=None):
    """The same under a continuous PI governor: its integral is one more state, at the end."""
    gain, gain_per_s, feed, set_rad_s = gains
    times = np.linspace(0.0, end_s, rows)

    def right(t, y):
        c = collective(t)
        error = 1.0 - y[0] / set_rad_s
        duty = min(max(gain * error + y[-1] + feed * abs(c), 0.0), 1.0)
        out = (function or rates)(p, y[:-1], duty, c)
        return np.append(out, gain_per_s * error)

    solved = solve_ivp(
        right, (0.0, end_s), start, method=method, t_eval=times, rtol=rtol, atol=rtol, max_step=0.05
    )  # fmt: skip
    assert solved.success, solved.message
    return times, solved.y.T, solved.nfev
