"""What a spool-up asks against its time: currents, winding, teeth and one-way bearing, limits drawn."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from steadyhead.flight.governor_result import Ramp
from steadyhead.report.figures.canvas import Drawing, blank, limit_line, shortened, style, svg_text, title
from steadyhead.report.palette import colour, line_colour
from steadyhead.report.wording import MARKS
from steadyhead.words.verdict import Limit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SIZE_IN = (7.4, 6.2)
Lines = Sequence[tuple[str, str, str]]
"""Field of RampPoint, its name, and the check whose limit is drawn."""
PANELS: tuple[tuple[str, Lines], ...] = (
    (
        "current (A)",
        (("motor_current_a", "motor", "motor_current"), ("pack_current_a", "pack", "pack_current")),
    ),
    ("winding (°C)", (("winding_temperature_c", "at the ramp's end", "winding_temperature"),)),
    (
        "tooth bending (MPa)",
        (
            ("pinion_stress_mpa", "pinion", "pinion_tooth"),
            ("main_gear_stress_mpa", "main gear", "main_gear_tooth"),
            ("pinion_stress_peak_mpa", "pinion, catching", ""),
            ("main_gear_stress_peak_mpa", "main gear, catching", ""),
        ),
    ),
    (
        "one-way bearing (N m)",
        (("bearing_torque_nm", "carried", "one_way_torque"), ("bearing_peak_nm", "catching", "")),
    ),
)
TICKS = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
DASHES = ("-", "--", ":", "-.")


def ramp_drawing(ramp: Ramp, limits: Mapping[str, Limit]) -> Drawing:
    """Return the peaks of one kind of spool-up against ramp time as SVG, with today's time and the shortest marked."""
    with style():
        drawn = blank(SIZE_IN)
        grid = drawn.subplots(2, 2, sharex=True)
        for axes, (name, lines) in zip(grid.flat, PANELS, strict=True):
            _panel(axes, ramp, name, lines, limits)
        for axes in grid[1]:
            axes.set_xlabel("ramp from rest to head speed (s)")
        words = ramp_words(ramp)
        title(grid[0, 0], f"{ramp.kind} ramp, {shortened(ramp.mode)}", ramp.verdict)
        drawn.suptitle(words, fontsize=9.0, color=colour(ramp.verdict.value))
        return Drawing(
            name=f"{ramp.kind}-ramp", title=f"{ramp.kind.capitalize()} ramp", says=words, svg=svg_text(drawn), wide=True
        )


def ramp_words(ramp: Ramp) -> str:
    """Return the shortest ramp and what it rests on, in words."""
    mark = f"{MARKS[ramp.verdict]} {ramp.verdict.value}"
    if ramp.shortest_s is None:
        return f"{mark}: no ramp looked at keeps the known limits"
    more = f"; {len(ramp.unknown_limits)} limits or inputs not known" if ramp.unknown_limits else ""
    return f"{mark}: {ramp.shortest_s:.2f} s keeps the known limits{more}"


def _limit_words(label: str, limit: Limit, *, alone: bool) -> str:
    """Return what a limit is called; where several lines share a panel, whose it is."""
    return f"limit {limit.value:g} {limit.unit}" if alone else f"{label}: limit {limit.value:g} {limit.unit}"


def _panel(axes: "Axes", ramp: Ramp, name: str, lines: Lines, limits: Mapping[str, Limit]) -> None:
    axes.set_xscale("log")
    seen = [tick for tick in TICKS if ramp.curve[0].ramp_s <= tick <= ramp.curve[-1].ramp_s]
    axes.set_xticks(seen, [f"{tick:g}" for tick in seen])
    axes.set_xticks([], minor=True)
    axes.set_ylabel(name)
    drawn = False
    for index, (field, label, check) in enumerate(lines):
        pairs = [(point.ramp_s, getattr(point, field)) for point in ramp.curve if getattr(point, field) is not None]
        if pairs:
            axes.plot(
                [time_s for time_s, _ in pairs], [value for _, value in pairs], label=label, color=line_colour(index),
                linestyle=DASHES[index],
            )  # fmt: skip
            drawn = True
            if check in limits:
                limit_line(axes, limits[check].value, _limit_words(label, limits[check], alone=len(lines) == 1))
    if not drawn:
        axes.text(0.5, 0.5, "not known", transform=axes.transAxes, ha="center", va="center", color=colour("unknown"))
        return
    axes.set_ylim(bottom=0.0)
    for at, words in ((ramp.today_s, "today's"), (ramp.shortest_s, "shortest")):
        if at is not None:
            axes.axvline(at, color=colour("ink" if words == "today's" else "soft"), linewidth=1.0, zorder=1.5)
            axes.annotate(
                words, xy=(at, 0.68), xycoords=axes.get_xaxis_transform(), xytext=(2, -2), textcoords="offset points",
                rotation=90, va="top", fontsize=7.5, color=colour("soft"),
            )  # fmt: skip
    if len(lines) > 1:
        # A frame of paper: the line of today's ramp passes behind the words, not through them.
        legend = axes.legend(loc="upper right", fontsize=7.5, frameon=True, framealpha=1.0, edgecolor="none")
        legend.set_zorder(5.0)
