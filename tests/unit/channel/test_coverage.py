"""Do 90 % intervals hold the truth nine times in ten? Seeded draws, no tuning."""

import math
from collections.abc import Callable

import numpy as np
import pytest

from steadyhead.channel.bow import BOW_SEEN
from steadyhead.channel.fitted_law import head_speed_interval_rpm
from steadyhead.channel.reading_doubt import PRIOR_FREEDOM, READING_DOUBT, Z90
from steadyhead.channel.result import Reading
from steadyhead.channel.set_point_law import set_point_law

DRAWS = 500
LAWS: dict[str, Callable[[float], float]] = {
    "straight": lambda at: 590.0 + 20.0 * at,
    "ceiling": lambda at: min(590.0 + 20.0 * at, 2200.0),
    "floor": lambda at: max(590.0 + 20.0 * at, 1790.0),
    "through zero": lambda at: 25.0 * at,
}


def share_held(
    law: Callable[[float], float], percents: list[float], at: float, *, stated: bool, seed: int, draws: int = DRAWS
) -> float:
    """Share of draws whose interval holds the truth; without stated spreads, the scatter itself is drawn too."""
    draw = np.random.default_rng(seed)
    held = 0
    for _ in range(draws):
        scale = 1.0 if stated else math.sqrt(PRIOR_FREEDOM / draw.chisquare(PRIOR_FREEDOM))
        readings = []
        for percent in percents:
            spread = 10.0 if stated else READING_DOUBT * law(percent)
            error = draw.normal(0.0, scale * spread / Z90)
            readings.append(
                Reading(
                    percent=percent,
                    head_speed_rpm=law(percent) + error,
                    spread_rpm=spread if stated else 0.0,
                    source="drawn",
                )
            )
        low, high = head_speed_interval_rpm(set_point_law(readings), at)
        held += low <= law(at) <= high
    return held / draws


@pytest.mark.parametrize("stated", [True, False])
@pytest.mark.parametrize("percents", [[57.0, 83.0], [57.0, 70.0, 83.0], [50.0, 60.0, 70.0, 80.0, 90.0]])
def test_the_interval_of_a_straight_law_holds_nine_in_ten(percents: list[float], stated: bool) -> None:
    """From three positions on it also holds a bow that the readings do not rule out: too wide for a straight law."""
    share = share_held(LAWS["straight"], percents, 75.0, stated=stated, seed=20)
    assert 0.86 <= share <= (0.94 if len(percents) == 2 else 0.995)


def test_the_interval_holds_bows_as_large_as_a_tested_law_may_hide() -> None:
    """Bows drawn with 2 % of full as their half width of 90 %; of one fixed bow of 1 % it held 86 % on another seed."""
    draw = np.random.default_rng(23)
    held = []
    for seed in range(40):
        bow_rpm = draw.normal(0.0, BOW_SEEN * 2490.0 / Z90)

        def bowed(at: float, bow_rpm: float = bow_rpm) -> float:
            return 590.0 + 20.0 * at + bow_rpm * 4.0 * (at - 45.0) * (95.0 - at) / 50.0**2

        held.append(share_held(bowed, [45.0, 70.0, 95.0], 58.0, stated=False, seed=seed, draws=12))
    assert np.mean(held) >= 0.86


@pytest.mark.parametrize("name", ["ceiling", "floor"])
def test_the_interval_of_a_clamped_law_holds_nine_in_ten(name: str) -> None:
    share = share_held(LAWS[name], [45.0, 55.0, 65.0, 75.0, 85.0, 95.0], 70.0, stated=True, seed=21)
    assert 0.86 <= share <= 0.94


def test_a_proportional_law_holds_the_truth_at_least_as_often_as_it_says() -> None:
    assert share_held(LAWS["through zero"], [55.0, 70.0, 85.0], 62.0, stated=True, seed=22) >= 0.88


def test_a_law_nearly_through_zero_is_not_made_too_sure_by_being_called_proportional() -> None:
    share = share_held(lambda at: 30.0 + 25.0 * at, [55.0, 70.0, 85.0], 62.0, stated=True, seed=23)
    assert share >= 0.86


def test_a_bent_law_is_held_by_its_bounds() -> None:
    share = share_held(lambda at: 240.0 * math.sqrt(at), [40.0, 55.0, 70.0, 85.0, 100.0], 62.0, stated=True, seed=24)
    assert share >= 0.86
