"""Turns a recording of the plain drive into a trace, as a logger with some of the channels would have written it."""

from collections.abc import Collection

import numpy as np

from steadyhead.trace.trace import Trace
from tests.naive.drive_log import Recording, Story, logged

CHANNEL = {
    "head": "head_speed_rpm",
    "motor": "motor_side_speed_rpm",
    "throttle": "throttle_percent",
    "duty": "duty",
    "volt": "pack_voltage_v",
    "amp": "pack_current_a",
    "height": "height_m",
    "collective": "collective_deg",
}
ALL = tuple(CHANNEL)
PITCH = [(0.0, 0.0, False), (28.0, 3.3, True), (50.0, 11.0, True), (52.6, 3.3, True)]
PUMPS = [(85.0, 10.0, True), (85.45, -8.0, True), (85.9, 10.0, True), (86.35, -8.0, True), (86.8, 10.0, True)]


def trace_of(recording: Recording, *, hertz: float = 50.0, keep: Collection[str] = ALL) -> Trace:
    """Return the trace of a recording with the kept channels."""
    time_s, columns = logged(recording, hertz)
    channels = {CHANNEL[name]: values for name, values in columns.items() if name in keep}
    return Trace(
        source="plain drive", time_s=time_s, channels=channels, rows_read=time_s.size, row=np.arange(time_s.size)
    )


def flight(autorotation_percent: float = 15.0, mode_percent: float = 70.0) -> Story:
    """Return a flight: start, mode change, two climb-outs, pumps, an autorotation with bail-out, landing, hold."""
    channel = [(0.0, 0.0), (4.0, 57.0), (24.0, mode_percent), (100.0, autorotation_percent), (105.0, mode_percent)]
    climbs = [*PITCH, (70.0, 11.0, True), (72.6, 3.3, True)]
    end = [(87.25, 3.3, True), (100.0, -3.0, True), (105.0, 3.3, True), (120.0, -1.0, False)]
    return Story(channel=[*channel, (160.0, 0.0)], collective=[*climbs, *PUMPS, *end], length_s=185.0)


def bench(*channel: tuple[float, float], length_s: float = 65.0) -> Story:
    """Return a bench run with the given switch positions, at flat pitch on the ground."""
    return Story(channel=[(0.0, 0.0), *channel], collective=[(0.0, 0.0, False)], length_s=length_s)
