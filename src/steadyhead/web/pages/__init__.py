"""One page a stage of the job."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fastapi import FastAPI

    from steadyhead.web.desk import Desk


def add_pages(desk: "Desk", core: "FastAPI") -> None:
    """Add every page."""
    from steadyhead.web.pages import (
        advised,
        answers,
        benches,
        channels,
        compared,
        flights,
        learned,
        logs,
        machines,
        sheets,
        sounds,
        studied,
    )

    for stage in (machines, answers, channels, flights, benches, logs, compared, learned, advised, studied):
        stage.add_pages(desk)
    sheets.add_pages(desk, core)
    sounds.add_pages(desk, core)
