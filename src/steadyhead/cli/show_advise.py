"""The terminal view of `advise`."""

from rich.console import Console

from steadyhead.advise.result import Advice, Change, Effect, MeasureNext
from steadyhead.cli.show import bullets, console, figures_table, show_json, text, word

STEPS = 200
"""Steps that the work says, about: parts, drawn machines, changes tried."""


def show_advice(result: Advice, *, as_json: bool) -> None:
    """Show the changes with before and after, what is withheld, what to measure next, the cautions."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]{text(result.machine)}[/]: {word(result.verdict)}. {text(result.says)}")
    for change in result.changes:
        _change(out, change)
    bullets(
        out, "No number yet: today's value is not known", (f"{w.key}: {w.why}; {w.measure}" for w in result.withheld)
    )
    bullets(out, "Not tried in simulation", result.without_figures)
    _measure_next(out, result.measure_next)
    bullets(out, "Warnings", result.warnings)
    bullets(out, "Cautions", result.cautions)


def _change(out: Console, change: Change) -> None:
    out.print(f"\n[bold]{change.rank}. {text(change.what)}: {text(change.today)} -> {text(change.to)}[/]")
    out.print(f"   {text(change.key)}")
    bullets(out, "   because", change.why)
    table = figures_table("", ("what happens", "check", "where"), ("before", "after", "limit", "then"))
    for one in change.effects:
        table.add_row(
            one.happens,
            text(one.check.replace("_", " ")),
            text(one.place or one.part),
            _figure(one.before, one.before_interval),
            _figure(one.after, one.after_interval),
            text(_limit(one)),
            word(one.after_verdict),
        )
    out.print(table)
    bullets(out, "   how sure", [change.sure])
    bullets(out, "   note", [change.note] if change.note else [])
    void = ", ".join(name.replace("_", " ") for name in change.makes_void)
    bullets(out, "   run again after it", [void] if void else [])


def _limit(one: Effect) -> str:
    return one.limit_text or "yes or no"


def _figure(figure: float | None, interval: tuple[float, float] | None) -> str:
    if figure is None:
        return "-"
    return f"{figure:.3g} ({interval[0]:.3g} to {interval[1]:.3g})" if interval else f"{figure:.3g}"


def _measure_next(out: Console, rows: tuple[MeasureNext, ...]) -> None:
    if not rows:
        return
    table = figures_table("Measure next", ("", "value", "today", "how"), ("decides", "has a part in", "share of doubt"))
    for row in rows:
        share = f"{row.share:.0%}" if row.share else ""
        table.add_row(
            f"{row.rank}", text(row.key), row.origin, text(row.how), f"{row.decides}", f"{row.has_part_in}", share
        )
    out.print()
    out.print(table)
    out.print("decides: unknown verdicts that this value alone, or half its spread, lets be given")
