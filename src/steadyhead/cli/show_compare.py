"""The terminal view of `compare`."""

from rich.console import Console, JustifyMethod
from rich.table import Table

from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, console, show_json, text, word
from steadyhead.judge.compare_result import Change, Comparison, Said
from steadyhead.report.views.compared import reasons_said

STYLE = {
    Said.BETTER: "green",
    Said.WORSE: "bold red",
    Said.CHANGED: "bold",
    Said.NOISE: "",
    Said.FEW: "yellow",
    Said.UNTOLD: "yellow",
}
HEADINGS: tuple[tuple[str, JustifyMethod], ...] = (
    ("figure", "left"), ("at rpm", "right"), ("before", "right"), ("after", "right"), ("change", "right"),
    ("90 % of it", "right"), ("counted", "left"), ("said", "left"), ("or was it", "left"),
)  # fmt: skip


def show_comparison(result: Comparison, *, as_json: bool) -> None:
    """Show each figure before and after, what is said of it, and the conditions that could explain it."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]Before and after[/] on {text(result.machine)}: {word(result.verdict)}")
    for name, logs in (("before", result.before), ("after", result.after)):
        out.print(f"  {name}: {text(', '.join(logs))}")
    table = Table(box=None, pad_edge=False, show_edge=False)
    for heading, justify in HEADINGS:
        table.add_column(heading, justify=justify, overflow="fold")
    for change in result.changes:
        _add(table, change)
    out.print()
    print_table(out, table)
    _show_conditions(out, result)
    bullets(out, "Said", reasons_said(result))
    bullets(out, "Note", [*result.warnings, *(change.reason for change in result.changes)])
    bullets(out, "Cautions", result.cautions)


def _add(table: Table, change: Change) -> None:
    span = change.change_interval
    style = STYLE[change.said]
    table.add_row(
        text(f"{change.figure.replace('_', ' ')}"),
        _number(change.set_rpm if change.set_rpm is not None else change.set_rpm_after),
        _number(change.before),
        _number(change.after),
        _number(change.change, "+"),
        "" if span is None else f"{span[0]:+.3g} to {span[1]:+.3g}",
        f"{change.before_count} and {change.after_count} {change.counted}",
        f"[{style}]{change.said.value}[/]" if style else change.said.value,
        text("; ".join(change.could_be)),
    )


def _number(value: float | None, sign: str = "") -> str:
    return "" if value is None else f"{value:{sign}.4g}"


def _show_conditions(out: Console, result: Comparison) -> None:
    table = Table(title="Conditions", title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading, justify in (("condition", "left"), ("before", "right"), ("after", "right"), ("said", "left")):
        table.add_column(heading, justify=justify)  # type: ignore[arg-type]
    for condition in result.conditions:
        known = (_number(condition.before), _number(condition.after))
        origin = f" ({condition.origin})" if condition.origin else ""
        table.add_row(text(condition.condition), *known, text(f"{condition.reason}{origin}"))
    out.print()
    print_table(out, table)
