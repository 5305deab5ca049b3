"""Keeping the text of a machine file: no text takes the place of another machine's without a question."""

import json
from functools import partial
from hashlib import sha256

from nicegui import ui

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.report.wording import moment
from steadyhead.web.addresses import page_of
from steadyhead.web.desk import Desk
from steadyhead.web.shown import other, primary, show_refusal
from steadyhead.words.errors import SteadyheadError

GO_ON = "window.steadyheadUnsaved = false; window.location.assign({})"
"""What is kept is lost by no way off the page; `unsaved.js` asks else."""


def keep_text(desk: Desk, text: str, file_name: str, place: ui.element, *, page_is_of: Revision | None = None) -> None:
    """Keep a text and go to its machine; ask first, in `place`, where its name says another machine than expected.

    `page_is_of`: the revision whose text was edited; None for a text that was made or brought.
    """
    place.clear()
    try:
        named, newest = job.shelf.named_in(desk.record, text, file_name)
    except SteadyheadError as error:
        with place:
            show_refusal(str(error))
        return
    keep = partial(_keep, desk, text, file_name, place)
    if page_is_of is not None and named == page_is_of.machine:
        keep()
    elif page_is_of is not None and newest is not None:
        with place:
            show_refusal(
                f'The text names the machine "{named}", which is kept already as another one: its file would be '
                f'replaced. Nothing was kept. Right would be name = "{page_is_of.machine}", or a name that is free.'
            )
    elif page_is_of is not None:
        stays = f'"{page_is_of.machine}" stays as it is, and so do its logs and bench runs.'
        _ask(
            place,
            f'The text names a machine that is not kept yet: "{named}". {stays}',
            "Keep it as a new machine",
            keep,
        )
    elif newest is not None and newest.id != sha256(text.encode()).hexdigest():
        last = f"revision {newest.revision}, kept {moment(newest.added_on)}"
        says = (
            f'A machine "{named}" is kept already ({last}). This text would take the place of its file; its logs and '
            "bench runs would stand under it. The old text stays in the record."
        )
        _ask(place, says, f'Keep it as the newest file of "{named}"', keep)
    else:
        keep()


def _ask(place: ui.element, says: str, yes: str, keep: "partial[None]") -> None:
    with place, ui.element("div").classes("told").props('role="alert"'):
        ui.label(says)
        with ui.element("div").classes("row-of"):
            primary(yes, keep)
            other("Do not keep it", place.clear)


def _keep(desk: Desk, text: str, file_name: str, place: ui.element) -> None:
    try:
        revision = job.record.keep_machine_text(desk.record, text, file_name)
    except SteadyheadError as error:
        place.clear()
        with place:
            show_refusal(str(error))
        return
    ui.run_javascript(GO_ON.format(json.dumps(page_of(revision.machine, "machine"))))
