"""Two sliders, head speed and pinion, and at once what each load asks."""

from collections.abc import Callable
from dataclasses import dataclass

from nicegui import ui
from nicegui.events import GenericEventArguments

from steadyhead import job
from steadyhead.machine.description import Machine
from steadyhead.plan.glimpse import Glimpse
from steadyhead.report.views.glimpsed import glimpse_table_html, glimpse_words, slider_ends
from steadyhead.words.errors import SteadyheadError

_TELL = "(event) => emit(Number(event.target.value))"


@dataclass
class _Stands:
    """Where the sliders stand."""

    head_speed_rpm: int
    pinion_teeth: int


def show_glimpse(machine: Machine) -> None:
    """Show the sliders and what follows from where they stand; nothing here is a verdict."""
    ends = slider_ends(machine)
    stands = _Stands(ends.now_rpm, ends.now_teeth)
    with ui.element("section").props('aria-label="Quick look"').classes("card"):
        with ui.element("h2"):
            ui.label("Quick look")
        with ui.element("div").classes("glimpse"):
            with ui.element("div"):
                controls = ui.element("div")
                words = ui.label().classes("soft").props('role="status"')
            table = ui.html("", sanitize=False)

    def look() -> None:
        try:
            seen: Glimpse = job.glimpse(machine, stands.head_speed_rpm, stands.pinion_teeth)
        except SteadyheadError as error:
            words.set_text(str(error))
            return
        words.set_text(glimpse_words(seen))
        table.set_content(glimpse_table_html(seen))

    with controls:
        _slider("Head speed", "rpm", ends.head_speed_rpm, stands, "head_speed_rpm", look, 10)
        _slider("Pinion", "teeth", ends.pinion_teeth, stands, "pinion_teeth", look)
    look()


def _slider(
    name: str, unit: str, ends: tuple[int, int], stands: _Stands, field: str, look: Callable[[], None], step: int = 1
) -> None:
    """Show one slider, the browser's own, so that a thumb, a key and a screen reader all work it."""
    with ui.element("div"):
        ui.label(name).classes("soft")
        shown = ui.label(f"{getattr(stands, field)} {unit}").classes("big")
        now = getattr(stands, field)
        slider = ui.html(
            f'<input class="range" type="range" min="{ends[0]}" max="{ends[1]}" step="{step}" value="{now}" '
            f'aria-label="{name}, {unit}">',
            sanitize=False,
        )

    def moved(event: GenericEventArguments) -> None:
        setattr(stands, field, int(event.args))
        shown.set_text(f"{getattr(stands, field)} {unit}")
        look()

    slider.on("input", moved, js_handler=_TELL, throttle=0.04)
