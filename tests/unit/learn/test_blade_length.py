"""The rotor's radius as hovers show it: the length flown comes out whatever the file says, or nothing is said."""

import math
from dataclasses import replace

import numpy as np
import pytest

from steadyhead.flight.engine import flown
from steadyhead.flight.scenario_file import scenario_from_text
from steadyhead.learn.blade_length import hover_of, radius_seen
from steadyhead.learn.joint import Joint, joint, models_of
from steadyhead.learn.rows import evidence
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import read_machine
from steadyhead.trace.trace import Trace
from tests.noisy_flight import logged

MACHINE = read_machine(bundled("fox600"))
HOVERS = """name = "hovers"
says = "invented: soft start at flat pitch, two long hovers, landing"
switch = "hold"
""" + "".join(
    f"\n[[step]]\n{step}\n"
    for step in (
        'do = "wait"\nfor = "3 s"', 'do = "wait"\nswitch = "mode 1"\nfor = "25 s"',
        'do = "hover"\nheight = "8 m"\nfor = "22 s"', 'do = "hover"\nheight = "12 m"\nfor = "15 s"',
        'do = "land"\nfor = "14 s"', 'do = "wait"\nswitch = "hold"\nfor = "20 s"',
    )
)  # fmt: skip


@pytest.fixture(scope="module")
def log() -> Trace:
    """A log of the invented machine as its file has it, by sensors that err."""
    warm = MACHINE.replaced({"pack.warm": MACHINE.value("site.temperature").si + 8.0})  # type: ignore[union-attr]
    return logged(warm, flown(warm, scenario_from_text(HOVERS, "hovers")).trace, np.random.default_rng(7))


def made_with(machine: Machine, trace: Trace) -> Joint:
    one = evidence(machine, trace)
    assert one is not None
    return joint(machine, models_of(machine, [one]))


@pytest.mark.parametrize("stated_m", [0.61, 0.66, 0.71])
def test_hovers_show_the_radius_that_was_flown_whatever_the_file_says(log: Trace, stated_m: float) -> None:
    machine = MACHINE.replaced({"rotor.radius": stated_m})
    ends = radius_seen(machine, made_with(machine, log))
    assert ends is not None
    assert ends[0] <= 0.66 <= ends[1]
    assert math.log(ends[1] / ends[0]) < 0.12
    assert (ends[0] <= stated_m <= ends[1]) is (stated_m == 0.66)


def test_twice_the_mass_in_the_file_is_not_taken_for_the_same_blades(log: Trace) -> None:
    heavy = MACHINE.replaced({"airframe.mass": 1.3 * 3.6})
    seen, right = radius_seen(heavy, made_with(heavy, log)), radius_seen(MACHINE, made_with(MACHINE, log))
    assert right is not None
    assert seen is None or seen[0] > right[0]


@pytest.mark.parametrize("gone", ["collective_deg", "height_m", "pack_current_a"])
def test_a_log_without_what_a_hover_needs_says_nothing(log: Trace, gone: str) -> None:
    bare = replace(log, channels={name: values for name, values in log.channels.items() if name != gone})
    one = evidence(MACHINE, bare)
    assert one is not None
    (model,) = models_of(MACHINE, [one])
    assert hover_of(model, {}) is None
