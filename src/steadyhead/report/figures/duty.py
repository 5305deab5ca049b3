"""Head speed against duty, one line a condition, with the limits drawn."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from steadyhead.plan.result import ConditionFigures, Plan
from steadyhead.report.figures.canvas import (
    NARROW_IN,
    SMALL_PT,
    Drawing,
    blank,
    limit_line,
    line_names,
    shortened,
    style,
    svg_text,
    title,
)
from steadyhead.report.palette import colour, line_colour
from steadyhead.report.wording import MARKS, percent
from steadyhead.words.verdict import Limit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_DASHES: tuple[Any, ...] = ("-", (0, (7, 2)), (0, (2, 1.6)), (0, (7, 2, 2, 2)))
_DOTS = "osD^v"
_ROOM_FOR_NAMES = 0.45
"""How much of the frame's width, over what the lines take, the names of the flight modes need."""


@dataclass(frozen=True, kw_only=True)
class DutyLine:
    """Head speeds that one load reaches at each duty, 0 to 1, with the pack in one state."""

    load: str
    duty: Sequence[float]
    head_speed_rpm: Sequence[float]
    hardest: bool = True
    """Whether this pack state asks for the most duty; it is drawn bold, the others thin."""


def loads(plan: Plan) -> tuple[str, ...]:
    """Return the loads in the order in which the plan gives them."""
    return tuple(dict.fromkeys(c.load for mode in plan.modes for c in mode.conditions))


def hardest(conditions: Sequence[ConditionFigures]) -> ConditionFigures | None:
    """Return the condition with the least duty left, one without an answer before all others, or None of none."""
    return min(conditions, key=lambda c: -math.inf if math.isnan(c.head_room) else c.head_room, default=None)


def duty_lines(plan: Plan) -> tuple[DutyLine, ...]:
    """Return a line for each load through the points that the plan solved, each with the pack at its worst."""
    lines = []
    for load in loads(plan):
        worst = [(m, hardest([c for c in m.conditions if c.load == load])) for m in plan.modes]
        points = sorted((c.duty, m.head_speed_rpm) for m, c in worst if c is not None and c.solved)
        ceilings = [c.ceiling_rpm for _, c in worst if c is not None]
        points.append((1.0, ceilings[-1]))
        lines.append(DutyLine(load=load, duty=[p[0] for p in points], head_speed_rpm=[p[1] for p in points]))
    return tuple(lines)


def duty_drawing(plan: Plan, lines: Sequence[DutyLine] = (), duty_max: Limit | None = None) -> Drawing:
    """Return head speed against duty: each condition, each mode's head speed, and the limits.

    Without `lines` the points solved in the plan are joined instead.
    """
    with style():
        drawn = blank(NARROW_IN)
        axes = drawn.subplots()
        shown = lines or duty_lines(plan)
        names = tuple(dict.fromkeys(line.load for line in shown))
        for line in shown:
            _line(axes, names.index(line.load), line)
        for mode in plan.modes:
            axes.axhline(mode.head_speed_rpm, color=colour("soft"), linewidth=0.8, zorder=1.5)
        if duty_max is not None:
            limit_line(axes, 100.0 * duty_max.value, f"limit {100.0 * duty_max.value:.3g} %", upright=True)
            axes.axvspan(100.0 * duty_max.value, 100.0, color=colour("fail"), alpha=0.08, linewidth=0)
        axes.axvline(100.0, color=colour("ink"), linewidth=1.0)
        _frame(axes, plan, shown)
        line_names(
            axes, [(mode.head_speed_rpm, f"{shortened(mode.mode)}, {mode.head_speed_rpm:.0f}") for mode in plan.modes]
        )
        axes.set_xlabel("controller duty (%)")
        axes.set_ylabel("head speed (rpm)")
        thin = any(not line.hardest for line in shown)
        loads_title = "bold: pack at its worst, thin: its other states" if thin else None
        drawn.legend(loc="outside lower center", ncols=2, title=loads_title, title_fontsize=SMALL_PT)
        words = duty_words(plan)
        title(axes, words, plan.verdict, raised=duty_max is not None)
        return Drawing(name="duty", title="Head speed against duty", says=words, svg=svg_text(drawn))


def _frame(axes: "Axes", plan: Plan, shown: Sequence[DutyLine]) -> None:
    """Set the ends of both axes: round the head speeds asked for, with room for their names on the left."""
    asked = [mode.head_speed_rpm for mode in plan.modes]
    if asked:
        axes.set_ylim(0.92 * min(asked), 1.15 * max(asked))
    low = axes.get_ylim()[0]
    seen = (100.0 * d for line in shown for d, n in zip(line.duty, line.head_speed_rpm, strict=True) if n >= low)
    least = min((duty for duty in seen if duty < 100.0), default=50.0)
    axes.set_xlim(max(0.0, least - _ROOM_FOR_NAMES * (100.0 - least) - 2.0), 102.0)


def duty_words(plan: Plan) -> str:
    """Return the verdict of the plan with the least duty left, in words."""
    pairs = [(mode, c) for mode in plan.modes for c in mode.conditions]
    mark = f"{MARKS[plan.verdict]} {plan.verdict.value}"
    if not pairs:
        return f"{mark}: no condition was solved"
    mode, worst = min(pairs, key=lambda pair: -math.inf if math.isnan(pair[1].head_room) else pair[1].head_room)
    if not worst.solved or worst.head_room < 0.0:
        return f"{mark}: {shortened(mode.mode)} is out of reach in {worst.load}"
    return f"{mark}: least duty left {percent(worst.head_room)}, {shortened(mode.mode)}, {worst.load}"


def _line(axes: "Axes", index: int, line: DutyLine) -> None:
    duty = [100.0 * duty for duty in line.duty]
    if not line.hardest:
        axes.plot(duty, list(line.head_speed_rpm), color=line_colour(index), linewidth=0.5, alpha=0.5)
        return
    axes.plot(
        duty,
        list(line.head_speed_rpm),
        label=line.load,
        color=line_colour(index),
        linestyle=_DASHES[index % len(_DASHES)],
        marker=_DOTS[index % len(_DOTS)],
        markersize=3.5,
        markevery=max(1, len(line.duty) // 5),
        zorder=3,
    )
