"""Pieces that pages are made of: an answer, a refusal, and long work with its progress."""

import asyncio
from collections.abc import Callable
from functools import partial
from typing import Any, Self

from nicegui import run, ui

from steadyhead.report.view import View, view_html
from steadyhead.web.desk import Desk, Kind
from steadyhead.web.edition import unless_old
from steadyhead.web.work import State, Task
from steadyhead.words.errors import SteadyheadError
from steadyhead.words.plain import json_text

LOOK_EVERY_S = 0.2
LONGEST_DRAWING_S = 120.0
"""Longer than any drawing was seen to take, by far: own choice. The page then says so instead of waiting on."""
TOO_LONG = (
    f"Drawing this answer takes longer than {LONGEST_DRAWING_S:.0f} s, so it is not shown. "
    "The command line gives its figures with --json."
)
STOPPED = ("Stopped. Nothing was kept of it.", "Begin again")
Ask = Callable[[], Task]
Show = Callable[[Any], None]


def show_view(shown: View) -> None:
    """Show an answer as the sheet shows it. Its words were escaped where the HTML was made."""
    ui.html(view_html(shown), sanitize=False).classes("shown")


def show_view_of(make: Callable[[], View], clean: Callable[[str], str] = str) -> None:
    """Make an answer ready in a thread, so that no other page waits for its drawings, and show it or why there is none.

    `clean`: takes out of the words what no reader should see, such as the folder that an upload was laid into.
    """
    place = ui.element("div")
    with place:
        ui.label("The answer is being drawn.").classes("soft").props('role="status"')

    async def fill() -> None:
        made = await _made_in_time(make)
        place.clear()
        with place:
            if isinstance(made, str):
                show_refusal(clean(made))
            elif made is not None:
                ui.html(clean(made[0]), sanitize=False).classes("shown")

    ui.timer(0.0, fill, once=True)


def show_answer(desk: Desk, name: str, make: Callable[[Any], View]) -> Show:
    """Return what shows a result of the contents page, with a way to take it along as `--json` gives it."""

    def show(result: Any) -> None:
        show_view_of(partial(make, result), desk.in_words)
        with ui.element("div").classes("row-of"):
            other(
                "Save as JSON",
                lambda: ui.download.content(desk.under_its_name(json_text(result)), f"{name}.json"),
                always=True,
            )

    return show


async def _made_in_time(make: Callable[[], View]) -> tuple[str] | str | None:
    """Return what `_made` does in a thread, or that it takes too long; None while the server ends."""
    making = asyncio.ensure_future(run.io_bound(_made, make))
    await asyncio.wait({making}, timeout=LONGEST_DRAWING_S)
    return making.result() if making.done() else TOO_LONG


def _made(make: Callable[[], View]) -> tuple[str] | str:
    """Return the HTML of an answer, alone in a tuple, or the sentence that says why there is none."""
    try:
        return (view_html(make()),)
    except SteadyheadError as error:
        return str(error)
    except Exception as error:  # noqa: BLE001 the last line of this face: the page must not wait for ever
        return f"This is a fault of the program, not of your file: {type(error).__name__}: {error}"


def show_refusal(sentence: str) -> None:
    """Show why something was refused, so that a screen reader says it at once."""
    ui.label(sentence).classes("refused").props('role="alert"')


class _Act(ui.button):
    """A button that refuses once another text of the machine file is kept than its page was made from."""

    def on_click(self, callback: Callable[..., Any]) -> Self:
        """Do this on a click, while the page is not older than the machine file."""
        return super().on_click(unless_old(callback))


def primary(words: str, on_click: Callable[[], Any] | None = None) -> ui.button:
    """Return the button of a page's main act."""
    return _Act(words, on_click=on_click).props("unelevated no-caps color=primary")


def other(words: str, on_click: Callable[[], Any] | None = None, *, always: bool = False) -> ui.button:
    """Return a button of any other act; `always`: also on a page that is older than the machine file."""
    made = (ui.button if always else _Act)(words, on_click=on_click)
    return made.props("outline no-caps color=primary")


def show_work(
    desk: Desk,
    kind: Kind,
    title: str,
    ask: Ask,
    show: Show,
    *,
    at_once: bool = True,
    stopped: tuple[str, str] = STOPPED,
) -> None:
    """Show the answer to `kind`; ask for it when nobody has, and show progress with a way to stop until it is there.

    A page that is loaded anew finds the same work going on. `stopped`: what is said after Stop, and the way on.
    """
    task = desk.asked(kind)
    if task is None and at_once:
        task = ask()
    place = ui.element("section").classes("work").props('aria-live="polite"')

    def begin() -> None:
        draw(ask())

    def draw(task: Task | None) -> None:
        place.clear()
        with place:
            if task is None:
                primary(title, begin)
            elif task.state is State.DONE:
                show(task.result)
            elif task.state is State.REFUSED:
                show_refusal(desk.in_words(task.sentence))
                other("Try again", begin)
            elif task.state is State.STOPPED:
                ui.label(stopped[0]).classes("told")
                other(stopped[1], begin)
            else:
                _progress(desk, task, partial(draw, task))

    draw(task)


def show_begun(desk: Desk, what: tuple[str, str], title: str, show: Show, place: ui.element) -> None:
    """Show in `place` what was asked last on such a page, going on or ended, so that coming back loses nothing.

    `what`: the revision and what was asked of it.
    """
    for kind in desk.going_on(*what):
        with place:
            show_work(desk, kind, title, partial(desk.ask_again, kind), show)


def _progress(desk: Desk, task: Task, ended: Callable[[], None]) -> None:
    with ui.element("div").classes("card"):
        ui.label(task.title).classes("soft")
        said = ui.label(_far(task)).props('role="status"')
        since = ui.label().classes("soft").props('aria-live="off"')
        ui.linear_progress(show_value=False).props('indeterminate aria-label="work goes on"')
        other("Stop", lambda: desk.workshop.stop(task.number), always=True)

    def look() -> None:
        if task.ended():
            timer.cancel()
            ended()
            return
        said.set_text(_far(task))
        since.set_text(f"for {task.running_s():.0f} s")

    timer = ui.timer(LOOK_EVERY_S, look)


def _far(task: Task) -> str:
    """Say how far a task is."""
    if task.state is State.WAITING:
        return "waits for a free worker"
    return task.steps[-1] if task.steps else "at work"
