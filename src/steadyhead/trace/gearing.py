"""What the owner knows that turns a logged speed, voltage or pulse into a trace channel."""

from typing import NamedTuple


class Gearing(NamedTuple):
    """Numbers of one machine that a log reader needs; None is unknown.

    `ratio` is motor turns per head turn, `pole_pairs` electrical turns per motor turn, `cells` the cells in series.
    The rest helps to tell columns apart: motor constant, the pulse widths at 0 and 100 % channel, and the head speeds
    that the flight modes are meant to hold.
    """

    ratio: float | None = None
    pole_pairs: float | None = None
    cells: float | None = None
    kv_rpm_v: float | None = None
    pulse_low_us: float | None = None
    pulse_high_us: float | None = None
    head_speeds_rpm: tuple[float, ...] = ()
