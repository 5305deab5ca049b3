"""The terminal view of `channel`."""

from rich.table import Table

from steadyhead.channel.fitted_law import law_name
from steadyhead.channel.result import ChannelAnswer
from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, checks_table, console, show_json, text, word


def _maybe(number: float | None, spec: str, unit: str = "") -> str:
    return "unknown" if number is None else f"{number:{spec}}{unit}"


def _between(interval: tuple[float, float] | None, spec: str) -> str:
    return "unknown" if interval is None else f"{interval[0]:{spec}} to {interval[1]:{spec}}"


def show_channel(result: ChannelAnswer, *, as_json: bool) -> None:
    """Show every number of the throttle channel, the verdicts, and what to read next."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]{text(result.machine)}[/]: channel {word(result.verdict)}")
    bullets(out, "Before any reading", result.cautions)
    law = result.law
    out.print(f"\n[bold]Set-point law[/]: {text(law_name(law.kind))}, {text(law.chosen_because)}")
    slope = _between(law.slope_rpm_per_percent_interval, ".2f")
    out.print(f"  slope {_maybe(law.slope_rpm_per_percent, '.2f', ' rpm per percent')} (90 %: {slope})")
    table = Table(box=None, pad_edge=False, show_edge=False)
    for heading in (
        "mode",
        "target rpm",
        "curve %",
        "pulse us",
        "expected rpm",
        "90 %",
        "rpm per step",
        "verdict",
        "why",
    ):
        table.add_column(heading, overflow="fold")
    for mode in result.modes:
        table.add_row(
            text(mode.mode), f"{mode.target_rpm:.0f}", _maybe(mode.curve_percent, ".1f"), _maybe(mode.curve_us, ".0f"),
            _maybe(mode.expected_rpm, ".0f"), _between(mode.expected_rpm_interval, ".0f"),
            _maybe(mode.rpm_per_step, ".2f"), word(mode.verdict), text(mode.reason),
        )  # fmt: skip
    out.print()
    print_table(out, table)
    checks_table(out, "End points", result.end_points.checks)
    checks_table(out, "Thresholds", result.thresholds.checks)
    checks_table(out, "Channel", result.checks)
    out.print(f"\nautorotation window: {_between(result.autorotation_window_percent, '.1f')} percent")
    following = _maybe(result.next_reading_percent, ".0f", " percent")
    out.print(f"next best reading: {following}: {text(result.next_reading_because)}")
    bullets(out, "Unknown", result.unknowns)
    bullets(out, "Rests on typical values", [", ".join(result.typical)] if result.typical else [])
    bullets(out, "Warnings", result.warnings)
