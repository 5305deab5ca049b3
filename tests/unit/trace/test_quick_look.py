"""A sample of a long column meets its values whatever rows between them are blank."""

import numpy as np
import pytest

from steadyhead.trace.quick_look import sample_of


@pytest.mark.parametrize("rows", [20_001, 40_000, 60_000, 131_072, 2_000_000])
@pytest.mark.parametrize("beat", [2, 3, 4, 5, 10, 20, 50])
@pytest.mark.parametrize("first", [0, 1])
def test_a_slow_channel_between_blanks_is_sampled(rows: int, beat: int, first: int) -> None:
    values = np.full(rows, np.nan)
    values[first::beat] = 1.0
    assert sample_of(values).size >= 0.3 * min(rows, 5_000) / beat


def test_a_short_column_is_taken_whole() -> None:
    assert sample_of(np.array([1.0, np.nan, 3.0])).tolist() == [1.0, 3.0]
