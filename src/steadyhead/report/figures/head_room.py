"""Duty left, flight mode by flight mode and load by load: from the pack at its best to the pack at its worst."""

from typing import TYPE_CHECKING

from steadyhead.plan.result import ModePlan, Plan
from steadyhead.report.figures.canvas import (
    NARROW_IN,
    SMALL_PT,
    Drawing,
    blank,
    limit_line,
    shortened,
    small,
    style,
    svg_text,
    title,
)
from steadyhead.report.figures.duty import duty_words, loads
from steadyhead.report.palette import colour, outcome_colour
from steadyhead.report.wording import MARKS
from steadyhead.words.verdict import Limit, worst

if TYPE_CHECKING:
    from matplotlib.axes import Axes


def head_room_drawing(plan: Plan, duty_max: Limit | None = None) -> Drawing:
    """Return the duty left as bars from best to worst, with the verdict of each in words."""
    rows = [(mode, load) for mode in plan.modes for load in loads(plan) if any(c.load == load for c in mode.conditions)]
    with style():
        width, height = NARROW_IN
        drawn = blank((width, max(height, 1.0 + 0.2 * (len(rows) + len(plan.modes)))))
        axes = drawn.subplots()
        place, ticks, names = 0.0, [], []
        for index, (mode, load) in enumerate(rows):
            if index == 0 or rows[index - 1][0] is not mode:
                _mode_head(axes, place, mode)
                place += 1.0
            _bar(axes, place, mode, load)
            ticks.append(place)
            names.append(load)
            place += 1.0
        axes.set_yticks(ticks, names)
        axes.set_ylim(place - 0.3, -0.7)
        axes.grid(False, axis="y")
        axes.axvline(0.0, color=colour("ink"), linewidth=1.0)
        if duty_max is not None:
            limit_line(
                axes, 100.0 * (1.0 - duty_max.value), f"limit {100.0 * (1.0 - duty_max.value):.3g} %", upright=True
            )
        axes.margins(x=0.12)
        axes.set_xlabel("duty left (%): dot, pack at its worst; end, at its best")
        words = duty_words(plan)
        title(axes, words, plan.verdict, raised=duty_max is not None)
        return Drawing(name="head-room", title="Head-room by condition", says=words, svg=svg_text(drawn))


def _mode_head(axes: "Axes", place: float, mode: ModePlan) -> None:
    words = f"{shortened(mode.mode)}, {mode.head_speed_rpm:.0f} rpm"
    ground = {"facecolor": colour("paper"), "edgecolor": "none", "pad": 1.0}
    small(axes, words, (0.0, place), shade="ink", shift_pt=(4, 0), va="center", fontweight="bold", bbox=ground)


def _bar(axes: "Axes", place: float, mode: ModePlan, load: str) -> None:
    found = [c for c in mode.conditions if c.load == load]
    low, high = (100.0 * f(c.head_room for c in found) for f in (min, max))
    outcome = worst(c.verdict for c in found)
    shade = outcome_colour(outcome)
    axes.barh(place, high - low, left=low, height=0.5, color=shade, alpha=0.35, linewidth=0)
    axes.plot(low, place, marker="o", markersize=4.5, color=shade)
    axes.annotate(
        f"{MARKS[outcome]} {outcome.value}",
        xy=(high, place),
        xytext=(5, 0),
        textcoords="offset points",
        va="center",
        fontsize=SMALL_PT,
        color=shade,
    )
