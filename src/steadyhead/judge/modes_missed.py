"""A speed that is off by one large factor in every flight mode, and that nothing else in the log confirms."""

import numpy as np

from steadyhead.judge.commands import same_position
from steadyhead.judge.measured import Measured
from steadyhead.judge.other_machine import RATIO_SHARE
from steadyhead.judge.plausible import KV_SHARE, head_over_motor, motor_over_voltage
from steadyhead.machine.description import Machine
from steadyhead.trace.speeds import MEANT_SHARE
from steadyhead.words.verdict import Outcome, Verdict, no_pass_of

SAME_SHARE = 0.05
"""Factors of two flight modes that differ by less are one wrong factor, not two wrong settings; own choice."""
RESTS_ON_SPEED = ("tip_speed", "head_speed_limit")
RESTS_ON_WORKED_OUT_DUTY = ("hover_duty", "duty_margin")
NEEDS = ("a head speed read at the head by other means, or duty and pack voltage in the log",)


def speed_off(found: Measured, machine: Machine) -> str | None:
    """Return a sentence where the speed of every flight mode flown is off by one large factor; None elsewhere.

    Valid: a throttle channel and flight modes with channel values; where only the motor was measured one is enough.
    """
    shares = _shares(found, machine)
    if len(shares) < (2 if found.signals.speed_is_head else 1) or _is_confirmed(found, machine):
        return None
    low, high = min(shares), max(shares)
    if (high >= MEANT_SHARE and low <= 1.0 / MEANT_SHARE) or high > (1.0 + SAME_SHARE) * low:
        return None
    return (
        f"in every flight mode flown the log shows {np.mean(shares):.2f} times the head speed that the machine file "
        "means, and nothing else in it confirms the speed: teeth, poles or a tenth of a speed may be read wrong"
    )


def _shares(found: Measured, machine: Machine) -> list[float]:
    """Return, for each flight mode that was flown, the speed held over the speed meant."""
    shares = []
    for mode in machine.flight_mode if found.channel_seen else ():
        if mode.channel is None:
            continue
        percent, wanted = 100.0 * mode.channel.si, mode.head_speed.si * 30.0 / np.pi
        shares += [
            s.set_rpm / wanted
            for s in found.governed
            if s.set_rpm is not None and s.percent is not None and same_position(s.percent, percent)
        ][:1]
    return shares


def _is_confirmed(found: Measured, machine: Machine) -> bool:
    ratio, share = head_over_motor(found), motor_over_voltage(found, machine)
    both = ratio is not None and abs(ratio - 1.0) <= RATIO_SHARE
    return both or (share is not None and abs(share - 1.0) <= KV_SHARE)


def unless_speed_is_off(checks: tuple[Verdict, ...], found: Measured, machine: Machine) -> tuple[Verdict, ...]:
    """Take back what rests on a speed that is off by one large factor; also fails on a duty worked out from it."""
    why = speed_off(found, machine)
    if why is None:
        return checks
    left = no_pass_of(RESTS_ON_SPEED, checks, why, needs=NEEDS)
    if found.signals.duty is not None:
        return left
    return tuple(
        check.but(why, needs=NEEDS)
        if check.check in RESTS_ON_WORKED_OUT_DUTY and check.verdict is not Outcome.UNKNOWN
        else check
        for check in left
    )
