import math

import pytest

from steadyhead.machine.kind import Kind
from steadyhead.machine.quantity import NotAQuantity, parsed
from steadyhead.words.value import Origin

LENGTH = Kind(family="length", unit="m", low=0.0, high=2.0, doubt=0.01, example="0.66 m")
WARMTH = Kind(family="temperature", unit="degC", low=-30.0, high=50.0, doubt_kelvin=3.0, example="18 degC")
PART = Kind(family="share", unit="", low=0.0, high=1.0, example="0.95")
PERCENT = Kind(family="percentage", unit="%", low=0.0, high=100.0, example="70 %")
ANGLE = Kind(family="angle", unit="deg", low=-20.0, high=20.0, example="12 deg")


@pytest.mark.parametrize(
    "text", ["0.66 m", " 0.66 m ", "0.66m", "660 mm", "66 cm", "+0.66 m", "6.6e-1 m", ".66 m", "0.66\tm"]
)
def test_the_same_length_is_read_from_every_spelling(text):
    assert parsed(text, LENGTH).si == pytest.approx(0.66, rel=1e-12)


def test_a_bare_text_counts_as_the_makers_and_carries_the_doubt_of_its_key():
    value = parsed("0.5 m", LENGTH)
    assert (value.origin, value.spread_si, value.number, value.unit) == (Origin.MAKER, 0.005, 0.5, "m")


def test_a_measured_number_without_spread_carries_half_the_doubt():
    assert parsed({"value": "0.5 m", "from": "measured"}, LENGTH).spread_si == pytest.approx(0.0025)


@pytest.mark.parametrize("mark", ["+-", "+/-", "±"])
@pytest.mark.parametrize(("spread", "half"), [("10 %", 0.05), ("20 mm", 0.02), ("0.02m", 0.02), ("0 m", 0.0)])
def test_a_spread_is_read_as_a_share_or_as_a_length(mark, spread, half):
    assert parsed(f"0.5 m {mark} {spread}", LENGTH).spread_si == pytest.approx(half, rel=1e-12)


def test_a_table_carries_spread_origin_and_note():
    value = parsed({"value": "0.5 m", "spread": "1 mm", "from": "fitted", "note": "by eye"}, LENGTH)
    assert (value.spread_si, value.origin, value.note) == (0.001, Origin.FITTED, "by eye")


def test_a_spread_of_temperature_is_a_difference():
    value = parsed("20 degC +- 5 degC", WARMTH)
    assert (value.si, value.spread_si, value.spread_in_unit) == (293.15, 5.0, 5.0)
    assert parsed("68 degF +- 9 degF", WARMTH).spread_si == pytest.approx(5.0)
    assert str(parsed("68 degF +- 9 degF", WARMTH)) == "68 degF ± 9 (maker)"


def test_a_spread_of_a_channel_percentage_is_in_points():
    assert parsed("70 % +- 2 %", PERCENT).spread_si == pytest.approx(0.02)


def test_a_percent_spread_means_points_behind_a_value_in_percent_and_a_share_behind_any_other():
    assert parsed("20 % +- 5 %", PART).spread_si == pytest.approx(0.05)
    assert parsed("0.2 +- 5 %", PART).spread_si == pytest.approx(0.01)


def test_a_share_may_stand_bare_or_in_percent():
    assert parsed(0.95, PART).si == parsed("95 %", PART).si == parsed("0.95", PART).si == 0.95
    assert parsed(1, PART).si == 1.0


def test_a_round_number_in_a_decimal_unit_stays_round():
    assert parsed("54 mm", LENGTH).si == 0.054
    assert parsed("57 %", PERCENT).si == 0.57


def test_a_negative_value_may_have_a_spread():
    value = parsed("-12 deg +- 5 %", ANGLE)
    assert value.si == pytest.approx(-math.radians(12))
    assert value.spread_si == pytest.approx(math.radians(0.6))


@pytest.mark.parametrize(
    ("raw", "read", "right"),
    [
        ("0.66", "without a unit", "a length from 0 to 2 m"),
        (0.66, "0.66 without a unit", '"0.66 m"'),
        ("0,66 m", '"0,66 m"', '"0.66 m"'),
        ("0.66 kg", "a mass", "a length"),
        ("0.66 blub", "the unit blub", "mm, cm, m"),
        ("2 yard", 'which would be "1.8288 m"', "mm, cm, m"),
        ("3 m", '"3 m"', "from 0 to 2 m"),
        ("-1 m", '"-1 m"', "from 0 to 2 m"),
        ("m", '"m"', "a length"),
        ("", '""', "a length"),
        ("nan m", '"nan m"', "a length"),
        ("inf m", '"inf m"', "a length"),
        ("1e999 m", '"1e999 m"', "a length"),
        ("0.66 m +-", '"0.66 m +-"', "a spread behind the sign"),
        ("0.66 m +- 2 kg", 'the spread "2 kg"', "a spread such as"),
        ("0.66 m +- -1 %", "the spread", "a spread such as"),
        ("0.66 m +- 1 m", 'the spread "1 m"', "no larger than the value itself, 0.66 m"),
        ("0.66 m +- 1 mm +- 1 mm", "the spread", "a spread such as"),
        (True, "true", "a length"),
        ([1], "a list", "a length"),
        (10**400, "a very large whole number", "a length"),
        ({"spread": "1 mm"}, "a table without value", "value ="),
        ({"value": "0.66 m", "sprad": "1 mm"}, "unknown key sprad", "did you mean spread?"),
        ({"value": "0.66 m", "from": "hearsay"}, 'from = "hearsay"', "one of measured, maker, fitted, typical"),
        ({"value": "0.66 m", "from": "derived"}, 'from = "derived"', "one of measured, maker, fitted, typical"),
        ({"value": "0.66 m", "note": "a\x1b[31m"}, 'note = "a?[31m"', "printable characters"),
        ({"value": "0.66 m", "note": "x" * 401}, "note = ", "at most 400"),
        ({"value": "0.66 m", "note": 3}, "note = 3", "a text in quotes"),
        ({"value": "0.66 m", "spread": 0.1}, "spread = 0.1", "a text such as"),
        ({"value": "0.66 m +- 1 %", "spread": "1 %"}, '"0.66 m +- 1 %"', "one spread only"),
    ],
)
def test_a_wrong_quantity_is_refused_with_what_was_read_and_what_would_be_right(raw, read, right):
    with pytest.raises(NotAQuantity) as caught:
        parsed(raw, LENGTH)
    assert read in caught.value.read
    assert right in caught.value.right


@pytest.mark.parametrize(
    "raw", [float("nan"), float("inf"), -(10**400), -1, 1.0001, "101 %", "0.9 m"], ids=lambda raw: str(raw)[:8]
)
def test_a_share_outside_its_range_is_refused(raw):
    with pytest.raises(NotAQuantity):
        parsed(raw, PART)


def test_a_percentage_spread_of_a_temperature_is_refused():
    with pytest.raises(NotAQuantity, match="5 K"):
        parsed("20 degC +- 5 %", WARMTH)


def test_nothing_is_colder_than_the_range_allows():
    with pytest.raises(NotAQuantity, match="temperature"):
        parsed("-300 degC", WARMTH)


def test_a_channel_percentage_needs_its_sign():
    with pytest.raises(NotAQuantity, match="without a unit"):
        parsed("70", PERCENT)
