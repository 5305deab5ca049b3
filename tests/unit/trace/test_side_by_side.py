"""Channels worked out several at a time: in order, and an error is not lost."""

import threading

import pytest

from steadyhead.trace.side_by_side import LONG_ROWS, side_by_side


@pytest.mark.parametrize("rows", [10, LONG_ROWS])
def test_what_is_made_comes_in_the_order_of_the_items(rows: int) -> None:
    assert side_by_side(lambda item: item * item, range(9), rows) == [k * k for k in range(9)]


@pytest.mark.parametrize("rows", [10, LONG_ROWS])
def test_an_error_in_one_item_is_raised(rows: int) -> None:
    with pytest.raises(ZeroDivisionError):
        side_by_side(lambda item: 1 / item, [1, 0, 2], rows)


def test_a_short_log_begins_no_thread() -> None:
    seen = side_by_side(lambda item: threading.current_thread() is threading.main_thread(), range(3), LONG_ROWS - 1)
    assert seen == [True, True, True]
