"""The rest voltage of a cell differs by make: no duty is known more closely than that lets it be."""

import pytest

from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text, read_machine, read_machine_text
from steadyhead.plan.figures import AT
from steadyhead.plan.solved import solve

KEY = "pack.cell_rest_offset"
MACHINE = read_machine(bundled("fox600"))
DUTY = (0, 0, 2, AT["duty"])
"""Hover in the first mode, half pack."""


def stated(line: str) -> Machine:
    text = read_machine_text(bundled("fox600"))
    return machine_from_text(text.replace("[pack]\n", f"[pack]\n{line}\n", 1), "stated.toml")


def test_makes_of_cells_differ_by_eight_hundredths_of_a_volt_where_nobody_says() -> None:
    value = MACHINE.value(KEY)
    assert value is not None
    assert value.is_typical
    assert (value.si, value.spread_si) == (0.0, pytest.approx(0.08))


def test_the_make_of_the_cells_carries_two_per_cent_of_the_duty() -> None:
    solved = solve(MACHINE)
    duty, part = solved.central.figures[DUTY], solved.figures.parts[KEY][DUTY]
    # 0.08 V of some 3.75 V under load; the duty goes with one over the voltage.
    assert part**0.5 / duty == pytest.approx(0.0215, rel=0.1)


def test_cells_that_rest_lower_ask_for_more_duty_and_a_stated_offset_leaves_less_doubt() -> None:
    lower, central = solve(stated('cell_rest_offset = { value = "-0.05 V", spread = "0.02 V" }')), solve(MACHINE)
    assert lower.central.figures[DUTY] == pytest.approx(1.0135 * central.central.figures[DUTY], rel=0.003)
    assert lower.figures.parts[KEY][DUTY] < 0.1 * central.figures.parts[KEY][DUTY]
