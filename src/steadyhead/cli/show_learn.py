"""The terminal view of `learn`."""

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table

from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, checks_table, console, show_json, text, word
from steadyhead.learn.result import Change, Figure, GovernorSeen, LawSeen, Learned, Parameter, Replayed
from steadyhead.report.names import figure_name

STEPS = 5
"""Three fits, the proposal, the logs flown with old and new file."""


def _table(title: str, headings: tuple[str, ...]) -> Table:
    table = Table(title=title, title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading in headings:
        table.add_column(heading, overflow="fold")
    return table


def _between(ends: tuple[float, float] | None) -> str:
    return "" if ends is None else f"{ends[0]:.4g} to {ends[1]:.4g}"


def _maybe(number: float | None, unit: str = "") -> str:
    return "unknown" if number is None else f"{number:.4g} {unit}".strip()


def _parameters(out: Console, known: Sequence[Parameter]) -> None:
    table = _table("Told by these logs", ("key", "logs say", "90 %", "file says", "90 %", "origin", "doubt rests on"))
    for one in known:
        table.add_row(
            text(one.key), _maybe(one.value, one.unit), _between(one.value_interval), _maybe(one.file_value, one.unit),
            _between(one.file_value_interval), text(one.file_origin), text(", ".join(one.rests_on)),
        )  # fmt: skip
    out.print()
    print_table(out, table)


def _figures(out: Console, found: Sequence[Figure]) -> None:
    table = _table("Sums and ratios that the logs tell", ("figure", "value", "90 %", "what it is"))
    for one in found:
        table.add_row(
            text(one.name.replace("_", " ")), _maybe(one.value, one.unit), _between(one.value_interval), text(one.says)
        )
    out.print()
    print_table(out, table)


def _governor(out: Console, seen: GovernorSeen) -> None:
    out.print(f"\n[bold]Governor as it acted in {text(seen.log)}[/]")
    if not seen.told:
        out.print(f"  not told by this log: needs {text(seen.needs)}")
        return
    out.print(f"  gain {_maybe(seen.gain)} duty for a whole set speed of error, 90 % {_between(seen.gain_interval)}")
    out.print(f"  and {_maybe(seen.gain_per_s)} more each second, 90 % {_between(seen.gain_per_s_interval)}")
    out.print(f"  integral time {_maybe(seen.integral_time_s, 's')}, 90 % {_between(seen.integral_time_s_interval)}")
    out.print("  no device shows these numbers: to change one, move its own by the same share")


def _law(out: Console, seen: LawSeen) -> None:
    out.print("\n[bold]Set-point law[/]")
    for one in seen.readings:
        out.print(f"  {one.percent:.1f} % = {one.head_speed_rpm:.1f} rpm ± {one.spread_rpm:.1f}")
    if seen.told:
        law = seen.law
        out.print(f"  {text(law.kind)}: {_maybe(law.slope_rpm_per_percent, 'rpm per %')}, {text(law.chosen_because)}")
    else:
        out.print(f"  not told by these logs: needs {text(seen.needs)}")


def _changes(out: Console, changes: Sequence[Change]) -> None:
    table = _table("Proposed machine file", ("key", "before", "after", "why"))
    for one in changes:
        table.add_row(text(one.key), text(one.before), text(one.after), text(one.why))
    out.print()
    print_table(out, table)


def _replayed(out: Console, found: Sequence[Replayed]) -> None:
    title = "Flown with the inputs of the logs: root mean square of simulation less log while the motor drives"
    table = _table(title, ("log", "figure", "unit", "file as it is", "proposed file"))
    for one in found:
        table.add_row(
            text(one.log), text(figure_name(one.figure)[0].lower()), text(one.unit), f"{one.before_rms:.3g}",
            f"{one.after_rms:.3g}",
        )  # fmt: skip
    out.print()
    print_table(out, table)
    out.print("  voltage about its mean: the rest voltage of a make is no matter of the fitted numbers")


def show_learned(result: Learned, *, as_json: bool) -> None:
    """Show what was told and what was not, the proposal, the warnings, the cautions."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]{text(result.machine)}[/]: learn {word(result.verdict)}")
    known = [one for one in result.parameters if one.told]
    if known:
        _parameters(out, known)
    if result.figures:
        _figures(out, result.figures)
    if len(result.logs) > 1:
        bullets(out, "Which logs tell which number", (f"{one.key}: {', '.join(one.told_by)}" for one in known))
    bullets(
        out, "Not told by these logs", (f"{one.key}: needs {one.needs}" for one in result.parameters if not one.told)
    )
    bullets(out, "Hardly told apart", result.not_told_apart)
    for seen in result.governors:
        _governor(out, seen)
    _law(out, result.law)
    if result.proposal.changes:
        _changes(out, result.proposal.changes)
        where = result.proposal.written
        out.print(
            f"  written to {text(where)}" if where else "  not written: --out FILE.toml writes it under a new name"
        )
    if result.replayed:
        _replayed(out, result.replayed)
    checks_table(out, "Checks", result.checks)
    bullets(out, "In short", result.reasons)
    bullets(out, "Warnings", result.warnings)
    bullets(out, "Cautions", result.cautions)
