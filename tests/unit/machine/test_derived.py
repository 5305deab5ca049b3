import pytest

from steadyhead.words.value import Origin
from tests.unit.machine.sample import machine

WEIGHED = """\
[rotor]
blades = 3
blade_length = "500 mm"
radius = "560 mm"
blade_mass = {value = "100 g", spread = "1 g", from = "measured"}
"""


def test_the_rotors_inertia_is_that_of_uniform_blades_standing_off_the_shaft():
    slices = 20000
    by_slices = sum(0.1 / slices * (0.060 + 0.5 * (i + 0.5) / slices) ** 2 for i in range(slices))
    inertia = machine(WEIGHED).value("rotor.inertia")
    assert inertia.si == pytest.approx(3 * by_slices, rel=1e-6)
    assert inertia.origin is Origin.DERIVED


def test_an_inertia_from_a_guessed_blade_mass_is_typical():
    inertia = machine('[rotor]\nblades = 2\nblade_length = "600 mm"\nradius = "660 mm"\n').value("rotor.inertia")
    assert inertia.is_typical


def test_weighing_the_blades_makes_the_inertia_better_known():
    guessed = machine('[rotor]\nblades = 3\nblade_length = "500 mm"\nradius = "560 mm"\n').value("rotor.inertia")
    weighed = machine(WEIGHED).value("rotor.inertia")
    assert weighed.spread_si / weighed.si < guessed.spread_si / guessed.si


def test_radius_and_blade_length_follow_from_each_other():
    from_blade = machine('[rotor]\nblade_length = "600 mm"\n').value("rotor.radius")
    assert from_blade.si == pytest.approx(0.663)
    assert from_blade.is_typical
    back = machine('[rotor]\nradius = "663 mm"\n').value("rotor.blade_length")
    assert back.si == pytest.approx(0.6)
    assert back.number == pytest.approx(600)
    assert back.unit == "mm"


def test_collective_goes_as_far_down_as_up():
    assert machine('[rotor]\ncollective_max = "11 deg"\n').value("rotor.collective_min").number == pytest.approx(-11)


def test_a_larger_pack_has_less_resistance_and_more_cells_have_more():
    usual = machine().value("pack.resistance").si
    larger = machine(least=_pack(12, 6600)).value("pack.resistance").si
    fewer = machine(least=_pack(6, 3300)).value("pack.resistance").si
    assert larger == pytest.approx(usual / 2)
    assert fewer == pytest.approx(usual / 2)


@pytest.mark.parametrize(("capacity", "low", "high"), [(2000, 1.5, 4.5), (3300, 1.5, 4.0), (5000, 1.5, 4.0)])
def test_a_cell_has_the_resistance_that_cells_usually_have(capacity, low, high):
    cell_mohm = machine(least=_pack(1, capacity)).value("pack.resistance").si * 1e3
    assert low <= cell_mohm <= high


def test_the_slow_resistance_follows_a_measured_quick_one():
    read = machine(least=_pack(12, 3300) + 'resistance = "50 mohm"\n')
    assert read.value("pack.slow_resistance").si == pytest.approx(0.02)


def _pack(cells, capacity):
    from tests.unit.machine.sample import LEAST

    return LEAST.replace("cells = 12", f"cells = {cells}").replace("3300 mAh", f"{capacity} mAh")
