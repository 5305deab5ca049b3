"""The terminal view of `fly`."""

from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table

from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, checks_table, console, needed, show_json, text, word
from steadyhead.cli.show_judge import segments_table
from steadyhead.flight.residuals import Residual
from steadyhead.flight.result import Flight
from steadyhead.words.errors import InputError

if TYPE_CHECKING:
    from steadyhead.report.flown import Flown

STEPS = 22
"""Slices of a flight, and the steps after it."""


def one_of(scenario: str | None, against: Path | None) -> None:
    """Refuse neither and both of a scenario and a log.

    Raises: InputError.
    """
    if scenario is None and against is None:
        raise InputError("fly", read="neither a scenario nor --against", right="one of them")
    if scenario is not None and against is not None:
        raise InputError("fly", read="a scenario and --against", right="one of them: a log brings its own inputs")


def show_flown(result: "Flown", *, as_json: bool) -> None:
    """Show a flight: how it ended, segments, checks, peaks, residuals, what was assumed, cautions."""
    if as_json:
        show_json(result)
        return
    out = console()
    flight, judgement = result.flight, result.judgement
    out.print(f"[bold]{text(flight.scenario)}[/] with {text(flight.machine)}, simulated: {word(result.verdict)}")
    out.print(f"{text(flight.says)}; {text(flight.ended)}, {flight.duration_s:.1f} s in steps of {flight.step_s:g} s")
    bullets(out, "Warnings", judgement.warnings)
    segments_table(out, judgement.segments)
    checks_table(out, "Checks", judgement.checks)
    _peaks(out, flight)
    if result.residuals:
        _residuals(out, result.against or "", result.residuals)
    bullets(out, "What to change", judgement.advice)
    needed(out, judgement.unknowns)
    bullets(out, "Written", (str(path) for path in result.written))
    bullets(out, "Cautions", result.cautions)


def _peaks(out: Console, flight: Flight) -> None:
    table = Table(title="Greatest values", title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading in ("figure", "value", "unit", "at s"):
        table.add_column(heading, justify="left" if heading in ("figure", "unit") else "right")
    for peak in flight.peaks:
        table.add_row(text(peak.figure.replace("_", " ")), f"{peak.value:.4g}", text(peak.unit), f"{peak.time_s:.2f}")
    for caught in flight.catch_ups[:MOST_CATCH_UPS]:
        table.add_row("bearing takes hold, at least", f"{caught.peak_at_least_nm:.3g}", "N m", f"{caught.time_s:.2f}")
    out.print()
    print_table(out, table)


MOST_CATCH_UPS = 5
EXPLAINED = {True: "yes", False: "no", None: ""}
"""Whether the doubts of the machine file alone may explain what simulation and log differ by."""


def _residuals(out: Console, log: str, found: tuple[Residual, ...]) -> None:
    title = f"Simulation less log, {text(log)}"
    table = Table(title=title, title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading in ("segment", "from s", "to s", "figure", "log mean", "mean", "90 %", "rms", "explained"):
        table.add_column(heading, justify="left" if heading in ("segment", "figure", "explained") else "right")
    for one in found:
        table.add_row(
            text(one.segment.replace("_", " ")), f"{one.start_s:.1f}", f"{one.end_s:.1f}",
            text(one.figure.replace("_", " ")), f"{one.log_mean:.4g}", f"{one.mean:+.3g}", _doubt(one),
            f"{one.rms:.3g}", EXPLAINED[one.within_doubt],
        )  # fmt: skip
    out.print()
    print_table(out, table)
    out.print(
        "90 %: where the mean lies over the doubts of the machine file. Explained: these, and 1 % of the reading."
    )


def _doubt(one: Residual) -> str:
    if one.mean_interval is None:
        return "-"
    low, high = one.mean_interval
    return f"{low:+.3g} to {high:+.3g}"
