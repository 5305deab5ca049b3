"""Two groups and many figures held against worked examples and a reference library.

Student's sleep data (Student, Biometrika 6, 1-25, 1908, after Cushny and Peebles 1905), typed from memory with the
result that statistics handbooks print for Welch's test: t = -1.8608, 17.776 degrees of freedom, chance 0.07939.
Norris: NIST StRD, as in test_straight_line_certified. Fifteen chances: Y. Benjamini and Y. Hochberg, J. R. Statist.
Soc. B 57, 289-300, 1995, their example, typed from the help of scipy.stats.false_discovery_control.
"""

import numpy as np
from scipy import stats

from steadyhead.judge.noise import beyond_noise, difference_from_one, difference_of, slope_of
from tests.agrees import agrees
from tests.channel_rows import channel_rows
from tests.published.test_straight_line_certified import CERTIFIED, DOUBLE

ONE = np.array([0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0])
OTHER = np.array([1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4])
CHANCES = [
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0
]  # fmt: skip


def test_the_sleep_data_give_the_printed_difference_and_chance() -> None:
    got = difference_of(OTHER, ONE, step=0.0)
    assert agrees(got.change, -1.58, percent=1e-9, because="a mean of ten numbers with one decimal")
    assert agrees(got.chance, 0.07939, percent=0.01, because="four digits are printed")


def test_the_interval_of_two_groups_is_that_of_the_reference_library() -> None:
    rng = np.random.default_rng(5)
    for _ in range(50):
        before, after = rng.normal(2.0, 1.0, rng.integers(2, 9)), rng.normal(2.5, 3.0, rng.integers(2, 9))
        got = difference_of(before, after, step=0.0)
        test = stats.ttest_ind(after, before, equal_var=False)
        low, high = test.confidence_interval(0.90)
        same = "the same formula, in double precision"
        assert agrees(got.chance, float(test.pvalue), percent=1e-6, because=same)
        assert agrees(2.0 * got.doubt, float(high - low), percent=1e-6, because=same)
        assert agrees(got.change, float(after.mean() - before.mean()), percent=1e-9, because=same)


def test_ninety_in_a_hundred_intervals_hold_the_true_change() -> None:
    rng = np.random.default_rng(6)
    held = alone = 0
    for _ in range(4000):
        got = difference_of(rng.normal(0.0, 1.0, 5), rng.normal(0.7, 1.5, 4), step=0.0)
        held += abs(got.change - 0.7) <= got.doubt
        one = difference_from_one(rng.normal(0.0, 1.0, 4), rng.normal(0.7, 1.0, 1), step=0.0)
        alone += abs(one.change - 0.7) <= one.doubt
    # The binomial standard deviation of 4000 draws is 0.5 %; Welch's degrees of freedom are an approximation.
    assert 0.885 < held / 4000 < 0.925
    assert 0.885 < alone / 4000 < 0.915


def test_a_step_of_reading_widens_the_doubt_and_never_narrows_it() -> None:
    for step in (0.0, 0.1, 1.0):
        exact = difference_of(ONE, OTHER, step=0.0)
        assert difference_of(ONE, OTHER, step=step).doubt >= exact.doubt
        assert difference_of(ONE, OTHER, step=step).chance >= exact.chance
    stuck = difference_of(np.array([2.0, 2.0, 2.0]), np.array([2.1, 2.1]), step=0.1)
    assert stuck.chance > 0.01


def test_the_certified_slope_and_its_deviation() -> None:
    rows = channel_rows("norris_certified.csv")
    x, y = (np.array([float(row[name]) for row in rows]) for name in ("x", "y"))
    got = slope_of(x, y, step=0.0)
    assert agrees(got.slope, CERTIFIED["slope"], percent=1e-7, because=DOUBLE)
    deviation = got.doubt / float(stats.t.ppf(0.95, x.size - 2))
    assert agrees(deviation, CERTIFIED["slope_deviation"], percent=1e-6, because=DOUBLE)


def test_of_fifteen_chances_those_that_the_rule_keeps_at_one_in_ten() -> None:
    # Adjusted, the ninth is 0.0459 * 15 / 9 = 0.0765 and the tenth 0.3240 * 15 / 10 = 0.486.
    assert beyond_noise(CHANCES) == [True] * 9 + [False] * 6
    assert beyond_noise([]) == []
    assert beyond_noise([0.05] + [0.9] * 9) == [False] * 10


def test_many_chances_are_judged_as_by_the_reference_library() -> None:
    # scipy.stats.false_discovery_control, Benjamini and Hochberg 1995; equal chances and chances of 0 and 1 among them
    random = np.random.default_rng(20)
    for count in range(1, 60):
        chances = np.round(random.uniform(0.0, 1.0, count) ** random.choice((1.0, 3.0, 8.0)), random.choice((2, 12)))
        wanted = [bool(adjusted <= 0.10) for adjusted in stats.false_discovery_control(chances)]
        assert beyond_noise(list(chances)) == wanted, chances
