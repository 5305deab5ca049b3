"""A judged log that can be zoomed; each window looked at is thinned anew on the server."""

from nicegui import ui
from nicegui.events import GenericEventArguments

from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.report.figures.log_trace import log_words
from steadyhead.report.figures.zoomed import Window, drawn_limits, has_lines, window_of, window_series, zoomed_chart

_TELL_LOOK = """window.lookTold ??= (matchMedia("(prefers-color-scheme: dark)").addEventListener(
  "change", () => setTimeout(() => emitEvent("look_changed"), 100)), true)"""
_HOW = (
    "Zoom: Ctrl and wheel, or two fingers, or the bar below the chart. Move: drag. "
    "A name above the chart takes its line away."
)


def headline(judgement: Judgement) -> str:
    """Return which log says what: a refusal of another file may stand right above it."""
    return f"{judgement.log}: {log_words(judgement)}"


def show_chart(judgement: Judgement, machine: Machine) -> None:
    """Show the log over time with its verdict, stretches, set speeds and limits."""
    ui.label(headline(judgement)).classes(f"chart-says {judgement.verdict.value}")
    if not has_lines(judgement):
        ui.label("Nothing in it can be drawn over time.").classes("soft")
        return
    chart = ui.echart(zoomed_chart(judgement, drawn_limits(machine))).classes("chart tall")
    chart.props(f'role="img" aria-label="{judgement.log.replace(chr(34), "")} over time, {judgement.verdict.value}"')
    ui.label(_HOW).classes("chart-how soft")
    looked_at: list[Window] = []

    def fine() -> None:
        """Send the window that is looked at in full fineness."""
        for window in looked_at[-1:]:
            series = [{"name": name, "data": data} for name, data in window_series(judgement, window).items()]
            chart.run_chart_method("setOption", {"series": series}, {"lazyUpdate": True})

    def zoomed(event: GenericEventArguments) -> None:
        looked_at[:] = [window_of(judgement, event.args)]
        fine()

    def look_changed() -> None:
        if not chart.is_deleted:
            chart.update()
            fine()

    chart.on("chart:datazoom", zoomed, throttle=0.15, leading_events=False)
    ui.on("look_changed", look_changed)
    ui.run_javascript(_TELL_LOOK)
