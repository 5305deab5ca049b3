import pytest

from steadyhead.machine.keys import Missing
from steadyhead.machine.typical import BY_SIZE, NOTES, SIZES, class_band, interpolated
from steadyhead.words.value import Origin
from tests.unit.machine.sample import instead, machine


def of_size(size):
    return machine(least=instead("= 600", f"= {size}"))


@pytest.mark.parametrize("size", range(400, 801, 50))
def test_every_key_that_has_a_typical_value_is_filled_in_every_size(size):
    read = of_size(size)
    for key in read.typical():
        assert read.value(key).note == NOTES.get(key, "common practice, no source")
    for table in ("rotor", "tail", "gears", "motor", "controller", "pack", "airframe", "channel", "site", "limits"):
        for name, declared in getattr(read, table).declared().items():
            if declared.missing is Missing.TYPICAL:
                assert read.value(f"{table}.{name}") is not None, f"{table}.{name}"


@pytest.mark.parametrize("key", BY_SIZE)
def test_a_class_band_is_a_band_of_positive_numbers(key):
    for size in range(400, 801, 10):
        low, high = class_band(size, key)
        assert 0 < low < high, size


def test_a_class_of_the_table_gives_its_row_and_one_between_the_middle():
    low, high = class_band(600, "airframe.mass")
    assert (low, high) == (3.2, 4.1)
    assert class_band(525, "airframe.mass") == pytest.approx((2.1, 2.75))
    assert class_band(400, "airframe.mass") == class_band(450, "airframe.mass")
    assert class_band(800, "airframe.mass") == pytest.approx((6.2, 7.1))


def test_a_typical_value_is_the_middle_of_its_band_and_its_spread_reaches_both_ends():
    mass = of_size(600).value("airframe.mass")
    assert mass.si - mass.spread_si == pytest.approx(3.2)
    assert mass.si + mass.spread_si == pytest.approx(4.1)
    assert mass.origin is Origin.TYPICAL


def test_what_we_know_little_of_is_at_least_half_in_doubt():
    read = of_size(600)
    for key in (
        "motor.resistance",
        "motor.winding_to_case",
        "controller.to_air",
        "pack.resistance",
        "airframe.drag_area",
    ):
        value = read.value(key)
        assert value.spread_si >= 0.499 * value.si, key


def test_sizes_rise_with_every_row():
    assert list(SIZES) == sorted(SIZES)
    assert interpolated(700, ((0, 0),) * 4 + ((1, 2),)) == (1, 2)


def test_a_pack_to_choose_from_gets_a_typical_resistance():
    read = machine('[[pack_choice]]\nname = "a"\ncells = 12\ncapacity = "3300 mAh"\n')
    assert read.value("pack_choice.1.resistance").si == pytest.approx(read.value("pack.resistance").si)
    assert read.value("pack_choice.1.resistance").is_typical


def test_the_doubt_on_the_section_is_the_one_its_table_states():
    from steadyhead.physics.section import DRAG_SPREAD, LIFT_SPREAD

    assert machine().value("rotor.lift_factor").spread_si == LIFT_SPREAD
    assert machine().value("rotor.drag_factor").spread_si == DRAG_SPREAD
