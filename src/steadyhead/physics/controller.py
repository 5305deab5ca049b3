"""Speed controller: conduction, switching, freewheel and part-duty loss."""

from typing import NamedTuple

from steadyhead.physics.kernel import kernel
from steadyhead.physics.motor import Motor, no_load_current

PULSE_SKIP = 0.05
"""Off-share under which pulses are dropped, so that switching fades out to full duty. Common practice, no source."""


RIPPLE_RATIO = 2.5
"""Iron loss of a chopped voltage over that of turning, at equal mean square voltage, for a ripple factor of 1.

1 if chopping met the same iron as turning does; more, since magnets, solid back iron and thick wire see the ripple but
hardly the turning. Size read off the open bench sweep of two small motors (Cao and Strawson 2018), where 2.4 to 3 fit;
no such bench of a motor of helicopter size is known to us. Chopping that meets only the iron that turning meets, and
only the part of the no-load current that grows with speed, would read 0.2 to 0.4 of it: take a fifth to nine fifths.
"""


class Controller(NamedTuple):
    """What a kernel needs to know of a speed controller. SI.

    `resistance_ohm` is the path through both transistors that conduct; `switching_loss_s` is the time that transitions
    take, all of one period together; `ripple_factor` scales the extra loss at part duty, 1 is typical; `freewheel_v` is
    the drop in the off part of a period beside that of the transistors: 0 where they freewheel, about 0.8 in diodes.
    """

    resistance_ohm: float
    switching_hz: float
    switching_loss_s: float
    ripple_factor: float
    freewheel_v: float = 0.0


@kernel
def conduction_loss(controller: Controller, motor_current_a: float) -> float:
    """Power lost in the transistors that conduct, W.

    p = i^2 * r
    Valid: any duty: one path or the other carries the motor current all the time.
    Source: Ohm's law; any power electronics textbook.
    """
    return controller.resistance_ohm * motor_current_a * motor_current_a


@kernel
def freewheel_loss(controller: Controller, motor_current_a: float, duty: float) -> float:
    """Power lost while the motor current freewheels, beside conduction, W.

    p = v_freewheel * i * (1 - d)
    Valid: 0 <= d <= 1, i >= 0; current that flows through the whole off part.
    Source: step-down chopper; any power electronics textbook.
    """
    return controller.freewheel_v * motor_current_a * max(1.0 - duty, 0.0)


@kernel
def switching_current(controller: Controller, motor_current_a: float, duty: float) -> float:
    """Pack current that feeds the switching loss, A; times the pack voltage it is the loss.

    i = i_motor * f * t * min((1 - d) / 0.05, 1)
    Valid: 0 <= d; zero at full duty, where nothing chops; commutation at full duty is left out.
    Source: hard-switched transition, v * i * t * f; any power electronics textbook. The fade is common practice.
    """
    chopping = min(max(1.0 - duty, 0.0) / PULSE_SKIP, 1.0)
    return motor_current_a * controller.switching_hz * controller.switching_loss_s * chopping


@kernel
def ripple_current(controller: Controller, motor: Motor, pack_voltage_v: float, duty: float) -> float:
    """Pack current that feeds the part-duty loss, A; times the pack voltage it is the loss.

    p = 2.5 k v i0(kv v) d (1 - d)
    A chopped voltage swings round its mean with mean square v^2 d (1 - d), eddy loss goes with mean square voltage, and
    turning at full voltage the iron takes v i0(kv v).
    Valid: 0 <= d <= 1; motor current flowing through the whole period: at light load below about a third of full duty
    it stops, and this reads high.
    Source: eddy loss over mean square voltage, any electrical machines textbook; its size from the open bench sweep of
    P. Cao and J. Strawson, 2018 (RIPPLE_RATIO).
    """
    at_full = no_load_current(motor, motor.kv_rad_s_v * pack_voltage_v)
    return RIPPLE_RATIO * controller.ripple_factor * at_full * max(duty * (1.0 - duty), 0.0)
