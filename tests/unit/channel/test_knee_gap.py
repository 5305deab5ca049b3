"""Between slope and flat the readings do not show how softly the law bends: there a target is not known."""

import math

import pytest

from steadyhead.channel.answer import channel
from steadyhead.channel.fitted_law import Kind, head_speed_interval_rpm
from steadyhead.channel.set_point_law import set_point_law
from steadyhead.words.verdict import Outcome
from tests.unit.channel.bench import machine, reading

FLOOR_RPM, KNEE, SLOPE, SOFT_RPM = 1743.0, 75.0, 27.0, 52.5
READ = (62.0, 66.0, 82.0, 87.0, 98.0)


def floored(percent: float, soft_rpm: float = SOFT_RPM) -> float:
    """Head speed of a law that leaves its floor softly."""
    return FLOOR_RPM + soft_rpm * math.log1p(math.exp(SLOPE * (percent - KNEE) / soft_rpm))


def capped(percent: float) -> float:
    return 4200.0 - floored(150.0 - percent)


def read(law, places=READ):
    return tuple(reading(at, round(law(at)), spread_rpm=5.0) for at in places)


def test_a_floor_that_bends_softly_holds_the_truth_between_slope_and_flat() -> None:
    law = set_point_law(read(floored))
    assert law.kind is Kind.FLOOR
    for percent in (68.0, 72.0, 75.0, 78.0, 81.0):
        low, high = head_speed_interval_rpm(law, percent)
        assert low <= floored(percent) <= high


def test_a_ceiling_that_bends_softly_does_so_mirrored() -> None:
    law = set_point_law(read(capped, tuple(sorted(150.0 - at for at in READ))))
    assert law.kind is Kind.CEILING
    for percent in (70.0, 75.0, 80.0):
        low, high = head_speed_interval_rpm(law, percent)
        assert low <= capped(percent) <= high


def test_a_target_in_the_gap_is_unknown_and_the_next_reading_is_asked_there() -> None:
    modes = (("slow", "1750 rpm", ""), ("fast", "2200 rpm", ""))
    answer = channel(machine(modes=modes), read(floored))
    slow, fast = answer.modes
    assert slow.verdict is Outcome.UNKNOWN
    assert fast.verdict is Outcome.PASS
    assert 66.0 < answer.next_reading_percent < 82.0


@pytest.mark.parametrize(("first", "last"), [(73.0, 77.0), (74.0, 76.0)])
def test_a_narrow_gap_leaves_little_open(first, last) -> None:
    modes = (("slow", "1760 rpm", ""),)

    def sharp(percent: float) -> float:
        return floored(percent, soft_rpm=2.0)

    answer = channel(machine(modes=modes), read(sharp, (62.0, first, last, 87.0, 98.0)))
    assert answer.modes[0].verdict is Outcome.PASS
