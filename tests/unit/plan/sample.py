"""Machines that the plan's tests stand on; all invented."""

from functools import cache

from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text, read_machine
from steadyhead.plan.solved import Solved, solve

LEAST = """\
[machine]
name = "sample"
size_class = 600
[gears]
pinion_teeth = 13
main_gear_teeth = 117
[motor]
kv = "560 rpm/V"
[pack]
cells = 12
capacity = "3300 mAh"
"""
ONE_MODE = LEAST + '[[flight_mode]]\nname = "idle-up 1"\nhead_speed = "1990 rpm"\n'


@cache
def fox() -> Machine:
    return read_machine(bundled("fox600"))


@cache
def fox_solved() -> Solved:
    return solve(fox())


@cache
def one_mode() -> Machine:
    return machine_from_text(ONE_MODE, "sample.toml")


@cache
def one_mode_solved() -> Solved:
    return solve(one_mode())


def without_modes() -> Machine:
    return machine_from_text(LEAST, "sample.toml")
