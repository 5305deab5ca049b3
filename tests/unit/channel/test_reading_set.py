import math

import pytest

from steadyhead.channel.reading_set import reading_set
from steadyhead.words.errors import InputError
from tests.unit.channel.bench import reading


def test_readings_come_by_rising_percent() -> None:
    ordered = reading_set([reading(83.0, 2250.0), reading(57.0, 1730.0), reading(70.0, 1990.0)])
    assert [one.percent for one in ordered] == [57.0, 70.0, 83.0]


def test_the_same_reading_from_two_places_counts_once() -> None:
    both = [reading(70.0, 1990.0, 6.0, "machine file"), reading(70.0, 1990.0, 6.0, "command line")]
    assert [one.source for one in reading_set(both)] == ["machine file"]
    assert len(reading_set([*both, reading(70.0, 1991.0, 6.0)])) == 2


def test_one_position_with_two_head_speeds_is_refused_and_both_are_named() -> None:
    with pytest.raises(InputError) as caught:
        reading_set([reading(80.0, 1710.0, source="bench, Monday"), reading(80.0, 1760.0, source="log 3")])
    said = str(caught.value)
    assert said.startswith("readings: read 1710 rpm at 80 % (bench, Monday) and 1760 rpm at 80 % (log 3)")
    assert "the same channel position with two head speeds" in said


def test_more_channel_with_less_head_speed_is_refused_and_both_are_named() -> None:
    with pytest.raises(InputError) as caught:
        reading_set([reading(90.0, 1700.0), reading(70.0, 1990.0)])
    assert "1990 rpm at 70 % (bench) and 1700 rpm at 90 % (bench): more channel with less head speed" in str(
        caught.value
    )


def test_a_difference_inside_the_doubt_is_no_contradiction() -> None:
    near = [reading(80.0, 1710.0, 10.0), reading(80.0, 1725.0, 10.0), reading(81.0, 1715.0, 10.0)]
    assert len(reading_set(near)) == 3


def test_readings_without_a_spread_contradict_beyond_the_stated_doubt() -> None:
    assert len(reading_set([reading(80.0, 2000.0, 0.0), reading(80.0, 2025.0, 0.0)])) == 2
    with pytest.raises(InputError):
        reading_set([reading(80.0, 2000.0, 0.0), reading(80.0, 2040.0, 0.0)])


@pytest.mark.parametrize(
    ("percent", "rpm", "spread"),
    [
        (-1.0, 1700.0, 5.0),
        (100.5, 1700.0, 5.0),
        (math.nan, 1700.0, 5.0),
        (80.0, 0.0, 0.0),
        (80.0, math.inf, 5.0),
        (80.0, 60000.0, 5.0),
        (80.0, 1700.0, -1.0),
        (80.0, 1700.0, 1800.0),
        (80.0, 1700.0, math.nan),
    ],
)
def test_a_reading_no_running_rotor_gives_is_refused(percent: float, rpm: float, spread: float) -> None:
    with pytest.raises(InputError, match="readings: read "):
        reading_set([reading(percent, rpm, spread)])
