"""Another invented drive for judging the judge: momentum rotor, pilot, pack with memory, governor, run logic.

It imports nothing of ours and shares no formula with the judge. Every number is invented; what a flight does and what
is wrong with it is drawn. 500 steps a second, compiled, since hundreds of flights are wanted.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numba import njit

STEP_S = 0.002
RPM = 30.0 / np.pi
OFF, SOFT, QUICK, GOVERNED = 0, 1, 2, 3
OUT = ("head", "motor", "throttle", "duty", "volt", "amp", "height", "climb", "collective", "charge", "mode", "heat")


class Numbers(NamedTuple):
    """The drive, in SI, angles in degrees where said."""

    radius_m: float = 0.68
    chord_m: float = 0.055
    mass_kg: float = 3.7
    inertia: float = 0.055
    motor_inertia: float = 0.004
    ratio: float = 9.0
    kv_rad_s_v: float = 58.0
    resistance_ohm: float = 0.016
    no_load_a: float = 2.0
    cells: float = 12.0
    capacity_as: float = 15000.0
    r0_ohm: float = 0.027
    r1_ohm: float = 0.012
    rc_s: float = 9.0
    soc: float = 0.97
    cell_offset_v: float = 0.0
    kp: float = 2.0
    ki: float = 7.0
    sense_filter_s: float = 0.015
    delay_steps: int = 5
    windup: float = 0.0
    duty_rate: float = 10.0
    rpm_at_zero: float = 650.0
    rpm_per_percent: float = 17.0
    off_percent: float = 8.0
    start_percent: float = 22.0
    soft_s: float = 15.0
    quick_s: float = 1.8
    start_delay_s: float = 0.3
    restart_delay_s: float = 0.0
    arm_s: float = 75.0
    hold_clears: float = 1.0
    hold_lag_s: float = 0.0
    hold_percent: float = 0.0
    idle_duty: float = 0.08
    gust: float = 0.25
    blades: float = 1.0


@dataclass(frozen=True)
class Story:
    """What the flyer does: switch positions over time, and what the stick is asked to do."""

    channel: list[tuple[float, float]]
    stick: list[tuple[float, str, float]]
    """(from, what, value): ground, hover at a height, climb with a collective, pump with a collective, fall."""
    length_s: float
    marks: dict[str, list[float]] = field(default_factory=dict)


KINDS = {"ground": 0, "hover": 1, "climb": 2, "fall": 3, "land": 4}


def fly(numbers: Numbers, story: Story, seed: int) -> dict[str, np.ndarray]:
    """Return everything that happened, STEP_S apart."""
    n = int(story.length_s / STEP_S)
    time_s = np.arange(n) * STEP_S
    channel = _steps(time_s, [t for t, _ in story.channel], [v for _, v in story.channel])
    kind = _steps(time_s, [t for t, _, _ in story.stick], [float(KINDS[k]) for _, k, _ in story.stick])
    value = _steps(time_s, [t for t, _, _ in story.stick], [v for _, _, v in story.stick])
    rng = np.random.default_rng(seed)
    out = np.zeros((len(OUT), n))
    _run(numbers, channel, kind.astype(np.int64), value, rng.standard_normal((2, n)), out)
    return {"time": time_s, **{name: out[k] for k, name in enumerate(OUT)}}


def _steps(time_s: np.ndarray, begins: list[float], values: list[float]) -> np.ndarray:
    return np.asarray(values)[np.searchsorted(np.asarray(begins), time_s, side="right") - 1]


@njit
def _open_circuit(soc, cells, offset):
    x = min(max(soc, 0.0), 1.0)
    return cells * (3.62 + 0.38 * x + 0.19 * x**6 - 0.42 * np.exp(-30.0 * x) + offset)


@njit
def _rotor(p, head, theta_deg, inflow, climb):
    """Return thrust, torque, and the inflow that momentum asks for."""
    tip = max(head, 1.0) * p.radius_m
    area = np.pi * p.radius_m**2
    solidity = 2.0 * p.chord_m / (np.pi * p.radius_m)
    thrust = (
        1.19 * area * tip * tip * solidity * 5.7 / 2.0 * (np.deg2rad(theta_deg) / 3.0 - (inflow + climb) / tip / 2.0)
    )
    size = np.sqrt(abs(thrust) / (2.0 * 1.19 * area))
    wanted = np.sqrt(0.25 * climb * climb + size * size) - 0.5 * abs(climb)
    wanted = wanted if thrust >= 0.0 else -wanted
    profile = 1.19 * area * tip * tip * p.radius_m * solidity * (0.012 + 0.0005 * theta_deg * theta_deg) / 8.0
    torque = profile + 1.3 * max(thrust * (inflow + max(climb, 0.0)), 0.0) / max(head, 20.0)
    return thrust, torque * 1.08, wanted


@njit
def _run(p, channel_asked, kinds, values, noise, out):  # noqa: C901, PLR0912, PLR0915 - one loop in time
    dt = STEP_S
    head = motor = channel = theta = inflow = height = climb = heard = duty = integral = target = 0.0
    soc, slow_v, gust, waited, governed_s, heat = p.soc, 0.0, 0.0, 0.0, 0.0, 20.0
    mode, armed, idles, last_governed, holding_s = OFF, False, False, -1e9, 0.0
    held = 100.0
    full = (p.rpm_at_zero + 100.0 * p.rpm_per_percent) / RPM
    past = np.zeros(p.delay_steps + 1)
    for k in range(channel_asked.size):
        t = k * dt
        channel += min(max(channel_asked[k] - channel, -2000.0 * dt), 2000.0 * dt)
        # run logic
        if channel <= p.off_percent:
            idles = False
            if p.hold_clears > 0.5:
                armed = False
        if mode != OFF:
            if channel < p.start_percent:
                holding_s += dt
                if holding_s > p.hold_lag_s:
                    if mode == GOVERNED:
                        last_governed, idles, armed = t, True, governed_s > 3.0
                    mode, waited = OFF, 0.0
            else:
                holding_s = 0.0
        elif channel < p.start_percent:
            waited = 0.0
        else:
            quick = armed and t - last_governed < p.arm_s
            waited += dt
            if waited >= (p.restart_delay_s + dt if quick else p.start_delay_s):
                mode, target, integral, holding_s = (QUICK if quick else SOFT), motor, 0.0, 0.0
        # governor, every 4 ms
        past[k % past.size] = motor * (1.0 + 0.0005 * noise[0, k])
        seen = past[(k + 1) % past.size]
        heard += dt / (p.sense_filter_s + dt) * (seen - heard)
        asked = (p.rpm_at_zero + max(channel, p.start_percent) * p.rpm_per_percent) / RPM
        if mode == GOVERNED:
            held = asked
        volts = _open_circuit(soc, p.cells, p.cell_offset_v) - slow_v
        if mode == OFF:
            duty = p.idle_duty if idles and channel > p.off_percent else 0.0
        elif k % 2 == 0:
            rate = full / p.soft_s if mode == SOFT else (full / p.quick_s if mode == QUICK else 30.0)
            target += min(max(asked - target, -rate * 2 * dt), rate * 2 * dt)
            if mode != GOVERNED and abs(asked - target) < 1e-9:
                mode, governed_s = GOVERNED, 0.0
            governed_s += 2 * dt
            error = (target - heard) / asked
            raw = p.ratio * target / p.kv_rad_s_v / (3.8 * p.cells) + p.kp * error + integral
            wanted = min(max(raw, 0.0), 1.0)
            if raw == wanted or error * integral < 0.0 or p.windup > 0.5:
                integral = min(max(integral + p.ki * error * 2 * dt, -0.5), 0.6)
            duty += min(max(wanted - duty, -p.duty_rate * 2 * dt), p.duty_rate * 2 * dt)
        # stick
        hover_deg = 4.0 * (170.0 / max(head, 90.0)) ** 2
        air = True
        if kinds[k] == 1:
            stick = hover_deg + 0.35 * (values[k] - height) - 0.55 * climb
            stick = min(max(stick, -3.0), 9.0)
        elif kinds[k] == 4:
            stick = hover_deg - 0.8 * (climb + min(2.5, 0.5 + 0.6 * height))
            stick = min(max(stick, -3.0), 9.0) if height > 0.05 else 0.0
        else:
            stick = values[k]
            air = kinds[k] != 0
        theta += min(max(stick - theta, -60.0 * dt), 60.0 * dt)
        # rotor and body
        gust += dt * (-gust / 0.6) + p.gust * np.sqrt(dt) * noise[1, k]
        thrust, load, inflow_wanted = _rotor(p, head, theta, inflow, climb + (gust if air else 0.0))
        inflow += dt / 0.07 * (inflow_wanted - inflow)
        if air or height > 0.05:
            climb += dt * (thrust / p.mass_kg - 9.81 - 0.05 * climb * abs(climb))
        height = max(height + dt * climb, 0.0)
        if height <= 0.0 and climb < 0.0:
            climb = 0.0
        driven = motor >= head - 1e-6
        if not driven and air and height > 0.3 and head > 60.0:
            load = p.inertia * (head - 0.86 * held) / 1.6 if kinds[k] == 3 else load
        if p.blades < 0.5:
            load = 0.12 * (head / 200.0) ** 2
        load += 0.15 if head > 0.2 else 0.0
        # electrics
        ke = 1.0 / p.kv_rad_s_v
        amp = (duty * (volts - 0.35 * p.r0_ohm) - ke * p.ratio * motor) / (p.resistance_ohm + duty * duty * p.r0_ohm)
        amp = max(amp, 0.0)
        pack = duty * amp + 0.35
        volt = volts - p.r0_ohm * pack
        slow_v += dt / p.rc_s * (p.r1_ohm * pack - slow_v)
        soc -= dt * pack / p.capacity_as
        drag_a = p.no_load_a * (0.5 + 0.5 * motor / full)
        push = 0.96 * p.ratio * ke * (amp - drag_a if motor > 0.02 or amp > drag_a else 0.0)
        motor = max(motor + dt * push / p.motor_inertia, 0.0)
        head = max(head - dt * load / p.inertia, 0.0)
        if motor > head:
            head = motor = (p.inertia * head + p.motor_inertia * motor) / (p.inertia + p.motor_inertia)
        heat += dt * (0.00035 * pack * pack * (1.3 - duty) - 0.02 * (heat - 20.0))
        row = (head * RPM, motor * RPM, channel, duty, volt, pack, height, climb, theta, (p.soc - soc) * p.capacity_as,
               float(mode), heat)  # fmt: skip
        for c in range(len(row)):
            out[c, k] = row[c]
