"""Few flights: their scatter is helped out by what is seen within them, and more of them never see less."""

import numpy as np
import pytest

from steadyhead.judge.compare_change import measured_change
from steadyhead.judge.compare_figures import FIGURES, Compared, Sample
from steadyhead.judge.flight_scatter import Flights, difference_of_flights, flights_that_tell, seen_within
from steadyhead.judge.noise import CHANCE, beyond_noise_by_family
from tests.agrees import agrees

PACK = next(one for one in FIGURES if one.figure == "pack_resistance_mohm")
SPEED = next(one for one in FIGURES if one.figure == "head_speed_rpm")


def chance_of(kept: Compared, before: list[Sample], after: list[Sample]) -> float:
    chance = measured_change(kept, (None, None), before, after).change.chance
    assert chance is not None
    return chance


@pytest.mark.parametrize("more", [5.0, 8.0, 9.0, 10.5, 12.0, 15.5, 20.0])
def test_what_one_flight_a_side_sees_of_a_pack_more_flights_see_too(more: float) -> None:
    # The flights agree better than their own intervals say.
    def side(mohm: float, count: int) -> list[Sample]:
        return [Sample(k, None, mohm + 0.7 * (k % 2), 4.3) for k in range(count)]

    asked = CHANCE / 18
    one, *others = (chance_of(PACK, side(36.0, count), side(36.0 + more, count)) for count in (1, 2, 3, 4))
    uneven = [chance_of(PACK, side(36.0, count), side(36.0 + more, 1)) for count in (2, 3)]
    if one <= asked:
        assert all(chance <= asked for chance in (*others, *uneven))
    assert others[2] < others[1] < others[0]


def test_two_flights_a_side_see_a_head_speed_that_their_windows_show() -> None:
    def side(rpm: float, count: int) -> list[Sample]:
        windows = (-4.0, 0.0, 5.0)
        return [Sample(k, 2250.0, rpm + (2.0 if k else -2.0) + w) for k in range(count) for w in windows]

    fewer, more = (chance_of(SPEED, side(2250.0, n), side(2182.0, n)) for n in (1, 2))
    assert more < fewer
    assert more < 0.1 / 44


def test_flights_that_scatter_more_than_their_windows_are_believed() -> None:
    calm = Flights(np.array([10.0, 10.1]), 0.01, 4.0)
    wild = Flights(np.array([10.0, 14.0]), 0.01, 4.0)
    assert calm.variance == pytest.approx(0.01)
    # Smyth's mean of both, by hand: (4 * 0.01 + 1 * 8) / 5.
    assert agrees(wild.variance, 1.608, percent=1e-6, because="worked by hand")


def test_within_flights_is_the_pooled_variance_of_their_means() -> None:
    own, free = seen_within([np.array([1.0, 3.0]), np.array([5.0, 5.0, 8.0])], [None, None], 1.645)
    # Squares 2 + 6 over 3 degrees of freedom; mean of 1/2 and 1/3.
    assert agrees(own or 0.0, 8.0 / 3.0 * 5.0 / 12.0, percent=1e-9, because="worked by hand")
    assert free == 2.0
    assert seen_within([np.array([1.0])], [None], 1.645) == (None, 0.0)
    assert difference_of_flights(Flights(np.array([1.0]), None, 0.0), Flights(np.array([2.0]), 1.0, 4.0), 0.0) is None


@pytest.mark.parametrize("day", [0.0, 0.5, 1.0, 2.0])
def test_equal_flights_are_rarely_told_apart_though_days_differ(day: float) -> None:
    """Within a flight 4 values of deviation 1; days add `day` times the deviation of a flight's mean, 0.5."""
    random = np.random.default_rng(31)
    told = 0
    for _ in range(2000):
        sides = []
        for _ in range(2):
            values = random.normal(0.0, 1.0, (2, 4)) + random.normal(0.0, 0.5 * day, (2, 1))
            own, free = seen_within(list(values), [None, None], 1.645)
            sides.append(Flights(values.mean(axis=1), own, free))
        seen = difference_of_flights(*sides, 0.0)
        assert seen is not None
        told += seen.chance <= CHANCE / 18
    # 11 of 2000 by the chance that is asked of one of 18 figures; days of twice the scatter within make it four times.
    assert told / 2000 <= (0.0075 if day <= 1.0 else 0.03)


def test_so_many_flights_as_are_said_would_tell() -> None:
    few = Flights(np.array([10.0, 10.4]), None, 0.0), Flights(np.array([11.0, 11.5]), None, 0.0)
    count = flights_that_tell(*few, 0.0, 0.1 / 44)
    assert count is not None
    assert 2 < count <= 12
    assert flights_that_tell(few[0], Flights(np.array([10.1, 10.5]), None, 0.0), 0.0, 0.1 / 44) is None


def test_a_figure_at_three_speeds_counts_once_among_many() -> None:
    others = [[0.5, 0.6, 0.9]] * 13 + [[0.7]] * 4
    (pack,), *rest = beyond_noise_by_family([[0.0035], *others])
    assert pack
    assert not any(any(moves) for moves in rest)
    # Benjamini and Bogomolov: of the family that is kept only what keeps 0.1 * 1 / 18.
    assert beyond_noise_by_family([[0.001, 0.04, 0.9], *others])[0] == [True, False, False]
    assert beyond_noise_by_family([]) == []


def test_equal_figures_of_many_families_seldom_give_one() -> None:
    random = np.random.default_rng(32)
    draws = [
        [list(random.uniform(size=3)) for _ in range(13)] + [[random.uniform()] for _ in range(5)] for _ in range(2000)
    ]
    any_said = sum(any(any(moves) for moves in beyond_noise_by_family(draw)) for draw in draws)
    # 10 % by the rule; the binomial deviation of 2000 draws is 0.7 %.
    assert 0.08 < any_said / 2000 < 0.12
