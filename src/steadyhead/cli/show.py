"""What the terminal shows for every command: JSON, progress, verdict words, the written sheet."""

import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn
from rich.table import Table
from rich.text import Text

from steadyhead.cli.fitting import print_table
from steadyhead.report.fitting import inside
from steadyhead.words.plain import json_text
from steadyhead.words.progress import Say
from steadyhead.words.verdict import Outcome, Verdict

if TYPE_CHECKING:
    from steadyhead.report.sheet import Sheet

STYLE = {Outcome.PASS: "green", Outcome.FAIL: "bold red", Outcome.UNKNOWN: "yellow"}


def console() -> Console:
    """Return the console to show on; colours are off when it is no terminal, and then lines are not cut at 80."""
    out = Console(highlight=False, soft_wrap=False)
    if not out.is_terminal:
        out.width = 160
    return out


def show_json(result: object) -> None:
    """Print a result as JSON."""
    sys.stdout.write(json_text(result))
    sys.stdout.write("\n")


@contextmanager
def watched(*, steps: int, more: int = 0, quiet: bool = False) -> Iterator[Say]:
    """Show a progress bar on the error stream while work goes on; silent when that is no terminal."""
    err = Console(stderr=True)
    bar = Progress(
        TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn(), console=err, transient=True,
        disable=quiet or not err.is_terminal,
    )  # fmt: skip
    with bar:
        task = bar.add_task("begin", total=sum((steps, more)))

        def say(step: str) -> None:
            begun = bar.tasks[0].description != "begin"
            bar.update(task, description=escape(step), advance=1 if begun else 0)
            bar.refresh()

        yield say


def word(outcome: Outcome) -> str:
    """Return the verdict word, coloured where there are colours."""
    return f"[{STYLE[outcome]}]{outcome.value}[/]"


def text(words: object) -> str:
    """Return user text made safe for the console's own markup."""
    return escape(str(words))


def needed(out: Console, unknowns: Iterable[str]) -> None:
    """Show once each what would make known what is not, as a person says it: `pack_voltage_v` is pack voltage.

    A key of the machine file stays as it is written there.
    """
    from steadyhead.report.names import need_name

    words = [need if "." in need and " " not in need else need_name(need) for need in unknowns]
    bullets(out, "Unknown; to know more it needs", dict.fromkeys(words))


def bullets(out: Console, title: str, lines: Iterable[str], style: str = "") -> None:
    """Print a titled list, or nothing when it is empty; a line without words is none."""
    kept = [line for line in dict.fromkeys(lines) if line]
    if not kept:
        return
    out.print(f"\n[bold]{text(title)}[/]", style=style)
    for line in kept:
        mark = "  - "
        for part in Text.from_markup(text(line)).wrap(out, inside(out.width, mark)):
            out.print(mark, part, sep="")
            mark = "    "


def figures_table(title: str, words: tuple[str, ...], figures: tuple[str, ...]) -> Table:
    """Return an empty table whose first columns hold words, to the left, and the others figures, to the right."""
    table = Table(title=text(title), title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading in words:
        table.add_column(heading, overflow="fold")
    for heading in figures:
        table.add_column(heading, justify="right", overflow="fold")
    return table


def checks_table(out: Console, title: str, checks: Iterable[Verdict]) -> None:
    """Print checks as a table: verdict, check, reason."""
    table = Table(title=text(title), title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading in ("verdict", "check", "why"):
        table.add_column(heading, overflow="fold")
    for check in checks:
        table.add_row(word(check.verdict), text(check.check.replace("_", " ")), text(check.reason))
    out.print()
    print_table(out, table)


def show_new(path: Path, *, as_json: bool) -> None:
    """Say where the new machine file is and what to do next."""
    if as_json:
        show_json({"machine_file": str(path)})
        return
    out = console()
    out.print(f"wrote {text(path)}")
    out.print(f"edit it, then: steadyhead check {text(path)}")


def show_sheet(result: "Sheet", *, as_json: bool) -> None:
    """Say the verdict and where the sheet lies."""
    from steadyhead.words import cautions

    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]{text(result.machine)}[/]: {word(result.verdict)}")
    parts = [("plan", result.plan.verdict), ("channel", result.channel.verdict)]
    parts.extend((Path(judged.log).name, judged.verdict) for judged in result.judgements)
    for name, outcome in parts:
        out.print(f"  {word(outcome)}  {text(name)}")
    failed = [check for judged in result.judgements for check in judged.checks if check.verdict is Outcome.FAIL]
    bullets(out, "Plan: what fails or is not known", result.plan.reasons)
    bullets(out, "Channel: what fails or is not known", result.channel.reasons)
    bullets(out, "Logs: what failed", (check.reason for check in failed))
    bullets(out, "What to change", dict.fromkeys(line for judged in result.judgements for line in judged.advice))
    bullets(out, "Cautions", cautions.ALL)
    out.print("\n[bold]Written[/]")
    for path in (result.files.page_html, result.files.page_pdf, result.files.html, result.files.pdf):
        out.print(f"  {text(path)}")
