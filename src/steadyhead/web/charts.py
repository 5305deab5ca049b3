"""A judged log that can be zoomed; each window looked at is thinned anew on the server."""

from nicegui import ui
from nicegui.events import GenericEventArguments

from steadyhead.judge.result import Judgement
from steadyhead.report.figures.zoomed import window_of, window_series, zoomed_chart
from steadyhead.words.verdict import Limit

_TELL_LOOK = """matchMedia("(prefers-color-scheme: dark)").addEventListener(
  "change", () => setTimeout(() => emitEvent("look_changed"), 100))"""


def show_chart(judgement: Judgement, duty_max: Limit | None) -> None:
    """Show the log over time with its stretches, set speeds and limits."""
    chart = ui.echart(zoomed_chart(judgement, duty_max)).classes("chart tall")
    chart.props(f'role="img" aria-label="{judgement.log.replace(chr(34), "")} over time, {judgement.verdict.value}"')

    def zoomed(event: GenericEventArguments) -> None:
        window = window_of(judgement, event.args)
        series = [{"name": name, "data": data} for name, data in window_series(judgement, window).items()]
        chart.run_chart_method("setOption", {"series": series}, {"lazyUpdate": True})

    chart.on("chart:datazoom", zoomed, throttle=0.15, leading_events=False)
    ui.on("look_changed", chart.update)
    ui.run_javascript(_TELL_LOOK)
