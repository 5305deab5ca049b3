"""Means, extremes and runs of many parts, against one part at a time."""

from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from steadyhead.judge.parts import part_least, part_means, part_most, true_runs


@given(st.integers(0, 2**31), st.integers(1, 12))
def test_parts_together_are_the_parts_one_by_one(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    values = rng.normal(size=60)
    edges = np.sort(rng.choice(np.arange(61), size=min(count + 1, 61), replace=False))
    parts = [slice(int(a), int(b)) for a, b in pairwise(edges)]
    assert np.allclose(part_means(values, parts), [values[p].mean() for p in parts])
    assert np.allclose(part_least(values, parts), [values[p].min() for p in parts])
    assert np.allclose(part_most(values, parts), [values[p].max() for p in parts])


def test_parts_that_share_a_row_are_both_whole() -> None:
    values = np.arange(10.0)
    parts = [slice(0, 5), slice(4, 10)]
    assert list(part_means(values, parts)) == [2.0, 6.5]
    assert list(part_most(values, parts)) == [4.0, 9.0]


def test_no_parts_give_nothing() -> None:
    assert part_means(np.arange(3.0), []).size == 0


@given(st.lists(st.booleans(), max_size=30))
def test_runs_hold_every_true_value_and_no_other(values: list[bool]) -> None:
    mask = np.array(values, dtype=bool)
    inside = np.zeros(mask.size, dtype=bool)
    runs = true_runs(mask)
    for begin, stop in runs:
        inside[begin:stop] = True
    assert inside.tolist() == values
    assert all(stop < begin for (_, stop), (begin, _) in pairwise(runs))
