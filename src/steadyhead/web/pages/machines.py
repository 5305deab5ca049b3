"""The first page: every machine that is kept, and how to add one; and the page of one machine's file."""

from functools import partial

from nicegui import ui
from nicegui.events import UploadEventArguments

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.machine.description import Machine
from steadyhead.machine.new import SIZES
from steadyhead.report.views.checked import check_view
from steadyhead.report.views.revised import difference_view
from steadyhead.report.wording import moment
from steadyhead.web.addresses import page_of
from steadyhead.web.choices import Choice
from steadyhead.web.desk import Desk
from steadyhead.web.frame import frame
from steadyhead.web.pages.keeping import keep_text
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import other, primary, show_refusal, show_view
from steadyhead.web.uploads import bring
from steadyhead.words.errors import SteadyheadError

SIZE_WORDS = [str(size) for size in SIZES]
LARGEST_FILE_BYTES = 1_048_576


def add_pages(desk: Desk) -> None:
    """Add the first page and the page of a machine."""

    @ui.page("/")
    def first() -> None:
        with frame("Machines"):
            _kept(desk)
            _add_new(desk)
            _add_file(desk)
            _add_bundled(desk)

    add_page(desk, "machine", "Machine", partial(_machine, desk))


def _kept(desk: Desk) -> None:
    kept = job.shelf.machines(desk.record)
    if not kept:
        ui.label("No machine is kept yet. Make one, bring its file, or look at the invented one.").classes("told")
        return
    with ui.element("ul").classes("machines").props('aria-label="Machines that are kept"'):
        for revision in kept:
            with ui.element("li"), ui.link(target=page_of(revision.machine, "machine")):
                with ui.element("b"):
                    ui.label(revision.machine)
                ui.label(f"revision {revision.revision}, {moment(revision.added_on)}").classes("soft")


def _add_new(desk: Desk) -> None:
    with ui.element("section").classes("card").props('aria-label="A new machine"'):
        with ui.element("h2"):
            ui.label("A new machine")
        ui.label("The file starts from what is typical of its size. Everything typical is marked until you measure it.")
        with ui.element("div").classes("row-of"):
            name = ui.input("Name")
            size = Choice("Size class, mm of blade", dict(zip(SIZE_WORDS, SIZE_WORDS, strict=True)), chosen="600")
            place = ui.element("div")

            def make() -> None:
                try:
                    text = job.new_text(name.value or "", int(size.value))
                except SteadyheadError as error:
                    place.clear()
                    with place:
                        show_refusal(str(error))
                    return
                keep_text(desk, text, f"{name.value}.toml", place)

            primary("Make it", make)


def _add_file(desk: Desk) -> None:
    with ui.element("section").classes("card").props('aria-label="A machine file"'):
        with ui.element("h2"):
            ui.label("A machine file that you have")
        place = ui.element("div")

        async def brought(event: UploadEventArguments) -> None:
            keep_text(desk, await _text_of(event), event.file.name, place)

        bring("Bring a machine file (TOML)", brought, accept=".toml,.txt", largest_bytes=LARGEST_FILE_BYTES)


async def _text_of(event: UploadEventArguments) -> str:
    return (await event.file.read()).decode("utf-8-sig", "replace").replace("\r\n", "\n")


def _add_bundled(desk: Desk) -> None:
    with ui.element("section").classes("card").props('aria-label="An invented machine"'):
        with ui.element("h2"):
            ui.label("Only looking?")
        ui.label("An invented machine, so that every page can be tried. It belongs to no real helicopter.")
        place = ui.element("div")

        def take() -> None:
            path = job.bundled("fox600")
            keep_text(desk, path.read_text("utf-8"), path.name, place)

        other("Take the invented machine", take)


def _machine(desk: Desk, revision: Revision, machine: Machine) -> None:
    show_view(check_view(job.check(machine)))
    with ui.element("section").props('aria-label="The file"'):
        with ui.element("h2"):
            ui.label("The file")
        ui.label("Edit it here. Keeping it makes a new revision; the old ones stay.").classes("soft")
        text = ui.textarea("Machine file (TOML)", value=job.shelf.kept_text(desk.record, revision.id))
        text.classes("toml asks-before-leaving").props("autogrow outlined spellcheck=false")
        place = ui.element("div")
        primary(
            "Keep this revision",
            lambda: keep_text(desk, text.value or "", revision.file_name, place, page_is_of=revision),
        )
    _revisions(desk, revision)


def _revisions(desk: Desk, newest: Revision) -> None:
    older = [one for one in job.shelf.revisions(desk.record, newest.machine) if one.id != newest.id]
    if not older:
        return
    with ui.element("section").props('aria-label="Earlier revisions"'):
        with ui.element("h2"):
            ui.label("Earlier revisions")
        names = {one.id: f"revision {one.revision}, kept {moment(one.added_on)}" for one in older}

        def compare() -> None:
            place.clear()
            with place:
                show_view(difference_view(job.shelf.difference(desk.record, chosen.value, newest.id)))

        chosen = Choice("What changed since", names, on_change=compare)
        place = ui.element("div")
        compare()
