"""Whether the one-way bearing may have run free while only the motor side was measured."""

import numpy as np

from steadyhead.judge.loads import averaged
from steadyhead.judge.measured import Measured
from steadyhead.judge.parts import rows_where, true_runs
from steadyhead.judge.pieces import median
from steadyhead.judge.signals import Signals
from steadyhead.machine.description import Machine

FREE_S = 0.2
MEAN_S = 0.15
AFTER_S = 2.0
CUT_S = 0.5
"""Before the motor is cut the current falls by itself."""
CURRENT_LAG_S = 0.1
"""A current sensor smooths over half as long, and shows the motor driving again so much late at most; own choice."""
LOOK_S = 4.0
DEEP_SHARE = 0.4
TYPICAL_MARGIN, STATED_MARGIN = 1.3, 1.1
"""No-load currents of one class differ by about 30 %, of one motor by 10 %; common practice, no source."""


def bearing_may_run_free(found: Measured, machine: Machine) -> bool:
    """Whether, unloaded or in a descent, the current fell to what the motor takes with nothing on its shaft.

    Then the head may have run faster than the motor through the bearing, unseen. True also without a current channel.
    Equation: free current = duty times the no-load current at that speed, plus what the log shows at rest.
    Valid: as sharp as the no-load current is known; a typical one is wide.
    """
    signals = found.signals
    if signals.speed_is_head or not found.events:
        return False
    if signals.current_a is None:
        return True
    rest = _rest_a(found)
    spans = [(signals.within(event.start_s, event.end_s + AFTER_S), event.set_rpm) for event in found.events]
    spans += [
        (signals.within(flown.ready_s, flown.end_s - CUT_S), flown.set_rpm or 0.0)
        for flown in found.governed
        if flown.airborne
    ]
    return any(_runs_free(signals, machine, part, set_rpm, rest) for part, set_rpm in spans)


def free_after_loads_s(found: Measured, machine: Machine) -> float | None:
    """Return how long after a load the current still was that of a motor without load, s, the longest of all loads.

    The head may turn faster than the motor for so long; from then on the motor drives it, and its speed is the head's.
    None without a current, or where it was so to the end of what is looked at.
    Valid: doubted by the beat and the smoothing of the current sensor, which are added.
    """
    signals, longest = found.signals, 0.0
    if signals.current_a is None:
        return None
    rest = _rest_a(found)
    behind_s = CURRENT_LAG_S + signals.interval_s + signals.own_s.get("pack_current_a", 0.0)
    for event, after in zip(found.events, (*found.events[1:], None), strict=True):
        until_s = min(event.end_s + LOOK_S, after.start_s if after else signals.end_s)
        part = signals.within(event.end_s, until_s)
        if part.stop - part.start < 3:
            return None
        free = rows_where(signals.current_a[part] <= _free_a(signals, machine, part, event.set_rpm, rest))
        if free.size and free[-1] >= part.stop - part.start - 2:
            return None
        if free.size:
            longest = max(longest, float(signals.time_s[part.start + int(free[-1])]) - event.end_s + behind_s)
    return longest


def _rest_a(found: Measured) -> float:
    if found.signals.current_a is None or found.stretches[0].kind != "rest":
        return 0.3
    return median(found.signals.current_a[: found.signals.samples(0.5)])


def _free_a(signals: Signals, machine: Machine, part: slice, set_rpm: float, rest_a: float) -> float:
    """Return the most that a motor without load takes at that speed, A."""
    from steadyhead.machine import si
    from steadyhead.physics.kernel import interpreted
    from steadyhead.physics.motor import no_load_current

    motor_rad_s = set_rpm * np.pi / 30.0 * machine.gear_ratio
    duty = median(signals.duty[part]) if signals.duty is not None else 1.0
    stated = machine.value("motor.no_load_current")
    margin = TYPICAL_MARGIN if stated is None or stated.is_typical else STATED_MARGIN
    return margin * duty * float(interpreted(no_load_current)(si.motor(machine), motor_rad_s)) + rest_a


def _runs_free(signals: Signals, machine: Machine, part: slice, set_rpm: float, rest_a: float) -> bool:
    if signals.current_a is None or part.stop - part.start < 3:
        return False
    free_a = _free_a(signals, machine, part, set_rpm, rest_a)
    current = averaged(signals.current_a[part], signals.samples(MEAN_S))
    if float(current.min()) < DEEP_SHARE * free_a:
        return True
    longest = max((b - a for a, b in true_runs(current <= free_a)), default=0)
    return longest * signals.interval_s >= FREE_S
