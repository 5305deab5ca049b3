"""Rigs that the flight tests share: the invented bundled machine, with and without blades."""

from functools import cache

import numpy as np

from steadyhead.flight.engine import flown
from steadyhead.flight.result import Flight
from steadyhead.flight.rig import Rig, rig
from steadyhead.flight.scenario_file import read_scenario, scenario_from_text
from steadyhead.flight.trace_of import AT
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import read_machine


@cache
def fox() -> Machine:
    return read_machine(bundled("fox600"))


@cache
def good_fox() -> Machine:
    """The same machine with its autorotation position between cut-off and start, where it belongs."""
    return fox().replaced({"channel.autorotation": 0.12})


@cache
def fox_rig() -> Rig:
    return rig(fox(), blades_on=True)


@cache
def flight(name: str) -> Flight:
    return flown(good_fox(), read_scenario(name))


def flown_text(text: str, machine: Machine | None = None, **more: float) -> Flight:
    return flown(machine or good_fox(), scenario_from_text(text, "test.toml"), **more)


def column(one: Flight, name: str) -> np.ndarray:
    return one.record[:, AT[name]]
