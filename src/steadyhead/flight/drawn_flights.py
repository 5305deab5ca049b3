"""A scenario flown by thousands of drawn machines, of which only the peaks are kept; on the processor or on a card."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.bail_out_case import Ready
from steadyhead.flight.bail_out_device import on_card
from steadyhead.flight.batches import in_batches
from steadyhead.flight.begin import Placed
from steadyhead.flight.commands import commands, mode_number
from steadyhead.flight.engine import begun
from steadyhead.flight.flight_device import flights_on_card
from steadyhead.flight.many_flights import FLOWN, flights_told
from steadyhead.flight.scenario import Scenario, Start

FEW = 4
"""Flights of a batch: each takes as long as hundreds of bail-outs."""

Floats = NDArray[np.float64]


def drawn_flights(own: Ready, scenario: Scenario, cases: Floats) -> Floats:
    """Return what the flight of every case tells; all get the commands of the machine as described.

    Shapes: cases (n, 33) as `bail_out_columns.CASE` -> (n, 15) as `many_flights.FLOWN`.
    Raises: InputError when the scenario cannot begin, or as `device.card`.
    """
    placed, asked = asked_of(own, scenario)
    setting = own.rig.setting
    if on_card(own, cases.shape[0]):
        return flights_on_card(own.craft, setting, placed, cases, asked)
    told = np.empty((cases.shape[0], len(FLOWN)))

    def part(here: slice) -> None:
        flights_told(own.craft, setting, placed, cases[here], asked, told[here])

    in_batches(cases.shape[0], part, each=FEW, threads=own.threads)
    return told


def asked_of(own: Ready, scenario: Scenario) -> tuple[Placed, Floats]:
    """Return where a scenario begins, and its commands for the machine as described.

    Shapes: commands (f, 9) as `loop.COMMANDS`.
    Raises: InputError when it cannot begin.
    """
    now, _ = begun(own.rig, scenario)
    at_rest = scenario.start is Start.REST
    mode = 0 if at_rest else mode_number(own.rig, scenario.switch, f"{scenario.source}, switch")
    placed = Placed(
        int(at_rest), own.rig.set_rad_s[mode], now.channel_percent, now.state.height_m, now.state.charge
    )  # fmt: skip
    return placed, commands(scenario, own.rig, now.asked_rad)
