import pint
import pytest

from steadyhead.machine.units import DIFFERENCES, FAMILIES, explained, family_of

REGISTRY = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
SI = {
    "length": "m",
    "area": "m**2",
    "mass": "kg",
    "moment of inertia": "kg*m**2",
    "angle": "rad",
    "turning speed": "rad/s",
    "motor speed per volt": "rad/s/V",
    "speed": "m/s",
    "resistance": "ohm",
    "current": "A",
    "voltage": "V",
    "charge": "A*s",
    "torque": "N*m",
    "time": "s",
    "frequency": "Hz",
    "temperature": "K",
    "heat capacity": "J/K",
    "heat resistance": "K/W",
    "air pressure": "Pa",
    "stress": "Pa",
    "twisting stiffness": "N*m/rad",
    "percentage": "dimensionless",
    "percentage per second": "1/s",
    "share": "dimensionless",
}


def spellings():
    return [(family, unit) for family, units in FAMILIES.items() for unit in units]


@pytest.mark.parametrize(("family", "unit"), spellings())
@pytest.mark.parametrize("number", [1.0, 250.0])
def test_every_spelling_is_worth_what_the_units_library_says(family, unit, number):
    spelling = FAMILIES[family][unit]
    theirs = REGISTRY.Quantity(number, spelling.pint or unit).to(SI[family]).magnitude
    assert number * spelling.factor + spelling.offset == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("unit", DIFFERENCES)
def test_a_difference_of_temperature_has_the_size_of_its_degree(unit):
    assert DIFFERENCES[unit] == FAMILIES["temperature"][unit].factor


def test_a_spelling_belongs_to_one_family_except_the_percent_sign():
    seen = [unit for units in FAMILIES.values() for unit in units if unit not in ("", "%")]
    assert len(seen) == len(set(seen))


def test_turns_per_minute_are_not_taken_for_plain_reciprocal_minutes():
    assert family_of("1/min") is None
    assert family_of("rpm") == "turning speed"


def test_a_foreign_unit_is_explained_in_the_wanted_one():
    assert explained(2.0, "yard", "length", "m") == ', which would be "1.8288 m"'


@pytest.mark.parametrize("unit", ["blub", "kg", "m**", "((", "%%", "[length]", "1e999999999", "e" * 50])
def test_what_the_units_library_does_not_understand_goes_without_explanation(unit):
    assert explained(2.0, unit, "length", "m") == ""
