"""The smallest machine file, and the way tests add to it. Invented."""

from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text

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


def machine(more: str = "", *, least: str = LEAST) -> Machine:
    return machine_from_text(least + more, "sample.toml")


def without(line: str) -> str:
    return LEAST.replace(f"{line}\n", "")


def instead(old: str, new: str) -> str:
    assert old in LEAST
    return LEAST.replace(old, new)
