"""The plan in tables: the hardest conditions, every condition, pinions and packs."""

import math
from collections.abc import Callable, Sequence

from steadyhead.plan.result import Choice, ConditionFigures, ModePlan, Plan
from steadyhead.report.content import Cell, Table, columns, doubtful, verdict_cell
from steadyhead.report.figures.duty import hardest, loads
from steadyhead.report.sentences import tidy
from steadyhead.report.wording import duration, figure, number, percent, percent_ranged, ranged, span

_FIGURES = ("Collective", "Shaft power", "Motor current", "Pack current", "Duty", "Duty left", "Ceiling")
_WORDS = ("Verdict", *_FIGURES, "Winding", "Controller")


def hardest_tables(plan: Plan) -> tuple[Table, ...]:
    """Return, for each flight mode, each load with the pack state that leaves the least duty."""
    tables = []
    for mode in plan.modes:
        worst = [hardest([c for c in mode.conditions if c.load == load]) for load in loads(plan)]
        found = [c for c in worst if c is not None]
        if found:
            tables.append(_conditions(found, f"{mode.mode}, {mode.head_speed_rpm:.0f} rpm: each load at its hardest"))
    return tuple(tables)


def condition_tables(plan: Plan) -> tuple[Table, ...]:
    """Return every condition that was solved, a table a flight mode."""
    return tuple(
        _conditions(mode.conditions, f"{mode.mode}, {mode.head_speed_rpm:.0f} rpm: every condition")
        for mode in plan.modes
        if mode.conditions
    )


def _conditions(conditions: Sequence[ConditionFigures], caption: str) -> Table:
    return Table(
        caption=caption,
        columns=columns("Condition", *_WORDS, words=(0, 1), weights=(2.2, *(1.0,) * 10)),
        rows=tuple(_condition_cells(condition) for condition in conditions),
        note="In brackets the 90 % interval. Ceiling: head speed at full duty under the same load.",
        shape="slide",
    )


def _condition_cells(c: ConditionFigures) -> tuple[Cell, ...]:
    return (
        Cell(text=c.condition),
        verdict_cell(c.verdict),
        doubtful(ranged(c.collective_deg, c.collective_deg_interval, "deg")),
        doubtful(ranged(c.shaft_power_w, c.shaft_power_w_interval, "W")),
        doubtful(ranged(c.motor_current_a, c.motor_current_a_interval, "A")),
        doubtful(ranged(c.pack_current_a, c.pack_current_a_interval, "A")),
        doubtful(percent_ranged(c.duty, c.duty_interval)),
        Cell(text=percent(c.head_room) if c.solved else "cannot hold"),
        doubtful(ranged(c.ceiling_rpm, c.ceiling_rpm_interval, "rpm")),
        Cell(text=figure(c.winding_temperature_c, "degC"), aside=f"after {duration(c.held_for_s)}"),
        Cell(text=figure(c.controller_temperature_c, "degC")),
    )


def power_table(plan: Plan) -> Table:
    """Return where the pack's power goes in hover, a row a flight mode."""
    rows = []
    for mode in plan.modes:
        hover = next((c for c in mode.conditions if c.load == "hover"), None)
        if hover is not None:
            parts: tuple[float, ...] = (hover.rotor_power_w, hover.tail_power_w, hover.gear_power_w, hover.motor_loss_w)
            parts += (hover.controller_loss_w, hover.pack_loss_w, hover.pack_power_w)
            speeds = (figure(hover.tip_speed_m_s, "m/s"), number(hover.tip_mach), number(hover.figure_of_merit))
            words = (f"{mode.mode}, {hover.condition}", *(figure(part, "W") for part in parts), *speeds)
            rows.append(tuple(Cell(text=word) for word in words))
    return Table(
        caption="Where the power goes in hover",
        columns=columns(
            "Flight mode",
            *("Main rotor", "Tail rotor", "Gears", "Motor loss", "Controller loss", "Pack loss", "Pack power"),
            *("Tip speed", "Tip Mach", "Figure of merit"),
            weights=(1.8, *(1.0,) * 10),
        ),
        rows=tuple(rows),
        shape="slide",
    )


def mode_table(plan: Plan) -> Table:
    """Return one row a flight mode: the figures that decide."""
    return Table(
        caption="What the drive has to give",
        columns=columns(
            "Flight mode",
            *("Hover duty", "Least duty left", "Peak pack current", "Lowest cell", "Hottest winding"),
            *("Tip speed", "Flight time", "Verdict"),
            words=(0, 8),
            weights=(1.4, 1.0, 1.3, 1.1, 1.0, 1.0, 1.0, 1.3, 0.9),
        ),
        rows=tuple(_mode_cells(mode) for mode in plan.modes),
        note="The worst of all conditions planned for. Flight time: hovering from full to the reserve.",
    )


def _mode_cells(mode: ModePlan) -> tuple[Cell, ...]:
    worst = hardest(mode.conditions)
    if worst is None:
        return (Cell(text=mode.mode), *(Cell(text="–") for _ in range(7)), verdict_cell(mode.verdict))
    hover = [c.duty for c in mode.conditions if c.load == "hover"]
    left = Cell(text=percent(worst.head_room), aside=f"in {worst.load}")
    held = left if worst.solved else Cell(text="cannot hold", aside=worst.load)
    words = (
        span((100.0 * min(hover), 100.0 * max(hover)), "%") if hover else "–",
        figure(_extreme(max, [c.pack_current_a for c in mode.conditions]), "A"),
        figure(_extreme(min, [c.cell_voltage_v for c in mode.conditions]), "V"),
        figure(_extreme(max, [c.winding_temperature_c for c in mode.conditions]), "degC"),
        figure(_extreme(max, [c.tip_speed_m_s for c in mode.conditions]), "m/s"),
    )
    figures = [Cell(text=word) for word in words]
    time = doubtful(duration(mode.flight_time_s, mode.flight_time_s_interval))
    return (Cell(text=mode.mode), figures[0], held, *figures[1:], time, verdict_cell(mode.verdict))


def _extreme(pick: Callable[[list[float]], float], figures: list[float]) -> float:
    """Return the highest or lowest, and no number at all when one of them is none: what is not known may be worse."""
    return math.nan if any(math.isnan(each) for each in figures) else pick(figures)


def choice_tables(plan: Plan) -> tuple[Table, ...]:
    """Return pinions and packs, the best first."""
    named = (("Pinions, the best first", plan.pinions), ("Packs, the best first", plan.packs))
    return tuple(_choices(caption, choices) for caption, choices in named if choices)


def _choices(caption: str, choices: tuple[Choice, ...]) -> Table:
    return Table(
        caption=caption,
        columns=columns(
            *("Choice", "Rank", "Ratio", "Least duty left", "Hover duty", "Peak pack current", "Flight time"),
            *("Verdict", "Why"),
            words=(0, 7, 8),
            weights=(1.7, 0.75, 0.8, 1.15, 1.9, 1.3, 1.4, 1.1, 6.0),
        ),
        rows=tuple(_choice_cells(choice) for choice in sorted(choices, key=lambda c: c.rank)),
        shape="slide",
    )


def _choice_cells(choice: Choice) -> tuple[Cell, ...]:
    low, high = choice.hover_duty
    return (
        Cell(text=f"{choice.name}{', fitted now' if choice.current else ''}"),
        Cell(text=str(choice.rank)),
        Cell(text=number(choice.gear_ratio)),
        Cell(text=percent(choice.least_head_room)),
        Cell(text=span((100.0 * low, 100.0 * high), "%")),
        Cell(text=figure(choice.peak_pack_current_a, "A")),
        Cell(text=duration(choice.flight_time_s)),
        verdict_cell(choice.verdict),
        Cell(text=tidy("; ".join(choice.reasons))),
    )
