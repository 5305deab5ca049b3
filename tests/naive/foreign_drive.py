"""A third invented drive: head and motor on a springy one-way bearing, a rotor by its power, a pack with two memories.

Imports nothing of ours and nothing of the other invented drives; every number is invented. 1000 steps a second.
Rotor: momentum theory for the induced flow, profile power by the cube of the tip speed (both: any helicopter textbook).
"""

from typing import NamedTuple

import numpy as np
from numba import njit

STEP_S = 0.001
OFF, IDLE, SOFT, QUICK, GOVERNED = 0, 1, 2, 3, 4
GROUND, HOVER, STICK, FALL, LAND = 0, 1, 2, 3, 4
OUT = ("head", "motor", "throttle", "duty", "volt", "amp", "height", "climb", "stick", "charge", "state", "warm")
RPM = 30.0 / np.pi
AIR = 1.2


class Drive(NamedTuple):
    """The drive, SI; head-side where not said otherwise; stick in degrees of pitch."""

    weight_n: float
    radius_m: float
    hover_deg: float
    hover_rad_s: float
    profile_w: float
    tail_share: float
    head_inertia: float
    motor_inertia: float
    spring: float
    ratio: float
    volts_per_rad_s: float
    winding_ohm: float
    idle_a: float
    cells: float
    capacity_as: float
    pack_ohm: float
    begun: float
    p_gain: float
    i_gain: float
    feed: float
    sense_s: float
    late_steps: int
    duty_rate: float
    winds_up: float
    swing_duty: float
    swing_hz: float
    rpm_low: float
    rpm_high: float
    cut_percent: float
    start_percent: float
    soft_s: float
    soft_shape: float
    quick_s: float
    wait_s: float
    quick_wait_s: float
    window_s: float
    hold_clears: float
    first_quick: float
    stop_late_s: float
    hold_duty: float
    channel_rate: float
    gust: float
    blades: float


def flown(drive: Drive, channel: list[tuple[float, float]], stick: list[tuple[float, int, float]], length_s: float,
          seed: int) -> dict[str, np.ndarray]:  # fmt: skip
    """Return what happened, every STEP_S: speeds in rpm of the head, throttle in percent, duty 0 to 1."""
    rows = int(length_s / STEP_S)
    when = np.arange(rows) * STEP_S
    asked = _held(when, [t for t, _ in channel], [v for _, v in channel])
    kind = _held(when, [t for t, _, _ in stick], [float(k) for _, k, _ in stick]).astype(np.int64)
    aim = _held(when, [t for t, _, _ in stick], [v for _, _, v in stick])
    out = np.zeros((len(OUT), rows))
    _step_through(drive, asked, kind, aim, np.random.default_rng([seed, 5]).standard_normal((2, rows)), out)
    return {"time": when, **dict(zip(OUT, out, strict=True))}


def _held(when: np.ndarray, begins: list[float], values: list[float]) -> np.ndarray:
    return np.asarray(values)[np.searchsorted(np.asarray(begins), when, side="right") - 1]


@njit
def rest_volts(left, cells):
    """Open voltage of a pack by what is left in it: invented knee points, straight between them."""
    at = np.array([0.0, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0])
    volts = np.array([3.2, 3.55, 3.66, 3.73, 3.79, 3.87, 4.0, 4.08, 4.18])
    return cells * np.interp(min(max(left, 0.0), 1.0), at, volts)


@njit
def _step_through(p, asked, kind, aim, noise, out):  # noqa: C901, PLR0912, PLR0915 - one loop in time
    dt = STEP_S
    w = m = twist = channel = pitch = height = climb = heard = duty = total = goal = gust = 0.0
    slow1 = slow2 = 0.0
    left, warm, state, since, governed_since, stopped_at = p.begun, 21.0, OFF, 0.0, 0.0, -1e9
    armed, ever, goal_from, began = False, False, 0.0, 0.0
    past = np.zeros(p.late_steps + 1)
    area = np.pi * p.radius_m**2
    for k in range(asked.size):
        t = k * dt
        rate = max(p.channel_rate, 3000.0) if asked[k] < 3.0 else p.channel_rate  # hold is a switch, not a passage
        channel += min(max(asked[k] - channel, -rate * dt), rate * dt)
        want = (p.rpm_low + (p.rpm_high - p.rpm_low) * max(channel, p.start_percent) / 100.0) / RPM
        if channel <= p.cut_percent and p.hold_clears > 0.5:
            armed = False
        if state >= SOFT:
            since = since + dt if channel < p.start_percent else 0.0
            if since > p.stop_late_s:
                if state == GOVERNED and t - governed_since > 3.0:
                    armed, stopped_at = channel > p.cut_percent or p.hold_clears < 0.5, t
                state, since = (IDLE if channel > p.cut_percent else OFF), 0.0
        elif channel >= p.start_percent:
            quick = (armed and t - stopped_at < p.window_s) or (p.first_quick > 0.5 and not ever)
            since += dt
            if since >= (p.quick_wait_s if quick else p.wait_s):
                state, goal, goal_from, began, total, since, ever = (QUICK if quick else SOFT), m, m, t, 0.0, 0.0, True
        else:
            since = 0.0
            state = OFF if channel <= p.cut_percent else state
        past[k % past.size] = m
        heard += dt / (p.sense_s + dt) * (past[(k + 1) % past.size] * (1.0 + 4e-4 * noise[0, k]) - heard)
        if state == OFF:
            duty = p.hold_duty if ever and m > 20.0 else 0.0
        elif state == IDLE:
            duty = 0.06 if ever else 0.0
        elif k % 2 == 0:
            if state == GOVERNED:
                goal += min(max(want - goal, -60.0 * dt), 60.0 * dt)
            else:
                long = p.soft_s if state == SOFT else p.quick_s
                share = min((t - began) / max(long * (1.0 - goal_from / want), 0.2), 1.0)
                goal = goal_from + (want - goal_from) * share**p.soft_shape
                if share >= 1.0 and heard > 0.985 * want:
                    state, governed_since = GOVERNED, t
            off = (goal - heard) / want
            base = p.volts_per_rad_s * p.ratio * goal / (3.82 * p.cells)
            raw = base + p.p_gain * off + total + p.feed * max(pitch - p.hover_deg, 0.0) / 10.0
            if state == GOVERNED:
                raw += p.swing_duty * np.sin(2.0 * np.pi * p.swing_hz * t)
            inside = 0.0 < raw < 1.0
            if inside or off * total < 0.0 or p.winds_up > 0.5:
                total = min(max(total + p.i_gain * off * 2.0 * dt, -0.35), 0.6)
            duty += min(max(min(max(raw, 0.0), 1.0) - duty, -p.duty_rate * 2 * dt), p.duty_rate * 2 * dt)
        share = max(w / p.hover_rad_s, 0.05)
        trim = p.hover_deg / share**2
        if kind[k] == HOVER:
            stick = min(max(trim + 0.30 * (aim[k] - height) - 0.5 * climb, -3.0), trim + 1.2)
        elif kind[k] == LAND:
            stick = trim - 0.7 * (climb + min(2.0, 0.4 + 0.5 * height)) if height > 0.05 else 0.0
            stick = min(max(stick, -3.0), trim + 4.0)
        elif kind[k] == FALL:
            stick = min(max(aim[k] + 18.0 * (w / want - 0.93), -4.0), 7.0)
        else:
            stick = aim[k]
        pitch += min(max(stick - pitch, -70.0 * dt), 70.0 * dt)
        gust += dt * (-gust / 0.8) + p.gust * np.sqrt(dt) * noise[1, k]
        flies = kind[k] != GROUND
        vz = climb + (gust if flies else 0.0)
        lift = p.weight_n * share**2 * pitch / p.hover_deg - 0.11 * p.weight_n * share * vz
        flow = np.sqrt(0.25 * vz * vz + abs(lift) / (2.0 * AIR * area)) - 0.5 * abs(vz)
        power = p.profile_w * share**3 * (1.0 + 0.004 * pitch * pitch) + 1.15 * abs(lift) * flow + lift * vz
        power *= 1.0 + p.tail_share
        drag = p.blades * power / max(w, 15.0) + (1.0 - p.blades) * 0.1 * share**2
        drag += 0.12 if w > 0.1 else 0.0
        if flies or height > 0.02:
            climb += dt * (lift / p.weight_n - 1.0) * 9.81
        height = max(height + dt * climb, 0.0)
        climb = 0.0 if height <= 0.0 and climb < 0.0 else climb
        open_v = rest_volts(left, p.cells)
        rotation = p.volts_per_rad_s * p.ratio * m
        amp = (duty * (open_v - slow1 - slow2) - rotation) / (p.winding_ohm + duty * duty * p.pack_ohm)
        amp = max(amp, 0.0)
        pack = duty * amp + 0.3
        volt = open_v - slow1 - slow2 - p.pack_ohm * pack
        slow1 += dt / 2.5 * (0.25 * p.pack_ohm * pack - slow1)
        slow2 += dt / 30.0 * (0.35 * p.pack_ohm * pack - slow2)
        left -= dt * pack / p.capacity_as
        push = 0.97 * p.ratio * p.volts_per_rad_s * (amp - p.idle_a * (0.4 + 0.6 * m / p.hover_rad_s))
        carried = max(0.0, p.spring * twist + 0.02 * p.spring / 20.0 * (m - w)) if twist > 0.0 else 0.0
        m = max(m + dt * ((push if m > 0.0 or push > 0.0 else 0.0) - carried) / p.motor_inertia, 0.0)
        w = max(w + dt * (carried - drag) / p.head_inertia, 0.0)
        twist = max(twist + dt * (m - w), 0.0)
        warm += dt * (3e-4 * pack * pack * (1.25 - duty) - 0.015 * (warm - 21.0))
        row = (w * RPM, m * RPM, channel, duty, volt, pack, height, climb, pitch, (p.begun - left) * p.capacity_as,
               float(state), warm)  # fmt: skip
        for c in range(len(row)):
            out[c, k] = row[c]
