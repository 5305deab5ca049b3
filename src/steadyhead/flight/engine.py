"""Flies a scenario: the compiled loop in slices, then the trace, the peaks and the books."""

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.begin import Arrays, at_rest, hovering
from steadyhead.flight.commands import commands, mode_number, switch_position
from steadyhead.flight.figures import catch_ups, peaks, touchdowns
from steadyhead.flight.loop import COLUMNS, Now, fly
from steadyhead.flight.result import Flight
from steadyhead.flight.rig import Rig, rig
from steadyhead.flight.scenario import Scenario, Start
from steadyhead.flight.stops import FLIGHT_STOP_SAYS, FlightStop
from steadyhead.flight.trace_of import trace_of
from steadyhead.machine.description import Machine
from steadyhead.physics.books import ENTRIES, stored_energy
from steadyhead.physics.kernel import source_of
from steadyhead.words.errors import SolveError
from steadyhead.words.progress import Say, silent

SLICES = 20
"""A flight is flown in so many slices; between two of them it can be watched and stopped."""


def flown(machine: Machine, scenario: Scenario, *, step_s: float | None = None, say: Say = silent) -> Flight:
    """Return the flight of a scenario. `step_s` is the longest step to take, s; left out, the usual one.

    Raises: InputError naming the step of an impossible scenario or the value of an impossible machine; SolveError when
    the numbers run away, naming the time.
    """
    ready = rig(machine, blades_on=scenario.blades, step_s=step_s)
    now, arrays = begun(ready, scenario)
    asked = commands(scenario, ready, now.asked_rad)
    return flight_of(machine, scenario, ready, now, arrays, asked, say)


def begun(ready: Rig, scenario: Scenario) -> tuple[Now, Arrays]:
    """Return how a scenario begins.

    Raises: InputError when it cannot.
    """
    position = switch_position(ready, scenario.switch, f"{scenario.source}, switch")
    percent = position.percent or 0.0
    if scenario.start is Start.REST:
        return at_rest(ready, charge=scenario.charge, collective_rad=0.0, channel_percent=percent)
    mode = mode_number(ready, scenario.switch, f"{scenario.source}, switch")
    return hovering(ready, mode=mode, channel_percent=percent, height_m=scenario.height_m, charge=scenario.charge)


def flight_of(
    machine: Machine, scenario: Scenario, ready: Rig, now: Now, arrays: Arrays, asked: NDArray[np.float64], say: Say
) -> Flight:  # fmt: skip
    """Return the flight of given commands.

    Raises: SolveError when the numbers run away, naming the time.
    """
    clock, begin = ready.setting.clock, now.state
    flow, memory = arrays
    steps = asked.shape[0] * clock.steps_a_frame
    record = np.full((steps // clock.steps_a_row + 1, len(COLUMNS)), math.nan)
    code = FlightStop.DONE
    edges = np.linspace(0, steps, SLICES + 1).astype(int)
    for first, last in pairwise(edges):
        say(f"fly {first * clock.step_s:.0f} of {steps * clock.step_s:.0f} s")
        got, now = fly(ready.craft, ready.setting, now, asked, flow, memory, record, int(last - first))
        code = FlightStop(got)
        if code is not FlightStop.DONE:
            break
    ended_s = now.step * clock.step_s
    if code is FlightStop.NOT_FINITE:
        raise SolveError(f"{scenario.source}: {FLIGHT_STOP_SAYS[code]} at {ended_s:.3f} s; look at {suspect(ready)}")
    rows = record[1 : now.step // clock.steps_a_row + 1]
    books = {name: float(memory[number]) for number, name in enumerate(ENTRIES)}
    stored = source_of(stored_energy)
    gained = stored(ready.craft, now.state, now.forward_m_s) - stored(ready.craft, begin, 0.0)
    books["stored_j"] = float(gained)
    gap = 2.0 * books["cells_j"] - sum(books.values())
    at = "" if code is FlightStop.DONE else f" at {ended_s:.2f} s"
    return Flight(
        machine=machine.name,
        machine_revision=machine.revision,
        scenario=scenario.name,
        says=scenario.says,
        ended=FLIGHT_STOP_SAYS[code] + at,
        whole=code is FlightStop.DONE,
        duration_s=ended_s,
        step_s=clock.step_s,
        governor_sample_s=clock.step_s * clock.steps_a_sample,
        pulse_frame_s=clock.step_s * clock.steps_a_frame,
        peaks=peaks(rows),
        catch_ups=catch_ups(rows),
        touchdowns=touchdowns(rows),
        energy_j=books,
        energy_gap_j=gap,
        assumptions=ready.assumptions,
        trace=trace_of(scenario, ready, rows, f"{machine.name}: {scenario.name} (simulated)"),
        record=rows,
    )


def suspect(ready: Rig) -> str:
    """Return the value that most likely ran away: the smallest inertia against what drives it."""
    body = ready.craft.body
    light = "motor.inertia" if body.motor_kg_m2 * ready.craft.gears.ratio**2 < body.head_kg_m2 else "rotor.inertia"
    return f"{light} and governor.gain"
