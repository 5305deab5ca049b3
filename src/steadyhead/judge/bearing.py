"""Whether the one-way bearing may have run free while only the motor side was measured."""

import numpy as np

from steadyhead.judge.loads import averaged
from steadyhead.judge.measured import Measured
from steadyhead.judge.parts import true_runs
from steadyhead.judge.pieces import median
from steadyhead.judge.signals import Signals
from steadyhead.machine.description import Machine

FREE_S = 0.2
MEAN_S = 0.15
AFTER_S = 2.0
CUT_S = 0.5
"""Before the motor is cut the current falls by itself."""
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
    rest = median(signals.current_a[: signals.samples(0.5)]) if found.stretches[0].kind == "rest" else 0.3
    spans = [(signals.within(event.start_s, event.end_s + AFTER_S), event.set_rpm) for event in found.events]
    spans += [
        (signals.within(flown.ready_s, flown.end_s - CUT_S), flown.set_rpm or 0.0)
        for flown in found.governed
        if flown.airborne
    ]
    return any(_runs_free(signals, machine, part, set_rpm, rest) for part, set_rpm in spans)


def _runs_free(signals: Signals, machine: Machine, part: slice, set_rpm: float, rest_a: float) -> bool:
    from steadyhead.machine import si
    from steadyhead.physics.motor import no_load_current

    if signals.current_a is None or part.stop - part.start < 3:
        return False
    motor_rad_s = set_rpm * np.pi / 30.0 * machine.gear_ratio
    duty = median(signals.duty[part]) if signals.duty is not None else 1.0
    stated = machine.value("motor.no_load_current")
    margin = TYPICAL_MARGIN if stated is None or stated.is_typical else STATED_MARGIN
    free_a = margin * duty * float(no_load_current(si.motor(machine), motor_rad_s)) + rest_a
    current = averaged(signals.current_a[part], signals.samples(MEAN_S))
    if float(current.min()) < DEEP_SHARE * free_a:
        return True
    longest = max((b - a for a, b in true_runs(current <= free_a)), default=0)
    return longest * signals.interval_s >= FREE_S
