import pytest

from steadyhead.machine.bundled import BUNDLED, bundled
from steadyhead.machine.plausible import remarks
from steadyhead.machine.reading import read_machine
from tests.unit.machine.sample import instead, machine

MODE = '[[flight_mode]]\nname = "fast"\nhead_speed = "{rpm} rpm"\n'


@pytest.mark.parametrize("name", BUNDLED)
def test_the_bundled_machines_look_plausible(name):
    assert remarks(read_machine(bundled(name))) == ()


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('[airframe]\nmass = "0.9 kg"\n', "airframe.mass is 0.9 kg"),
        ('[airframe]\nmass = "9 kg"\n', "usual for a 600 class machine is 3.2 to 4.1 kg"),
        ('[rotor]\nblade_mass = "1.3 kg"\n', "rotor.blade_mass is 1.3 kg"),
        ('[rotor]\nradius = "0.605 m"\nblade_length = "600 mm"\n', "5 to 20 % more than the blade"),
        (MODE.format(rpm=2650), "is a tip speed of 18"),
        (MODE.format(rpm=1000), "is a tip speed of"),
        (MODE.format(rpm=5000), "reach 3136 rpm without any load"),
    ],
)
def test_a_value_far_outside_its_class_is_remarked(more, said):
    assert any(said in remark for remark in remarks(machine(more)))


def test_a_cell_count_far_from_the_class_is_remarked():
    assert any("pack.cells is 3" in remark for remark in remarks(machine(least=instead("cells = 12", "cells = 3"))))


def test_typical_values_are_never_remarked():
    assert remarks(machine()) == ()
