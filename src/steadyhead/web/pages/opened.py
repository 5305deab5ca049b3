"""A page about one machine that is kept, or the sentence that says why there is none."""

from collections.abc import Callable, Sequence

from nicegui import ui

from steadyhead.bench.record import Revision
from steadyhead.machine.description import Machine
from steadyhead.report.wording import moment
from steadyhead.web.desk import Desk
from steadyhead.web.edition import Edition
from steadyhead.web.frame import frame
from steadyhead.web.shown import show_refusal
from steadyhead.words import cautions
from steadyhead.words.errors import SteadyheadError

Body = Callable[[Revision, Machine], None]


def _kept(revision: Revision) -> str:
    """Return which text of the file a page is about; two texts may state one number, so its digest stands by it."""
    return f"revision {revision.revision}, file {revision.id[:8]}, kept {moment(revision.added_on)}"


def add_page(desk: Desk, here: str, title: str, body: Body, *, warned: Sequence[str] = ()) -> None:
    """Add the page of one stage: `body` fills it for the newest revision of the machine that its address names."""

    @ui.page(f"/m/{{name:path}}/{here}")
    def page(name: str) -> None:
        try:
            revision, machine = desk.newest(name)
        except SteadyheadError as error:
            with frame(title):
                show_refusal(str(error))
            return
        with frame(
            title,
            machine=machine.name,
            key=name,
            here=here,
            warned=warned,
            kept=_kept(revision),
        ):
            Edition(desk, revision, cautions.WHEN_DONE if warned == cautions.BENCH else "")
            try:
                body(revision, machine)
            except SteadyheadError as error:
                show_refusal(str(error))
