"""Whether the logged speeds fit each other and the motor: a wrong count of teeth or poles shows here first."""

import numpy as np

from steadyhead.judge.commands import same_position
from steadyhead.judge.measured import Measured
from steadyhead.judge.pieces import median, percentile
from steadyhead.judge.set_speed import FULL_DUTY
from steadyhead.judge.signals import sparse
from steadyhead.judge.slip import slip
from steadyhead.machine.description import Machine
from steadyhead.trace.trace import Series
from steadyhead.words.verdict import Verdict, no_pass_of

AGREE_SHARE = 0.01
KV_SHARE = 0.15
"""Printed Kv values are off by 2 to 9 % (five motors on a bench, refitted); more than that is another mistake."""
MODE_SHARE = 0.02
ENOUGH = 20
MOST_ROWS = 20_000


def implausible(found: Measured, machine: Machine) -> tuple[str, ...]:
    """Return a warning for each pair of channels that cannot both be right."""
    words = []
    ratio = head_over_motor(found)
    if ratio is not None and abs(ratio - 1.0) > AGREE_SHARE:
        words.append(
            f"under load the head reads {ratio:.3f} times the motor side: check gear teeth, poles and the head sensor"
            + _teeth_that_fit(ratio, machine)
        )
    share = motor_over_voltage(found, machine)
    if share is not None and abs(share - 1.0) > KV_SHARE:
        words.append(
            f"the motor turns {share:.2f} times as fast as its Kv, duty and voltage say: check poles, gear teeth and Kv"
        )
    slipped = slip(found)
    if slipped is not None:
        words.append(
            f"at {slipped.at_s:.0f} s the motor ran {100.0 * slipped.share:.0f} % ahead of the head: look for a "
            "slipping pinion, belt, clutch or one-way bearing before you touch a gain"
        )
    from_s = always_at_the_stop(found)
    at_stop = () if from_s is None else (f"from {from_s:.0f} s {AT_ITS_STOP}",)
    return (*words, *_modes_missed(found, machine), *at_stop)


def _teeth_that_fit(ratio: float, machine: Machine) -> str:
    """Say with how many teeth on the pinion head and motor side would agree; empty where no whole number does it."""
    teeth = machine.gears.pinion_teeth.number
    other = round(teeth * ratio)
    if other == teeth or abs(other / (teeth * ratio) - 1.0) > AGREE_SHARE:
        return ""
    return f"; a pinion of {other} teeth would fit, the machine file says {teeth:.0f}"


def _modes_missed(found: Measured, machine: Machine) -> list[str]:
    """Return a warning for each flight mode whose head speed is not what the log shows at its channel value.

    Valid: none without a throttle channel: what stands for it then is a share of the top speed.
    """
    words = []
    for mode in machine.flight_mode if found.channel_seen else ():
        if mode.channel is None:
            continue
        wanted, percent = mode.head_speed.si * 30.0 / np.pi, 100.0 * mode.channel.si
        held = [s.set_rpm for s in found.governed if s.percent is not None and same_position(s.percent, percent)]
        off = [rpm for rpm in held if rpm is not None and abs(rpm - wanted) > MODE_SHARE * wanted]
        if off:
            words.append(
                f"flight mode {mode.name} is meant to hold {wanted:.0f} rpm; at {percent:.0f} % "
                f"the log shows {off[0]:.0f}"
            )
    return words


def always_at_the_stop(found: Measured) -> float | None:
    """Return when the first governed stretch begins whose duty stood at its stop throughout, s; None without one."""
    duty = found.signals.duty
    if duty is None:
        return None
    for stretch in found.governed:
        part = found.signals.within(stretch.ready_s, stretch.end_s)
        if part.stop - part.start >= ENOUGH and _mostly_full(sparse(duty[part])):
            return stretch.start_s
    return None


def unless_always_at_the_stop(checks: tuple[Verdict, ...], found: Measured) -> tuple[Verdict, ...]:
    """Take back passes against a set speed that was only what a drive at its stop reached."""
    from_s = always_at_the_stop(found)
    if from_s is None:
        return checks
    return no_pass_of(HELD_AGAINST_SET, checks, f"from {from_s:.0f} s {AT_ITS_STOP}", needs=(HOLDABLE,))


HELD_AGAINST_SET = ("steady_band", "climb_droop", "recovery", "overspeed", "no_hunting")
HOLDABLE = "a head speed that the drive can hold"
AT_ITS_STOP = "the duty stood at its stop throughout: the true set speed may be higher than what the head reached"


def _mostly_full(duty: Series) -> bool:
    full = int(np.count_nonzero(duty >= FULL_DUTY))
    return full > 0.8 * duty.size and percentile(duty, 10) >= FULL_DUTY


def _governed_rows(found: Measured) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    rows, count = [np.empty(0, np.int64)], 0
    for part in found.window_parts:
        rows.append(np.arange(part.start, part.stop, dtype=np.int64))
        count += rows[-1].size
        if count >= MOST_ROWS:
            break
    return np.concatenate(rows)[:MOST_ROWS]


def head_over_motor(found: Measured) -> float | None:
    """Return head speed over motor-side speed in steady running, where the one-way bearing is engaged."""
    signals, rows = found.signals, _governed_rows(found)
    if signals.speed_rpm is None or signals.motor_rpm is None or not signals.speed_is_head or rows.size < ENOUGH:
        return None
    motor = median(sparse(signals.motor_rpm[rows]))
    return median(sparse(signals.speed_rpm[rows])) / motor if motor > 0.0 else None


def motor_over_voltage(found: Measured, machine: Machine) -> float | None:
    """Return motor speed over Kv (duty u - i r / duty), the speed of a loaded first-order motor, in steady running."""
    signals, rows = found.signals, _governed_rows(found)
    kv, resistance = machine.value("motor.kv"), machine.value("motor.resistance")
    if signals.speed_rpm is None or signals.duty is None or signals.voltage_v is None or rows.size < ENOUGH:
        return None
    duty = median(sparse(signals.duty[rows]))
    if kv is None or duty < 0.1:
        return None
    current = 0.0 if signals.current_a is None else median(sparse(signals.current_a[rows]))
    volts = duty * median(sparse(signals.voltage_v[rows]))
    volts -= current / duty * (resistance.si if resistance is not None else 0.0)
    motor_rad_s = median(sparse(signals.speed_rpm[rows])) * machine.gear_ratio * np.pi / 30.0
    return motor_rad_s / (kv.si * volts) if volts > 0.0 else None
