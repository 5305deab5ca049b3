"""Time is put in order in the open: what was wrong with it is counted, and rows are kept where they can be."""

import numpy as np
import pytest

from steadyhead.trace.timeline import Rows, Timeline, timeline_of
from steadyhead.words.errors import InputError

HZ = 40.0


def even(rows: int = 2000, tremble: float = 0.0, seed: int = 1) -> np.ndarray:
    draw = np.random.default_rng(seed)
    return (np.arange(rows) + draw.uniform(-tremble, tremble, rows)) / HZ


def put_in_order(seconds: np.ndarray, doubled_rows: tuple[int, ...] = (), time_of_day: bool = False) -> Timeline:
    def doubled(rows: Rows) -> np.ndarray:
        return np.isin(rows, doubled_rows)

    return timeline_of("log.csv", seconds, time_of_day=time_of_day, count_s=1e-3, doubled=doubled)


def test_an_even_time_is_left_as_it_is() -> None:
    line = put_in_order(even() + 7.0)
    assert line.warnings == ()
    assert line.time_s == pytest.approx(even())
    assert np.array_equal(line.row, np.arange(2000))


@pytest.mark.parametrize("tremble", [0.0, 0.12, 0.2, 0.3])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_missing_rows_are_counted_on_a_trembling_clock(tremble: float, seed: int) -> None:
    draw = np.random.default_rng(seed)
    gone = draw.choice(np.arange(10, 1990), 60, replace=False)
    line = put_in_order(np.delete(even(tremble=tremble, seed=seed), gone))
    assert line.warnings == ("60 rows are missing (gaps in time)",)
    assert line.row.size == 1940


@pytest.mark.parametrize("tremble", [0.0, 0.12, 0.3])
def test_a_tremble_alone_is_no_missing_row(tremble: float) -> None:
    assert put_in_order(even(tremble=tremble)).warnings == ()


def test_a_long_gap_counts_all_its_rows() -> None:
    line = put_in_order(np.delete(even(), np.arange(500, 700)))
    assert line.warnings == ("200 rows are missing (gaps in time)",)


def test_a_repeated_stamp_is_moved_between_its_neighbours_and_no_row_is_lost() -> None:
    seconds = even()
    seconds[[300, 900]] = seconds[[299, 899]]
    line = put_in_order(seconds)
    assert line.warnings == ("2 time stamps repeat the one before",)
    assert line.time_s == pytest.approx(even())


def test_a_row_written_twice_is_left_out_once() -> None:
    seconds = np.insert(even(), 101, even()[100])
    line = put_in_order(seconds, doubled_rows=(101,))
    assert line.warnings == ("1 rows are written twice",)
    assert 101 not in line.row
    assert line.time_s == pytest.approx(even())


def test_a_clock_that_jumps_back_goes_on_and_is_named_by_its_row() -> None:
    seconds = even(400)
    seconds[200:] -= 6.0
    line = put_in_order(seconds)
    assert line.row.size == 400
    assert line.time_s == pytest.approx(even(400))
    assert "time runs backwards after data row 200 (by 6 s)" in line.warnings[0]


def test_a_clock_that_is_set_in_flight_goes_on() -> None:
    seconds = even(400)
    seconds[150:] += 1.9e9
    line = put_in_order(seconds)
    assert line.time_s == pytest.approx(even(400), abs=1e-4)
    assert "time jumps ahead after data row 150" in line.warnings[0]


def test_one_stamp_out_of_line_costs_one_row() -> None:
    seconds = even(400)
    seconds[77] = 3e6
    line = put_in_order(seconds)
    assert line.row.size == 399
    assert 77 not in line.row
    assert "1 rows have a time out of line" in line.warnings[0]


def test_rows_without_a_time_are_left_out_and_counted() -> None:
    seconds = even(400)
    seconds[[5, 6]] = np.nan
    line = put_in_order(seconds)
    assert line.warnings == ("2 rows have no readable time: left out", "2 rows are missing (gaps in time)")


def test_midnight_is_no_step_back() -> None:
    line = put_in_order((even(400) + 86395.0) % 86400.0, time_of_day=True)
    assert line.warnings == ()
    assert line.time_s == pytest.approx(even(400), abs=1e-6)


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        ([1.0] * 9, "time does not move"),
        ([np.nan] * 9, "0 rows with a time"),
        ([5.0, 4.0, 3.0, 2.0, 1.0, 0.5, 0.2, 0.1], "backwards"),
    ],
)
def test_a_time_that_cannot_be_used_is_refused(seconds: list[float], said: str) -> None:
    with pytest.raises(InputError, match=said):
        put_in_order(np.array(seconds))


def test_a_clock_that_begins_again_is_a_seam_and_one_that_stutters_is_none() -> None:
    line = put_in_order(np.concatenate([even(800) + 3.0, even(600), even(400)]))
    assert line.seams_s == pytest.approx([800.0 / HZ, 1400.0 / HZ])
    stutters = even()
    stutters[900:] -= 0.5
    assert put_in_order(stutters).seams_s == ()


def test_a_clock_that_is_set_by_hours_is_a_seam() -> None:
    seconds = even()
    seconds[1200:] += 7200.0
    assert put_in_order(seconds).seams_s == pytest.approx([1200.0 / HZ])


@pytest.mark.parametrize("block", [1, 20, 100, 400])
@pytest.mark.parametrize("tremble", [0.0, 0.1])
def test_blocks_in_another_order_are_put_in_order_and_said(block: int, tremble: float) -> None:
    seconds = even(1600, tremble)
    order = np.arange(1600).reshape(-1, 2, block)[:, ::-1].ravel()
    line = put_in_order(seconds[order])
    assert not line.in_order
    assert np.array_equal(order[line.row], np.arange(1600))
    assert line.time_s == pytest.approx(seconds - seconds[0])
    assert any("another order than their times" in word for word in line.warnings)


@pytest.mark.parametrize("off", [0.2, 0.4, 0.5])
@pytest.mark.parametrize("rows", [50, 400, 1000])
def test_rows_of_a_clock_that_was_set_back_are_not_mingled_with_those_before_it(rows: int, off: float) -> None:
    seconds = even(2000)
    seconds[1000:] -= (rows + off) / HZ
    line = put_in_order(seconds)
    assert line.in_order
    assert np.array_equal(line.row, np.arange(2000))
    assert line.time_s == pytest.approx(even(2000), abs=0.01 / HZ)


def test_a_time_that_goes_back_again_and_again_is_refused() -> None:
    seconds = even(2000)
    for at in range(100, 2000, 100):
        seconds[at:] -= 0.73
    with pytest.raises(InputError, match="goes back 19 times, the first after data row 100"):
        put_in_order(seconds)


def test_a_clock_that_stutters_by_next_to_nothing_is_kept() -> None:
    seconds = even(2000)
    for at in range(100, 2000, 100):
        seconds[at:] -= 0.026  # one row each stands out of line
    assert put_in_order(seconds).row.size == 2000 - 19


def test_a_clock_that_is_set_back_near_the_end_is_not_sorted_into_what_was_before() -> None:
    seconds = even(2000)
    seconds[1990:] -= 2.013
    line = put_in_order(seconds)
    assert line.in_order
    assert line.time_s == pytest.approx(even(2000), abs=1e-3)
