"""Sink rate against forward speed, a line a head speed: bands, least sink, flattest glide, states of the disc."""

import textwrap
from typing import TYPE_CHECKING

from steadyhead.flight.descend_result import DescendAnswer, GlidePoint, HeadSpeedDescent
from steadyhead.physics.descent_state import CLEAN_EDGEWISE, RING_BEGINS, RING_ENDS, WINDMILL_BEGINS
from steadyhead.report.figures.canvas import SMALL_PT, Drawing, blank, shortened, style, svg_text, title
from steadyhead.report.palette import colour, line_colour
from steadyhead.report.wording import MARKS

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SIZE_IN = (7.4, 5.4)
CAUTION = "An estimate in still air, never a permission: practise with an instructor, much higher than this."
REGIONS = (
    ("vortex ring", RING_BEGINS, RING_ENDS, "shade-d"),
    ("turbulent wake", RING_ENDS, WINDMILL_BEGINS, "shade-b"),
    ("windmill", WINDMILL_BEGINS, None, "shade-c"),
)
"""State of the disc in steep descent, from and to what sink rate over hover inflow."""
UNSURE = (0, (3, 2))
"""Line of a glide that part of the machine's spread does not have."""


def glide_drawing(answer: DescendAnswer) -> Drawing:
    """Return the glides of a machine: sink rate grows downwards, the 90 % interval as a band."""
    with style():
        drawn = blank(SIZE_IN)
        axes = drawn.subplots()
        glides = [one for one in answer.head_speeds if any(point.sink_m_s is not None for point in one.points)]
        for index, one in enumerate(glides):
            _line(axes, one, index)
        deepest = max((point.sink_m_s or 0.0 for one in glides for point in one.points), default=1.0)
        fastest = max((point.forward_m_s for one in glides for point in one.points), default=1.0)
        _regions(axes, answer.hover_inflow_m_s, 1.12 * deepest)
        axes.set_ylim(1.12 * deepest, 0.0)
        axes.set_xlim(0.0, fastest + 1.0)
        axes.set_xlabel("forward speed (m/s)")
        axes.set_ylabel("sink rate (m/s), downwards")
        if glides:
            axes.plot([], [], color=colour("ink"), marker="o", linestyle="none", label="least sink rate")
            axes.plot([], [], color=colour("ink"), marker="D", linestyle="none", label="flattest glide")
            axes.fill_between([], [], [], color=colour("soft"), alpha=0.2, label="90 % interval")
            axes.plot([], [], color=colour("soft"), linestyle=UNSURE, label="interval not known")
            caution = textwrap.fill(CAUTION, 110)
            drawn.legend(loc="outside lower center", ncols=4, title=caution, title_fontsize=SMALL_PT)
        words = glide_words(answer)
        title(axes, words, answer.verdict)
        return Drawing(name="glide", title="Autorotation", says=words, svg=svg_text(drawn), wide=True)


def glide_words(answer: DescendAnswer) -> str:
    """Return the verdict and the least sink rate of all head speeds, in words."""
    mark = f"{MARKS[answer.verdict]} {answer.verdict.value}"
    best = [(one.least_sink.sink_m_s, one) for one in answer.head_speeds if one.modes and one.least_sink]
    if not best:
        return f"{mark}: no flight mode's head speed holds in an autorotation"
    sink, one = min(best, key=lambda pair: pair[0])
    point = one.least_sink
    at = f" at {point.forward_m_s:.0f} m/s" if point else ""
    none = [name for other in answer.head_speeds if other.least_sink is None for name in other.modes]
    missing = f"; no autorotation at the head speed of {', '.join(shortened(name) for name in none)}" if none else ""
    return f"{mark}: {one.head_speed_rpm:.0f} rpm sinks {sink:.1f} m/s{at}{missing}"


def _line(axes: "Axes", one: HeadSpeedDescent, index: int) -> None:
    """Draw one head speed: line, band, its two best points, and its name at the right end."""
    shade = line_colour(index)
    for piece in _pieces(one.points):
        forward = [point.forward_m_s for point in piece]
        sure = [point for point in piece if point.sink_m_s_interval]
        known = [point.forward_m_s for point in sure]
        axes.plot(forward, [point.sink_m_s or 0.0 for point in piece], color=shade, linestyle=UNSURE)
        axes.plot(known, [point.sink_m_s or 0.0 for point in sure], color=shade)
        spans = [point.sink_m_s_interval for point in sure if point.sink_m_s_interval]
        lows, highs = [low for low, _ in spans], [high for _, high in spans]
        axes.fill_between(known, lows, highs, color=shade, alpha=0.09, linewidth=0)
        for edge in (lows, highs):
            axes.plot(known, edge, color=shade, linewidth=0.7, alpha=0.6)
    for best, marker in ((one.least_sink, "o"), (one.best_glide, "D")):
        if best is not None:
            axes.plot(best.forward_m_s, best.sink_m_s, marker=marker, markersize=5.0, color=shade, zorder=5)
    last = [point for point in one.points if point.sink_m_s is not None][-1]
    modes = f", {', '.join(shortened(mode, 12) for mode in one.modes)}" if one.modes else ""
    axes.annotate(
        f"{one.head_speed_rpm:.0f} rpm{modes}", xy=(last.forward_m_s, last.sink_m_s or 0.0), xytext=(-2, -5),
        textcoords="offset points", ha="right", va="top", fontsize=SMALL_PT, color=shade, zorder=6,
        bbox={"facecolor": colour("paper"), "edgecolor": "none", "alpha": 0.7, "pad": 0.6},
    )  # fmt: skip


def _pieces(points: tuple[GlidePoint, ...]) -> list[list[GlidePoint]]:
    """Return the points in stretches without a gap."""
    pieces: list[list[GlidePoint]] = [[]]
    for point in points:
        if point.sink_m_s is None:
            pieces.append([])
        else:
            pieces[-1].append(point)
    return [piece for piece in pieces if piece]


def _regions(axes: "Axes", unit_m_s: float, deepest: float) -> None:
    """Shade the states of the disc in steep descent: forward speed below the hover inflow."""
    across = CLEAN_EDGEWISE * unit_m_s
    for name, begins, ends, shade in REGIONS:
        top, bottom = begins * unit_m_s, deepest if ends is None else min(ends * unit_m_s, deepest)
        if top >= deepest:
            continue
        axes.fill_between([0.0, across], top, bottom, color=colour(shade), linewidth=0, zorder=0.2)
        axes.annotate(
            name, xy=(0.12, bottom), xytext=(0, 3), textcoords="offset points", ha="left", va="bottom",
            fontsize=SMALL_PT, color=colour("soft"), zorder=6,
        )  # fmt: skip
