"""A plain drive, governor and logger, step by step, to make logs with known faults. Imports nothing of ours.

The rotor is a drag proportional to speed squared, the motor a first-order machine behind a resistance, the governor a
PI loop with a set-point ramp, the run logic a handful of thresholds. All numbers are invented.
"""

from dataclasses import dataclass, field

import numpy as np

STEP_S = 0.005
RPM = 30.0 / np.pi


@dataclass
class Drive:
    """The machine and its settings; every field can be set wrong on purpose."""

    inertia: float = 0.045
    motor_inertia: float = 0.004
    ratio: float = 9.0
    kv_rpm_v: float = 560.0
    resistance: float = 0.02
    pack_resistance: float = 0.03
    pack_v: float = 49.5
    kp: float = 2.0
    ki: float = 8.0
    delay_s: float = 0.01
    windup: bool = False
    rpm_at_zero: float = 590.0
    rpm_per_percent: float = 20.0
    off_percent: float = 8.0
    start_percent: float = 22.0
    soft_s: float = 16.0
    quick_s: float = 1.9
    start_delay_s: float = 0.35
    arm_s: float = 75.0
    hold_clears: bool = True
    channel_rate: float = 2000.0
    idle_duty: float = 0.09
    hunting_above_percent: float = 1e9
    hunting_factor: float = 6.0
    blades: bool = True


@dataclass
class Story:
    """What the flyer does: (time, channel percent) and (time, collective degrees, in the air)."""

    channel: list[tuple[float, float]]
    collective: list[tuple[float, float, bool]]
    length_s: float


@dataclass
class Recording:
    """What happened, every STEP_S."""

    time_s: np.ndarray
    columns: dict[str, np.ndarray] = field(default_factory=dict)


@dataclass
class State:
    """Everything that moves."""

    head: float = 0.0
    motor: float = 0.0
    channel: float = 0.0
    collective: float = 0.0
    gust: float = 0.0
    height: float = 0.0
    sink: float = 0.0
    mode: str = "off"
    setpoint: float = 0.0
    integral: float = 0.0
    waited: float = 0.0
    governed_s: float = 0.0
    last_governed: float = -1e9
    armed: bool = False
    idles: bool = False
    past: list[float] = field(default_factory=list)


def fly(drive: Drive, story: Story, seed: int = 1) -> Recording:
    """Run the story and return what happened."""
    n = int(story.length_s / STEP_S)
    rng = np.random.default_rng(seed)
    names = ("head", "motor", "throttle", "duty", "volt", "amp", "height", "collective")
    out = {name: np.zeros(n) for name in names}
    state = State()
    for k in range(n):
        t = k * STEP_S
        wanted = next(p for s, p in reversed(story.channel) if s <= t)
        state.channel += _limited(wanted - state.channel, drive.channel_rate * STEP_S)
        pitch, air = next((p, a) for s, p, a in reversed(story.collective) if s <= t)
        state.collective += _limited(pitch - state.collective, 60.0 * STEP_S)
        state.gust += -STEP_S * state.gust / 0.5 + 0.15 * np.sqrt(STEP_S) * rng.standard_normal()
        _run_logic(drive, state, t)
        duty = _governor(drive, state, rng)
        volt, amp = _rotor(drive, state, duty, air)
        _height(state, air)
        bite = state.collective + (state.gust if air else 0.0)
        row = (state.head * RPM, state.motor * RPM, state.channel, duty, volt, amp, state.height, bite)
        for name, value in zip(names, row, strict=True):
            out[name][k] = value
    return Recording(time_s=np.arange(n) * STEP_S, columns=out)


def _limited(change: float, most: float) -> float:
    return min(max(change, -most), most)


def _run_logic(drive: Drive, state: State, t: float) -> None:
    if state.channel <= drive.off_percent:
        state.idles = False
        if drive.hold_clears:
            state.armed = False
    if state.mode != "off":
        if state.channel < drive.start_percent:
            if state.mode == "governed":
                state.last_governed, state.idles, state.armed = t, True, state.governed_s > 3.0
            state.mode, state.waited = "off", 0.0
        return
    if state.channel < drive.start_percent:
        state.waited = 0.0
        return
    quick = state.armed and t - state.last_governed < drive.arm_s
    state.waited += STEP_S
    if state.waited >= (STEP_S if quick else drive.start_delay_s):
        state.mode, state.setpoint, state.integral = ("quick" if quick else "soft"), state.motor, 0.0


def _governor(drive: Drive, state: State, rng: np.random.Generator) -> float:
    state.past.append(state.motor)
    seen = state.past[max(0, len(state.past) - 1 - int(drive.delay_s / STEP_S))]
    seen *= 1.0 + 0.0006 * rng.standard_normal()
    if state.mode == "off":
        return drive.idle_duty if state.idles and state.channel > drive.off_percent else 0.0
    full = (drive.rpm_at_zero + 100.0 * drive.rpm_per_percent) / RPM
    target = (drive.rpm_at_zero + state.channel * drive.rpm_per_percent) / RPM
    rate = {"soft": full / drive.soft_s, "quick": full / drive.quick_s, "governed": 280.0 / RPM}[state.mode]
    state.setpoint += _limited(target - state.setpoint, rate * STEP_S)
    if state.mode != "governed" and abs(state.setpoint - target) < 1e-9:
        state.mode, state.governed_s = "governed", 0.0
    state.governed_s += STEP_S
    error = (state.setpoint - seen) / target
    kp, ki = drive.kp, drive.ki
    if state.channel > drive.hunting_above_percent:
        kp = drive.hunting_factor * kp
    raw = RPM / drive.kv_rpm_v * drive.ratio * state.setpoint / drive.pack_v + kp * error + state.integral
    duty = min(max(raw, 0.0), 1.0)
    if drive.windup or raw == duty or error * state.integral < 0.0:
        state.integral = min(max(state.integral + ki * error * STEP_S, -0.3), 0.5)
    return duty


def _rotor(drive: Drive, state: State, duty: float, air: bool) -> tuple[float, float]:
    """Move head and motor on by one step; return pack voltage and current."""
    ke = RPM / drive.kv_rpm_v
    amp = (duty * drive.pack_v - ke * drive.ratio * state.motor) / (
        drive.resistance + duty * duty * drive.pack_resistance
    )
    amp = max(amp, 0.0)
    push = drive.ratio * ke * (amp - 1.2 if state.motor > 1.0 else amp)
    bite = max(state.collective + (state.gust if air else 0.0), 0.0)
    drag = ((1.4 + 0.085 * bite * bite) if drive.blades else 0.35) / 209.0**2
    load = drag * state.head**2 + (0.25 if state.head > 0.3 else 0.0)
    if state.mode == "off" and air and state.head > 40.0:
        load = 0.02 * (state.head - 0.85 * 209.0)
    state.motor = max(state.motor + STEP_S * push / drive.motor_inertia, 0.0)
    state.head = max(state.head - STEP_S * load / drive.inertia, 0.0)
    if state.motor > state.head:
        both = drive.inertia * state.head + drive.motor_inertia * state.motor
        state.head = state.motor = both / (drive.inertia + drive.motor_inertia)
    return drive.pack_v - drive.pack_resistance * (duty * amp + 0.3), duty * amp + 0.3


def _height(state: State, air: bool) -> None:
    climb = -6.0 if state.mode == "off" else (1.0 if state.height < 60.0 else 0.0)
    state.sink += STEP_S * ((climb if air else -2.0) - state.sink) / 0.5
    state.height = max(state.height + STEP_S * state.sink, 0.0)


def logged(
    recording: Recording, hertz: float, lag_s: float = 0.03, seed: int = 2
) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Return what a logger with slow sensors writes: low-pass on speed and current, noise, steps."""
    rng = np.random.default_rng(seed)
    every = max(1, round(1.0 / hertz / STEP_S))
    pick = slice(0, None, every)
    out = {}
    for name, values in recording.columns.items():
        smooth = _low_pass(values, lag_s) if name in ("head", "motor", "amp") else values
        noise = {"head": 1.0, "motor": 1.0, "amp": 0.2, "volt": 0.01, "height": 0.1}.get(name, 0.0)
        step = {"head": 1.0, "motor": 1.0, "amp": 0.1, "volt": 0.01, "throttle": 0.1, "duty": 0.005}.get(name, 0.05)
        part = smooth[pick]
        out[name] = np.round((part + noise * rng.standard_normal(part.size)) / step) * step
    return recording.time_s[pick], out


def _low_pass(values: np.ndarray, lag_s: float) -> np.ndarray:
    out = np.empty_like(values)
    now = values[0]
    share = STEP_S / (lag_s + STEP_S)
    for k, value in enumerate(values):
        now += share * (value - now)
        out[k] = now
    return out
