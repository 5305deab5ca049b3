"""A head that was back from a load and leaves its band again with the next move of the collective."""

import numpy as np
import pytest

from steadyhead.judge.next_move import until_next_move
from tests.unit.judge.made_signals import made

SET, BAND, LEFT_S = 2000.0, 20.0, 2.5
TIME_S = np.arange(0.0, 6.0, 0.02)
AFTER = slice(50, 250)
"""From the end of a load at 1 s to 4 s after it."""


def last_row_s(*, moved_deg: float, moves_at_s: float = 2.3, back_s: float = 1.4, collective: bool = True) -> float:
    """Return the time of the last row that counts: the head is out until `back_s`, and again from 2.5 to 4 s."""
    away = (back_s > TIME_S) | ((TIME_S >= LEFT_S) & (TIME_S < 4.0))
    head = SET + np.where(away, 30.0, 0.0)
    pitch = np.where(TIME_S < 1.0, 11.0, 4.0) + np.where(moves_at_s < TIME_S, moved_deg, 0.0)
    channels = {"head_speed_rpm": head} | ({"collective_deg": pitch} if collective else {})
    signals = made(TIME_S, **channels)
    part = until_next_move(signals, AFTER, head, SET, BAND)
    assert part.start == AFTER.start
    return float(TIME_S[part.stop - 1])


def test_the_next_pull_ends_the_load_before_it() -> None:
    assert last_row_s(moved_deg=5.0) == pytest.approx(LEFT_S, abs=0.03)
    assert last_row_s(moved_deg=-4.0) == pytest.approx(LEFT_S, abs=0.03)


@pytest.mark.parametrize(
    "case",
    [{"moved_deg": 0.5}, {"moved_deg": 5.0, "moves_at_s": 3.5}, {"moved_deg": 5.0, "back_s": 2.4},
     {"moved_deg": 5.0, "collective": False}],
)  # fmt: skip
def test_a_head_that_leaves_by_itself_or_was_not_back_counts_to_the_end(case: dict[str, float]) -> None:
    assert last_row_s(**case) == pytest.approx(TIME_S[AFTER.stop - 1])
