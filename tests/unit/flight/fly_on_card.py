"""Flies the same bail-outs on the processor and on the card, and prints how far apart they are as JSON.

Run by the test beside it in a process of its own: the simulator of a card has to be asked for before numba is loaded.
"""

import json
import sys
from dataclasses import replace

import numpy as np

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight import bail_out_device
from steadyhead.flight.bail_out_case import base_case, ready
from steadyhead.flight.bail_out_drawn import drawn_cases, settle
from steadyhead.flight.bail_out_height import flown, granted
from steadyhead.flight.device import Device, name_of
from steadyhead.flight.drawn_flights import drawn_flights
from steadyhead.flight.many_flights import CELLS_J, CODE
from steadyhead.flight.scenario_file import read_scenario
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine

TIES = (columns.PINION_SPEED,)
"""The speed at which the pinion's torque was greatest: where two moments tie, the last digit decides between them."""


def gap(one, other):
    """Greatest difference over the greatest size in each column."""
    same = (one == other) | (np.isnan(one) & np.isnan(other))
    size = np.max(np.where(np.isfinite(one), np.abs(one), 0.0), axis=0) + 1e-300
    with np.errstate(invalid="ignore"):
        return float(np.max(np.where(same, 0.0, np.abs(one - other) / size)))


def main():
    simulated = name_of(Device.CUDA).endswith("a simulated card")
    own = ready(read_machine(bundled("fox600")), 1)
    cases = granted(own, drawn_cases(own, base_case(own, 0.0), 3 if simulated else 2000))
    if simulated:
        # Short flights whose pilot acts at once, cut off soon, all but the first look flown again.
        own = replace(own, limits=own.limits._replace(longest_s=0.3))
        cases[:, columns.REACTION] = [0.02, 0.1, 0.06]
        bail_out_device.FIRST_LOOK = 0.02
    card_s = replace(own, device=Device.CUDA)
    bail_out_device.FEWEST = 1
    told, on_card = flown(own, cases), flown(card_s, cases)
    moved = cases.copy()
    moved[:, columns.DENSITY] *= 0.9
    settled, settled_on_card, miss = moved.copy(), moved.copy(), np.linspace(-0.01, 0.01, len(cases))
    settle(own, settled, miss)
    settle(card_s, settled_on_card, miss)
    scenario = read_scenario("hover")
    if simulated:
        short = replace(scenario.steps[0], for_s=0.06)
        scenario = replace(scenario, steps=(short,))
    peaks, peaks_on_card = (drawn_flights(one, scenario, cases[:100]) for one in (own, card_s))
    kept = [column for column in range(told.shape[1]) if column not in TIES]
    found = {
        "device": name_of(Device.CUDA),
        "flights": len(cases),
        "same_endings": bool(np.array_equal(told[:, columns.CODE], on_card[:, columns.CODE])),
        "same_flights": bool(np.array_equal(peaks[:, CODE], peaks_on_card[:, CODE])),
        "peaks_gap": gap(peaks, peaks_on_card),
        "energy_j": float(peaks_on_card[:, CELLS_J].min()),
        "told_gap": gap(told[:, kept], on_card[:, kept]),
        "settled_gap": gap(settled, settled_on_card),
        "settling_moved_by": gap(moved, settled),
    }
    sys.stdout.write(json.dumps(found) + "\n")


if __name__ == "__main__":
    main()
