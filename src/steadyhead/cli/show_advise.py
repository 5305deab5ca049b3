"""The terminal view of `advise`."""

from rich.console import Console

from steadyhead.advise.result import Advice, Change, Effect, MeasureNext
from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, console, figures_table, show_json, text, word
from steadyhead.words.verdict import Outcome

LEGEND = (
    "settles: unknown checks that this value alone, or half its spread, lets be judged; helps: unknown checks that "
    "need it among others; doubt: its share of the doubt on the figure nearest to its limit"
)
TABLE_FROM = 120
"""Letters in a line from which changes and what to measure are told as tables."""
STEPS = 200
"""Steps that the work says, about: parts, drawn machines, changes tried."""


def show_advice(result: Advice, *, as_json: bool) -> None:
    """Show the changes with before and after, what is withheld, what to measure next, the cautions."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]{text(result.machine)}[/]: {word(result.verdict)}. {text(result.says)}")
    bullets(out, "First, what the logs ask for", result.first)
    for change in result.changes:
        _change(out, change)
    bullets(out, "Held back, and why", (f"{w.key}: {w.why}; {w.measure}" for w in result.withheld))
    bullets(out, "Not tried in simulation", result.without_figures)
    _measure_next(out, result.measure_next)
    bullets(out, "Warnings", result.warnings)
    bullets(out, "Cautions", result.cautions)


def _change(out: Console, change: Change) -> None:
    out.print(f"\n[bold]{change.rank}. {text(change.what)}: {text(change.today)} -> {text(change.to)}[/]")
    out.print(f"in the machine file: {text(change.key)}")
    bullets(out, "Why", change.why)
    _effects(out, change)
    bullets(out, "How sure", [change.sure])
    bullets(out, "Note", [change.note] if change.note else [])
    void = ", ".join(name.replace("_", " ") for name in change.makes_void)
    bullets(out, "Check again on the bench or in a log after it", [void] if void else [])


def _effects(out: Console, change: Change) -> None:
    if out.width < TABLE_FROM:
        bullets(out, "What it does", (_in_words(one) for one in change.effects))
        return
    table = figures_table("What it does", ("what happens", "check", "where"), ("before", "after", "limit", "then"))
    for one in change.effects:
        table.add_row(
            one.happens,
            text(one.check.replace("_", " ")),
            text(one.place or one.part),
            _figure(one.before, one.before_interval, one.before_verdict),
            _figure(one.after, one.after_interval, one.after_verdict),
            text(_limit(one)),
            word(one.after_verdict),
        )
    out.print()
    print_table(out, table, repeated=3)


def _in_words(one: Effect) -> str:
    """An effect in one line, for a terminal too narrow for the table."""
    before = _figure(one.before, one.before_interval, one.before_verdict)
    after = _figure(one.after, one.after_interval, one.after_verdict)
    limit = f", limit {one.limit_text}: {one.after_verdict.value}" if one.limit_text else ""
    name = one.check.replace("_", " ")
    return f"{one.happens}: {name}, {one.place or one.part}: {before} -> {after}{limit}"


def _limit(one: Effect) -> str:
    return one.limit_text or "yes or no"


def _figure(figure: float | None, interval: tuple[float, float] | None, verdict: Outcome) -> str:
    """A figure with its interval; where a check has none, its verdict."""
    if figure is None:
        return verdict.value
    return f"{figure:.3g} ({interval[0]:.3g} to {interval[1]:.3g})" if interval else f"{figure:.3g}"


def _measure_next(out: Console, rows: tuple[MeasureNext, ...]) -> None:
    if not rows:
        return
    if out.width < TABLE_FROM:
        bullets(out, "Measure next", (_row_in_words(row) for row in rows))
        out.print(f"\n{LEGEND}")
        return
    table = figures_table("Measure next", ("", "value", "today", "how"), ("settles", "helps", "doubt"))
    for row in rows:
        share = f"{row.share:.0%}" if row.share else ""
        table.add_row(
            f"{row.rank}", text(row.key), row.origin, text(row.how), f"{row.decides}", f"{row.has_part_in}", share
        )
    out.print()
    print_table(out, table, repeated=2)
    out.print(f"\n{LEGEND}")


def _row_in_words(row: MeasureNext) -> str:
    share = f", {row.share:.0%} of the doubt" if row.share else ""
    return f"{row.rank}. {row.key} ({row.origin}): {row.how}; settles {row.decides}, helps {row.has_part_in}{share}"
