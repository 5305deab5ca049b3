"""The height-velocity diagram: from where a loss of the motor ends hard, with and without a bail-out."""

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING

from steadyhead.flight.bail_out_result import AvoidedHeights, HeightVelocity
from steadyhead.report.figures.canvas import WIDE_IN, Drawing, blank, style, svg_text, title
from steadyhead.report.palette import colour
from steadyhead.words.verdict import Outcome

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Edge = Sequence[float]
FLOOR_M = 0.3
_LETTERS = 80
"""Letters of a line above the drawing: more would run over its edge."""
TICKS_M = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)


def height_velocity_drawing(diagram: HeightVelocity) -> Drawing:
    """Return the diagram as SVG: region without motor, what a bail-out leaves of it, and both 90 % bands."""
    with style():
        drawn = blank(WIDE_IN)
        axes = drawn.subplots()
        speeds = [point.forward_speed_m_s for point in diagram.points]
        top = diagram.highest_looked_at_m
        low = [FLOOR_M if p.low_m is None else max(p.low_m, FLOOR_M) for p in diagram.points]
        high = [_high(point, top) for point in diagram.points]
        bail = [_bailed(point, top) for point in diagram.points]
        seen = [point.avoided for point in diagram.points]
        left = [point.avoided_with_bail_out for point in diagram.points]
        axes.fill_between(speeds, low, high, where=seen, color=colour("shade-b"), label="hard without motor")
        axes.fill_between(speeds, low, bail, where=left, color=colour("shade-d"), label="still hard with a bail-out")
        axes.plot(speeds, high, color=colour("ochre"), linewidth=1.2)
        axes.plot(speeds, bail, color=colour("plum"), linewidth=1.2)
        _bands(axes, diagram, top)
        axes.set_yscale("log")
        axes.set_ylim(FLOOR_M, top)
        axes.set_yticks([tick for tick in TICKS_M if tick <= top], [f"{t:g}" for t in TICKS_M if t <= top])
        axes.set_yticks([], minor=True)
        axes.set_xlim(speeds[0], speeds[-1])
        axes.set_xlabel("forward speed as the motor goes (m/s)")
        axes.set_ylabel("height above the ground (m)")
        axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.14), ncols=2)
        words = diagram_words(diagram)
        title(axes, f"height-velocity, {diagram.mode}: an estimate, never a permission", Outcome.UNKNOWN)
        drawn.suptitle(textwrap.fill(words, _LETTERS), fontsize=9.0, color=colour("soft"))
        return Drawing(name="height-velocity", title="Height and speed", says=words, svg=svg_text(drawn), wide=True)


def diagram_words(diagram: HeightVelocity) -> str:
    """Return what counts as hard, and what the bands are."""
    return (
        f"hard: more than {diagram.touchdown_sink_m_s:g} m/s sink or {diagram.touchdown_speed_m_s:g} m/s forward; "
        f"reaction {diagram.reaction_s:g} s; lines 90 % of {diagram.drawn} machines drawn; "
        "outside it nothing is proved"
    )


def _high(point: AvoidedHeights, top: float) -> float:
    return (top if point.avoided else FLOOR_M) if point.high_m is None else point.high_m


def _bailed(point: AvoidedHeights, top: float) -> float:
    """Return the upper edge of what a bail-out leaves of the region."""
    return min(_high(point, top), top if point.bail_out_m is None else point.bail_out_m)


def _bands(axes: "Axes", diagram: HeightVelocity, top: float) -> None:
    """Draw both upper edges' 90 % intervals; one without an end runs out of the drawing."""
    for field, shade, words, dash in (
        ("high_m_interval", "ochre", "90 % of the edge without motor", (0, (4, 2))),
        ("bail_out_m_interval", "plum", "90 % of the height a bail-out takes", (0, (1, 1.5))),
    ):
        for end in range(2):
            ends = [getattr(point, field) for point in diagram.points]
            line = [float("nan") if one is None else min(one[end], top) for one in ends]
            axes.plot(
                [point.forward_speed_m_s for point in diagram.points], line, color=colour(shade), linestyle=dash,
                linewidth=1.0, label=words if end == 0 else None,
            )  # fmt: skip
