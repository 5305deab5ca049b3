"""Bail-outs on a graphics card, one thread a flight; the flight is the kernel of `bail_out_flight`."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out_case import Ready
from steadyhead.flight.bail_out_flight import bail_out
from steadyhead.flight.bail_out_kept import Limits
from steadyhead.flight.bail_out_settled import settle_case
from steadyhead.flight.device import Block, Device, card, launched
from steadyhead.flight.loop import Setting
from steadyhead.physics.craft import Craft
from steadyhead.physics.rotor_map import RotorMap

FEWEST = 1000
"""Fewer flights than this are over sooner on the processor: a card needs many at once."""
BLOCK = Block(threads=64, registers=128)
"""By trial: fewer registers than a thread would like let more threads stand ready while others wait for numbers."""
FIRST_LOOK = 2.0
"""The first look reaches to this times the middle forecast: one flight in hundreds that never comes level would hold
up its neighbours for all of the time that is looked at."""
CASES, TELLS, SCRATCH = len(columns.CASE), len(columns.TOLD), 79

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
cuda: Any = None
"""Stands for the card's own words, which `device.entry` puts in its place."""


def on_card(own: Ready, count: int) -> bool:
    """Whether so many flights are worked out on the graphics card."""
    return own.device is Device.CUDA and count >= FEWEST


def flown_on_card(own: Ready, cases: Floats) -> Floats:
    """Return what every case tells; the few that are not over after the first look are flown again to the end.

    Shapes: cases (n, 33) as `bail_out_columns.CASE` -> (n, 19) as `bail_out_columns.TOLD`.
    Raises: InputError as `device.card`.
    """
    look_s = FIRST_LOOK * float(np.median(level_after(cases)))
    told = _flown(own, cases, min(look_s, own.limits.longest_s))
    left = told[:, columns.CODE] == columns.NOT_LEVEL
    if left.any() and look_s < own.limits.longest_s:
        told[left] = _flown(own, cases[left], own.limits.longest_s)
    return told


def _flown(own: Ready, cases: Floats, longest_s: float) -> Floats:
    order = np.argsort(-level_after(cases), kind="stable")
    told, limits = card().device_array((cases.shape[0], TELLS)), own.limits._replace(longest_s=longest_s)
    launched(each_bail_out, BLOCK, len(cases), own.craft, own.map, own.setting, limits, cases, order, told)
    found: Floats = told.copy_to_host()
    return found


def settled_on_card(own: Ready, cases: Floats, pitch_miss_rad: Floats) -> None:
    """Put every drawn machine into its own steady glide, or its own level flight.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`, pitch_miss_rad (n,).
    Raises: InputError as `device.card`.
    """
    here = card().to_device(cases)
    launched(each_settled, BLOCK, len(cases), own.craft, own.map, own.set_rad_s, pitch_miss_rad, here)
    cases[:] = here.copy_to_host()


def level_after(cases: Floats) -> Floats:
    """Forecast when each bail-out is level, s, from its case alone; threads that go in step are put by it.

    Thirty-two threads of a card wait for the longest flight among them, so like lengths stand together.
    Shapes: cases (n, 33) as `bail_out_columns.CASE` -> (n,).
    """
    waits = cases[:, columns.REACTION] + cases[:, columns.RECOGNITION] + cases[:, columns.SPOOL]
    stops: Floats = np.maximum(cases[:, columns.SINK], 0.0) / cases[:, columns.ARREST]
    return waits + stops


def each_bail_out(
    craft: Craft, rotor_map: RotorMap, setting: Setting, limits: Limits, cases: Floats, order: Whole, told: Floats
) -> None:  # fmt: skip
    """Fly one bail-out in one thread of the card, in memory that is the thread's own.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`, order (n,) the case of each thread, told (n, 19) as
    `bail_out_columns.TOLD`.
    """
    if cuda.grid(1) >= cases.shape[0]:
        return
    number = order[cuda.grid(1)]
    case, scratch = cuda.local.array(CASES, np.float64), cuda.local.array(SCRATCH, np.float64)
    out, record = cuda.local.array(TELLS, np.float64), cuda.local.array((1, 8), np.float64)
    for column in range(CASES):
        case[column] = cases[number, column]
    bail_out(craft, rotor_map, setting, limits, case, scratch, out, record[:0])
    for column in range(TELLS):
        told[number, column] = out[column]


def each_settled(craft: Craft, rotor_map: RotorMap, set_rad_s: float, miss_rad: Floats, cases: Floats) -> None:
    """Settle one case in one thread of the card.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`, miss_rad (n,).
    """
    number = cuda.grid(1)
    if number < cases.shape[0]:
        settle_case(craft, rotor_map, set_rad_s, miss_rad[number], cases[number])
