"""The terminal view of `study`."""

from rich.console import Console

from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, checks_table, console, figures_table, show_json, text, word
from steadyhead.study.result import PointTold, StudyAnswer

STEPS = 102
"""A study has at most a hundred parts."""
MOST_FIGURES = 12


def _points(out: Console, points: tuple[PointTold, ...], *, every_corner: bool) -> None:
    table = figures_table("Machines", ("at",), ("machines", "pass", "fail", "unknown", "share that pass", "90 %"))
    for one in points:
        low, high = one.pass_share_interval
        table.add_row(
            text(one.point), str(one.machines), str(one.passed), str(one.failed), str(one.unknown),
            f"{one.pass_share:.0%}", "all counted" if every_corner else f"{low:.0%} to {high:.0%}",
        )  # fmt: skip
    out.print()
    print_table(out, table)


def _figures(out: Console, points: tuple[PointTold, ...]) -> None:
    table = figures_table("Figures: mean, and where nine in ten lie", ("at", "figure"), ("mean", "90 %"))
    for point in points:
        for one in [figure for figure in point.figures if ": " not in figure.figure][:MOST_FIGURES]:
            low, high = one.interval
            known = f"{one.mean:.4g}" if one.known else "unknown"
            table.add_row(text(point.point), text(one.figure), known, f"{low:.4g} to {high:.4g}" if one.known else "")
    out.print()
    print_table(out, table)


def _influences(out: Console, result: StudyAnswer) -> None:
    if not result.influences:
        return
    title = f"What carries the doubt on {result.influence_of}: share of the variance"
    table = figures_table(title, ("input",), ("by itself", "90 %", "with others", "90 %"))
    for one in result.influences:
        table.add_row(
            text(one.key), f"{one.first_order:.0%}", "{:.0%} to {:.0%}".format(*one.first_order_interval),
            f"{one.total:.0%}", "{:.0%} to {:.0%}".format(*one.total_interval),
        )  # fmt: skip
    out.print()
    print_table(out, table)


def show_study(result: StudyAnswer, *, as_json: bool) -> None:
    """Show shares, figures, influences, front or corner, the checks, warnings and cautions."""
    if as_json:
        show_json(result)
        return
    out = console()
    outcome = "no verdict asked for" if result.verdict is None else word(result.verdict)
    out.print(f"[bold]{text(result.study)}[/]: {text(result.machine)}, {result.rows} machines, {outcome}")
    _points(out, result.points, every_corner=result.worst is not None)
    _figures(out, result.points)
    _influences(out, result)
    if result.trade_of:
        bullets(out, "On the front: no other has more of both", (p.point for p in result.points if p.on_front))
    if result.worst:
        bullets(out, "Worst corner", (f"{key} {end}" for key, end in result.worst.at.items()))
    if result.checks:
        checks_table(out, "Checks", result.checks)
    bullets(out, "Warnings", result.warnings)
    bullets(out, "Written", (str(path) for path in result.written))
    bullets(out, "Cautions", result.cautions)
