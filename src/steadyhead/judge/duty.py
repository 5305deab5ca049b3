"""The controller's duty: as logged, or worked out from pack voltage, current and speed where it was not logged."""

from dataclasses import dataclass

import numpy as np

from steadyhead.judge.loads import averaged
from steadyhead.judge.pieces import median
from steadyhead.judge.signals import Signals
from steadyhead.machine.description import Machine
from steadyhead.trace.trace import Series

MEAN_S = 0.2
OTHER_LOSSES_SHARE = 0.01
WORKED_OUT = "worked out from voltage, current and speed"
READ_DOUBT = 0.005
"""Half a step of a duty that is logged in whole percent."""


@dataclass(frozen=True, kw_only=True)
class Duty:
    """The duty of each sample, and by how much of itself it may be wrong (half width, 90 %)."""

    values: Series
    doubt_share: float
    logged: bool

    @property
    def words(self) -> str:
        """Say where it comes from, empty when it was logged."""
        return "" if self.logged else f", {WORKED_OUT},"


def duty_of(signals: Signals, machine: Machine) -> Duty | None:
    """Return the duty of a log, or None when neither it nor what it follows from was logged.

    Equation: d u = w / kv + i r / d, solved for d; u, i means over 0.2 s, r winding and controller.
    Shapes: values (n,).
    Valid: where the motor drives the head; elsewhere it says nothing. The drop of the pack is in its voltage already.
    Source: first-order motor behind a loss-free chopper, plus 1 % for what that leaves out (own estimate).
    """
    if signals.duty is not None:
        return Duty(values=signals.duty, doubt_share=0.0, logged=True)
    kv, winding = machine.value("motor.kv"), machine.value("motor.resistance")
    if signals.speed_rpm is None or signals.voltage_v is None or signals.current_a is None:
        return None
    if kv is None or winding is None:
        return None
    controller = machine.value("controller.resistance")
    resistance = winding.si + (controller.si if controller is not None else 0.0)
    count = signals.samples(MEAN_S)
    speed = averaged(signals.speed_rpm, count) * (machine.gear_ratio * np.pi / 30.0)
    volts = np.maximum(averaged(signals.voltage_v, count), 1e-3)
    amperes = np.maximum(averaged(signals.current_a, count), 0.0)
    back = speed / kv.si
    values = (back + np.sqrt(back**2 + 4.0 * volts * amperes * resistance)) / (2.0 * volts)
    lost = median(amperes) * resistance / median(volts)
    share = np.hypot(kv.spread_si / kv.si, OTHER_LOSSES_SHARE + lost * winding.spread_si / winding.si)
    return Duty(values=np.clip(values, 0.0, 1.0), doubt_share=float(share), logged=False)
