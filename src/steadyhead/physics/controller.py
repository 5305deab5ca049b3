"""Speed controller: conduction, switching and part-duty loss."""

from typing import NamedTuple


class Controller(NamedTuple):
    """What a kernel needs to know of a speed controller. SI.

    `switching_loss_s` is the time a transition takes, all of them in one period together; `ripple_factor` scales the
    extra loss at part duty.
    """

    resistance_ohm: float
    switching_hz: float
    switching_loss_s: float
    ripple_factor: float
