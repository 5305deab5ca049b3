"""Bundled machines made ready for the governor, once for all tests."""

from functools import cache

from steadyhead.flight.governor_case import Bench, Case, bench, case_of, cases
from steadyhead.flight.linear_point import points
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import read_machine


@cache
def machine(name: str) -> Machine:
    return read_machine(bundled(name))


@cache
def ready(name: str, mode: str | None = "normal") -> Bench:
    return bench(machine(name), mode)


@cache
def case(name: str, load: str, charge: float = 1.0, mode: str = "normal") -> Case:
    one = ready(name, mode)
    at = one.modes[0]
    return case_of(one, at, points(one.rotors(at), charge, (load,))[0])


@cache
def stepped(name: str) -> tuple[Case, ...]:
    return cases(ready(name), ("hover", "climb"))[0]
