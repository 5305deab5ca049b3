"""Columns in which a logger wrote 0 or -1 where it had no value, and quantities that do come to nothing."""

from collections.abc import Callable

import numpy as np
import pytest

from steadyhead.trace.blinks import blinks_in

ROWS = 6000
T = np.arange(ROWS) / 50.0
RNG = np.random.default_rng(11)


def head() -> np.ndarray:
    """Return a start from rest, a flight with loads, and a run-down, rpm in whole numbers."""
    level = np.interp(T, [0, 5, 15, 100, 112, 120], [0, 0, 1900, 1900, 0, 0])
    return np.round(level + np.where(level > 100.0, 4.0 * RNG.standard_normal(ROWS) - 60.0 * (np.sin(T) > 0.97), 0.0))


def channel() -> np.ndarray:
    return np.interp(T, [0, 5, 5.02, 60, 60.02, 61, 61.02, 100, 100.02, 120], [0, 0, 70, 70, 0, 0, 70, 70, 0, 0])


@pytest.mark.parametrize("filler", [0.0, -1.0])
@pytest.mark.parametrize("share", [0.02, 0.1, 0.3, 0.5])
@pytest.mark.parametrize("made", [head, channel])
def test_rows_without_a_value_are_told_from_rest(made: Callable[[], np.ndarray], share: float, filler: float) -> None:
    true = made()
    lost = RNG.random(ROWS) < share
    written = np.where(lost, filler, true)
    flags = blinks_in(written)
    assert flags is not None
    away = true > 200.0 if made is head else true > 10.0
    assert np.count_nonzero(lost & away & ~flags) <= 0.02 * np.count_nonzero(lost & away)
    assert np.count_nonzero(flags & ~lost) <= 5
    resting = (T > 113.0) & (true == 0.0)
    if filler == 0.0:
        assert not flags[resting].any()
    else:
        assert np.array_equal(flags, lost)


@pytest.mark.parametrize("filler", [0.0, -1.0])
@pytest.mark.parametrize("made", [head, channel])
def test_rows_between_the_values_of_a_slower_sensor_are_told_on_a_clock_that_trembles(
    made: Callable[[], np.ndarray], filler: float
) -> None:
    true = made()
    written = np.full(ROWS, filler)
    rows = np.cumsum(RNG.choice([3, 4, 5], ROWS // 4))
    rows = rows[rows < ROWS]
    written[rows] = true[rows]
    flags = blinks_in(written)
    assert flags is not None
    away = true > 200.0 if made is head else true > 10.0
    assert flags[away & (written == filler)].mean() > 0.98
    assert not flags[rows[true[rows] != filler]].any()
    rest = (T > 113.0) & (true == 0.0)
    assert flags[rest].mean() < 0.01 if filler == 0.0 else flags[rest].mean() > 0.7


def test_what_really_comes_to_nothing_is_left() -> None:
    rested = channel()
    rested[1000:1030] = 0.0  # a hand on hold for half a second
    assert blinks_in(rested) is None
    idle_current = np.round(np.abs(1.2 * RNG.standard_normal(ROWS)))
    assert blinks_in(idle_current) is None
    pumped = np.round(np.maximum(40.0 * np.sin(9.0 * T) + 5.0 * RNG.standard_normal(ROWS), 0.0))
    assert blinks_in(pumped) is None
    collective = np.round(np.where(head() > 1000.0, 4.2, 0.0) + 0.06 * RNG.standard_normal(ROWS), 1)
    assert blinks_in(collective) is None
    mark = (RNG.random(ROWS) < 0.9).astype(float)
    assert blinks_in(mark) is None
    assert blinks_in(head()) is None
    assert blinks_in(np.empty(0)) is None
    assert blinks_in(np.zeros(ROWS)) is None
    assert blinks_in(np.full(ROWS, np.nan)) is None
