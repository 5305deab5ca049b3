import pytest

from steadyhead.words.errors import InputError
from steadyhead.words.value import Origin
from tests.unit.machine.sample import instead, machine

MODES = '[[flight_mode]]\nname = "a"\nhead_speed = "1700 rpm"\n[[flight_mode]]\nname = "b"\nhead_speed = "1900 rpm"\n'


def test_a_second_stage_multiplies_the_ratio():
    two = machine(least=instead("[motor]", "second_pinion_teeth = 17\nsecond_gear_teeth = 68\n[motor]"))
    assert two.gear_ratio == pytest.approx(9.0 * 4.0)
    assert machine().gear_ratio == 9.0


def test_pole_pairs_are_half_the_poles_and_unknown_without_them():
    assert machine().pole_pairs is None
    assert machine(least=instead("[pack]", "poles = 10\n[pack]")).pole_pairs == 5.0


def test_rows_are_reached_by_number_from_one():
    read = machine(MODES)
    assert read.value("flight_mode.2.head_speed").number == 1900
    assert "flight_mode.1.head_speed" in dict(read.values())


@pytest.mark.parametrize(
    "key", ["rotor.raduis", "radius", "flight_mode.0.head_speed", "flight_mode.3.channel", "", "a.b.c"]
)
def test_an_unknown_key_is_refused_with_an_offer(key):
    with pytest.raises(InputError, match="unknown key"):
        machine(MODES).value(key)


def test_a_key_near_a_known_one_is_offered():
    with pytest.raises(InputError, match=r"did you mean rotor\.radius"):
        machine().value("rotor.raduis")


def test_typical_and_missing_and_stated_keys_are_kept_apart():
    read = machine('[airframe]\nmass = "3.6 kg"\n')
    assert "airframe.mass" not in read.typical()
    assert "rotor.chord" in read.typical()
    assert "motor.poles" in read.missing()
    assert "tail.driven_in_autorotation" in read.missing()
    assert not set(read.typical()) & set(read.missing())
    assert "gears.second_pinion_teeth" not in read.missing()


def test_a_value_that_the_owner_calls_typical_is_listed_as_typical():
    read = machine('[airframe]\nmass = {value = "3.6 kg", from = "typical"}\n')
    assert "airframe.mass" in read.typical()
    assert read.limit("airframe.mass").origin == "machine file, typical"


def test_shifting_moves_one_value_by_its_half_width_and_nothing_else():
    read = machine('[airframe]\nmass = "3.6 kg +- 0.1 kg"\n')
    moved = read.shifted("airframe.mass", -2.0)
    assert moved.value("airframe.mass").si == pytest.approx(3.4)
    assert moved.value("airframe.mass").number == pytest.approx(3.4)
    assert [key for key, value in moved.values() if value != read.value(key)] == ["airframe.mass"]


def test_shifting_stops_at_what_is_possible():
    read = machine(least=instead("[motor]", 'efficiency = "98 % +- 5 %"\n[motor]'))
    assert read.shifted("gears.efficiency", 1.0).value("gears.efficiency").si == 1.0


def test_shifting_an_exact_value_changes_nothing():
    read = machine()
    assert read.shifted("pack.cells", 1.0) is read


def test_an_unknown_value_cannot_be_shifted():
    with pytest.raises(InputError, match="an unknown value"):
        machine().shifted("motor.current_max", 1.0)


def test_a_replaced_count_stays_whole():
    read = machine().replaced({"gears.pinion_teeth": 14})
    assert read.gear_ratio == pytest.approx(117 / 14)
    with pytest.raises(InputError, match="a whole number of teeth"):
        machine().replaced({"gears.pinion_teeth": 14.5})


def test_several_values_are_replaced_together():
    read = machine(MODES).replaced(
        {"pack.capacity": 3.6 * 4000, "pack.resistance": 0.02, "flight_mode.2.head_speed": 200.0, "rotor.chord": 0.05}
    )
    assert read.value("pack.capacity").number == pytest.approx(4000)
    assert read.value("pack.resistance").si == 0.02
    assert read.value("flight_mode.2.head_speed").si == 200.0
    assert read.value("flight_mode.1.head_speed").number == 1700


def test_an_unknown_value_that_is_replaced_becomes_derived():
    read = machine().replaced({"site.pressure": 95000.0})
    assert read.value("site.pressure").origin is Origin.DERIVED
    assert read.value("site.pressure").number == pytest.approx(950)


def test_a_flag_is_no_number():
    with pytest.raises(InputError, match="a key that holds a number"):
        machine().replaced({"tail.driven_in_autorotation": 1.0})


@pytest.mark.parametrize(
    ("key", "value", "unit", "origin"),
    [
        ("limits.duty_max", 0.95, "", "common practice, no source"),
        ("limits.droop", 4.0, "%", "common practice, no source"),
        ("limits.tip_speed_max", 175.0, "m/s", "common practice, no source"),
        ("limits.head_speed_max", 2550.0, "rpm", "machine file, maker"),
        ("controller.temperature_max", 100.0, "°C", "machine file, measured"),
    ],
)
def test_a_limit_says_its_number_in_the_trades_unit_and_who_set_it(key, value, unit, origin):
    limit = machine(
        '[limits]\nhead_speed_max = "42.5 rev/s"\n'
        '[controller]\ntemperature_max = {value = "212 degF", from = "measured"}\n'
    ).limit(key)
    assert limit.value == pytest.approx(value, rel=1e-12)
    assert (limit.unit, limit.origin) == (unit, origin)


def test_a_limit_that_nobody_stated_is_none():
    assert machine().limit("limits.head_speed_max") is None
    assert machine().limit("motor.winding_temperature_max") is None


def test_a_machine_does_not_change_after_reading():
    with pytest.raises(ValueError, match="frozen"):
        machine().rotor.radius = None
