"""A plain chart: bars with their doubt, or dots of two figures with the front through them."""

from dataclasses import dataclass

from steadyhead.report.figures.canvas import (
    NARROW_IN,
    SMALL_PT,
    WIDE_IN,
    Drawing,
    blank,
    limit_line,
    shortened,
    style,
    svg_text,
    title,
)
from steadyhead.report.palette import colour, outcome_colour
from steadyhead.words.verdict import Outcome


@dataclass(frozen=True, kw_only=True)
class Bar:
    """One bar with the ends of its 90 % interval, and its verdict where it has one."""

    label: str
    value: float
    interval: tuple[float, float]
    outcome: Outcome | None = None


@dataclass(frozen=True, kw_only=True)
class Dot:
    """One point of a chart of two figures."""

    label: str
    x: float
    y: float
    joined: bool
    """Whether the line goes through it."""


@dataclass(frozen=True, kw_only=True)
class Chart:
    """Bars, or dots of two figures, with axis labels, a limit and the verdict in words."""

    name: str
    says: str
    x_label: str
    y_label: str
    outcome: Outcome
    bars: tuple[Bar, ...] = ()
    dots: tuple[Dot, ...] = ()
    limit: float | None = None
    limit_says: str = ""


def chart_drawing(chart: Chart) -> Drawing:
    """Return a chart as a drawing."""
    svg = _bars(chart) if chart.bars else _dots(chart)
    return Drawing(name=chart.name, title=chart.name, says=chart.says, svg=svg, wide=True)


def _bars(chart: Chart) -> str:
    with style():
        drawn = blank((WIDE_IN[0], max(NARROW_IN[1], 1.2 + 0.28 * len(chart.bars))))
        axes = drawn.subplots()
        for place, bar in enumerate(chart.bars):
            shade = colour("blue") if bar.outcome is None else outcome_colour(bar.outcome)
            axes.barh(place, bar.value, height=0.55, color=shade, alpha=0.4, linewidth=0)
            axes.plot(bar.interval, (place, place), color=shade, linewidth=1.4, marker="|", markersize=6)
            words = f"{bar.value:.0f} %" + (f" {bar.outcome.value}" if bar.outcome else "")
            axes.annotate(
                words, xy=(max(bar.interval[1], bar.value), place), xytext=(6, 0), textcoords="offset points",
                va="center", fontsize=SMALL_PT, color=shade,
            )  # fmt: skip
        axes.set_yticks(range(len(chart.bars)), [shortened(bar.label, 36) for bar in chart.bars])
        axes.set_ylim(len(chart.bars) - 0.4, -0.6)
        low, high = (f(end for bar in chart.bars for end in bar.interval) for f in (min, max))
        axes.set_xlim(min(0.0, low), max(118.0, high + 18.0))
        axes.set_xticks(range(0, 101, 20))
        axes.grid(False, axis="y")
        if chart.limit is not None:
            limit_line(axes, chart.limit, chart.limit_says, upright=True)
        axes.set_xlabel(chart.x_label)
        title(axes, chart.says, chart.outcome, raised=chart.limit is not None)
        return svg_text(drawn)


def _dots(chart: Chart) -> str:
    with style():
        drawn = blank(WIDE_IN)
        axes = drawn.subplots()
        line = sorted((dot.x, dot.y) for dot in chart.dots if dot.joined)
        axes.plot([x for x, _ in line], [y for _, y in line], color=colour("blue"), linewidth=1.2)
        for dot in chart.dots:
            shade = colour("blue" if dot.joined else "soft")
            axes.plot(dot.x, dot.y, marker="o" if dot.joined else "x", markersize=5.0, color=shade)
            axes.annotate(
                shortened(dot.label, 36), xy=(dot.x, dot.y), xytext=(5, 4), textcoords="offset points",
                fontsize=SMALL_PT, color=shade,
            )  # fmt: skip
        axes.margins(0.15)
        axes.set_xlabel(chart.x_label)
        axes.set_ylabel(chart.y_label)
        title(axes, chart.says, chart.outcome)
        return svg_text(drawn)
