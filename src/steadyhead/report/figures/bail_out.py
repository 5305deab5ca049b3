"""Height lost in a bail-out against the quick ramp, and what the ramp asks, limits drawn."""

import textwrap
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from steadyhead.flight.bail_out_result import BailOut, RampHeight
from steadyhead.report.figures.canvas import Drawing, blank, limit_line, small, style, svg_text, title
from steadyhead.report.palette import colour, line_colour
from steadyhead.words.verdict import Limit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SIZE_IN = (7.4, 6.4)
TICKS = (0.3, 0.5, 1.0, 2.0, 4.0, 8.0)
ROOM, TOP = 1.45, 1.35
"""How far an axis reaches beyond its lines: room for a legend of four lines, and of two."""
MIDDLE_S = 4.0
"""A mark beyond this ramp has its words on the left."""
DASHES = ("-", "--", ":", "-.")
PANELS = (
    ("current (A)", (("motor_current_a", "motor", "motor_current"), ("pack_current_a", "pack", "pack_current"))),
    (
        "one-way bearing (N m)",
        (("bearing_torque_nm", "carried", "one_way_torque"), ("bearing_peak_nm", "catching the head", "")),
    ),
    ("pinion tooth, carried (MPa)", (("pinion_stress_mpa", "pinion", "pinion_tooth"),)),
)


def bail_out_drawing(bail_outs: Sequence[BailOut], limits: Mapping[str, Limit]) -> Drawing:
    """Return height lost and loads against the quick ramp as SVG, today's ramp and the best marked."""
    first = bail_outs[0]
    with style():
        drawn = blank(SIZE_IN)
        grid = drawn.subplots(2, 2, sharex=True)
        _heights(grid.flat[0], bail_outs)
        for axes, (name, lines) in zip(grid.flat[1:], PANELS, strict=True):
            _loads(axes, first, name, lines, limits)
        for axes in grid[1]:
            axes.set_xlabel("quick ramp, rest to head speed (s)")
        words = bail_out_words(first)
        title(grid[0, 0], f"bail-out, {first.mode}", first.verdict)
        drawn.suptitle("\n".join(textwrap.wrap(words, 88)), fontsize=9.0, color=colour(first.verdict.value))
        return Drawing(name="bail-out", title="Bail-out", says=words, svg=svg_text(drawn), wide=True)


def bail_out_words(one: BailOut) -> str:
    """Return what the drawing says, with the caution that belongs to it."""
    height = one.granted.least_height_m
    known = "no height is known" if height is None else f"{height:.0f} m from the decision to level flight"
    return (
        f"{one.way}, quick restart granted: {known} for {100.0 * one.granted.chance:g} %; best: gentlest ramp within "
        "the known limits; an estimate, never a permission"
    )


def _heights(axes: "Axes", bail_outs: Sequence[BailOut]) -> None:
    _ramp_axis(axes, bail_outs[0].ramps)
    axes.set_ylabel("height lost to level flight (m)")
    for number, one in enumerate(bail_outs):
        for field, dash, words in (
            ("least_height_m", "-", f"{one.way}, {100.0 * one.granted.chance:g} % take at most"),
            ("height_lost_m", ":", f"{one.way}, as described"),
        ):
            pairs = [(ramp.ramp_s, getattr(ramp, field)) for ramp in one.ramps if getattr(ramp, field) is not None]
            axes.plot(*zip(*pairs, strict=True), dash, color=line_colour(number), label=words) if pairs else None
    axes.set_ylim(0.0, ROOM * axes.get_ylim()[1])
    _marks(axes, bail_outs[0])
    _legend(axes)


def _loads(
    axes: "Axes", one: BailOut, name: str, lines: Sequence[tuple[str, str, str]], limits: Mapping[str, Limit]
) -> None:
    _ramp_axis(axes, one.ramps)
    axes.set_ylabel(name)
    drawn = False
    for index, (field, label, check) in enumerate(lines):
        pairs = [(ramp.ramp_s, getattr(ramp, field)) for ramp in one.ramps if getattr(ramp, field) is not None]
        if not pairs:
            continue
        axes.plot(*zip(*pairs, strict=True), label=label, color=line_colour(index), linestyle=DASHES[index])
        drawn = True
        whose = f"{label}: " if sum(bool(held) for _, _, held in lines) > 1 else ""
        if check in limits:
            limit_line(axes, limits[check].value, f"{whose}limit {limits[check].value:g} {limits[check].unit}")
        elif check:
            small(axes, "limit not known", (0.98, 0.0), shade="unknown", shift_pt=(0.0, 6.0), ha="right")
    if not drawn:
        axes.text(0.5, 0.5, "not known", transform=axes.transAxes, ha="center", va="center", color=colour("unknown"))
        return
    axes.set_ylim(0.0, TOP * axes.get_ylim()[1])
    _marks(axes, one)
    if len(lines) > 1:
        _legend(axes)


def _ramp_axis(axes: "Axes", ramps: Sequence[RampHeight]) -> None:
    axes.set_xscale("log")
    seen = [tick for tick in TICKS if ramps[0].ramp_s * 0.99 <= tick <= ramps[-1].ramp_s * 1.01]
    axes.set_xticks(seen, [f"{tick:g}" for tick in seen])
    axes.set_xticks([], minor=True)


def _marks(axes: "Axes", one: BailOut) -> None:
    for at, words, shade in ((one.today.ramp_s, "today's", "ink"), (one.best_ramp_s, "best", "soft")):
        if at is not None:
            axes.axvline(at, color=colour(shade), linewidth=1.0, zorder=1.5)
            left = at > MIDDLE_S
            axes.annotate(
                words, xy=(at, 0.03), xycoords=axes.get_xaxis_transform(), xytext=(-2 if left else 2, 0),
                textcoords="offset points", rotation=90, ha="right" if left else "left", va="bottom", fontsize=7.5,
                color=colour("soft"),
            )  # fmt: skip


def _legend(axes: "Axes") -> None:
    """Write the legend on paper of its own, so that no line runs through its words."""
    paper = {"frameon": True, "facecolor": colour("paper"), "edgecolor": "none", "framealpha": 0.9}
    axes.legend(loc="upper left", **paper).set_zorder(7)
