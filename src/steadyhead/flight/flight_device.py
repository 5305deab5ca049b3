"""Whole flights on a graphics card, one thread a flight; the flight is the kernel of `many_flights`."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.bail_out_columns import CASE
from steadyhead.flight.begin import Placed
from steadyhead.flight.device import Block, card, launched
from steadyhead.flight.loop import AGES, Setting
from steadyhead.flight.many_flights import FLOWN, flight_told
from steadyhead.physics.books import ENTRIES
from steadyhead.physics.craft import Craft
from steadyhead.physics.rotor_flow import RINGS

BLOCK = Block(threads=256, registers=255)
"""By trial: a flight moves so many numbers that more threads at once than these only crowd each other's memory."""
CASES, TELLS, MEMORY = len(CASE), len(FLOWN), len(ENTRIES) + AGES

Floats = NDArray[np.float64]
cuda: Any = None
"""Stands for the card's own words, which `device.entry` puts in its place."""


def flights_on_card(craft: Craft, setting: Setting, placed: Placed, cases: Floats, commands: Floats) -> Floats:
    """Return what the flight of every case tells.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`, commands (f, 9) as `loop.COMMANDS` -> (n, 15) as `FLOWN`.
    Raises: InputError as `device.card`.
    """
    told = card().device_array((cases.shape[0], TELLS))
    launched(each_flight, BLOCK, cases.shape[0], craft, setting, placed, cases, commands, told)
    found: Floats = told.copy_to_host()
    return found


def each_flight(
    craft: Craft, setting: Setting, placed: Placed, cases: Floats, commands: Floats, told: Floats
) -> None:  # fmt: skip
    """Fly one case in one thread of the card, in memory that is the thread's own.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`, commands (f, 9) as `loop.COMMANDS`, told (n, 15) as `FLOWN`.
    """
    number = cuda.grid(1)
    if number >= cases.shape[0]:
        return
    case, out = cuda.local.array(CASES, np.float64), cuda.local.array(TELLS, np.float64)
    flow, memory = cuda.local.array((3, RINGS), np.float64), cuda.local.array(MEMORY, np.float64)
    for column in range(CASES):
        case[column] = cases[number, column]
    flight_told(craft, setting, placed, case, commands, flow, memory, out)
    for column in range(TELLS):
        told[number, column] = out[column]
