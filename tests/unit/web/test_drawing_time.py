"""A page does not wait for ever for the drawing of an answer."""

import asyncio
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

from steadyhead.report.view import view
from steadyhead.web import shown
from steadyhead.words.verdict import Outcome


def slow(seconds: float):
    time.sleep(seconds)
    return view("flight.csv", Outcome.UNKNOWN, [])


def made_in_time(draw: Callable[[], object]) -> object:
    """Return what a page shows; in a thread of its own, since a browser test may leave a loop running in this one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(lambda: asyncio.run(shown._made_in_time(draw))).result()


def test_a_drawing_that_takes_too_long_is_given_up_with_a_sentence(monkeypatch) -> None:
    monkeypatch.setattr(shown, "LONGEST_DRAWING_S", 0.05)
    assert made_in_time(lambda: slow(0.5)) == shown.TOO_LONG


def test_a_drawing_that_comes_in_time_is_shown() -> None:
    made = made_in_time(lambda: slow(0.0))
    assert "flight.csv" in made[0]
