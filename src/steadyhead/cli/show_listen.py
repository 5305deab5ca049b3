"""The terminal view of `listen`."""

from rich.console import Console
from rich.table import Table

from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, checks_table, console, needed, show_json, text, word
from steadyhead.cli.show_judge import segments_table
from steadyhead.judge.listening import Listening

STEPS = 22
"""Slices of a recording, and the steps after it."""


def show_listening(result: Listening, *, as_json: bool) -> None:
    """Show what was heard: lines, speeds that were held, segments, checks, cautions."""
    if as_json:
        show_json(result)
        return
    out = console()
    said = f"heard in {result.share_heard:.0%} of it" if result.heard else "[yellow]not heard[/]"
    out.print(f"[bold]{text(result.wav)}[/] on {text(result.machine)}: {word(result.verdict)}")
    out.print(f"{result.duration_s:.1f} s at {result.sample_rate_hz} Hz; the rotor is {said}")
    bullets(out, "Warnings", result.warnings)
    if result.heard:
        out.print(f"\none frame is known within ±{result.speed_doubt_percent:.2f} % (90 %), the clock within ±0.1 %")
        _lines(out, result)
        _speeds(out, result)
        segments_table(out, result.segments)
    checks_table(out, "Checks", result.checks)
    bullets(out, "What was taken for granted", result.history)
    bullets(out, "What to change", result.advice)
    needed(out, result.unknowns)
    bullets(out, "Rests on typical values", [", ".join(result.typical)] if result.typical else [])
    bullets(out, "Cautions", result.cautions)


def _lines(out: Console, result: Listening) -> None:
    table = Table(title="Lines heard", title_justify="left", box=None, pad_edge=False, show_edge=False)
    table.add_column("line")
    table.add_column("share of the time heard", justify="right")
    for line in result.lines:
        table.add_row(text(line.family), f"{line.share:.0%}")
    out.print()
    print_table(out, table)


def _speeds(out: Console, result: Listening) -> None:
    if not result.set_speeds:
        return
    table = Table(title="Speeds that were held", title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading in ("from s", "to s", "rpm", "90 % interval", "flight mode", "channel %"):
        table.add_column(heading, justify="left" if heading == "flight mode" else "right")
    for speed in result.set_speeds:
        low, high = speed.head_speed_rpm_interval
        table.add_row(
            f"{speed.start_s:.1f}", f"{speed.end_s:.1f}", f"{speed.head_speed_rpm:.1f}", f"{low:.1f} to {high:.1f}",
            text(speed.mode or ""), "" if speed.channel_percent is None else f"{speed.channel_percent:.1f}",
        )  # fmt: skip
    out.print()
    print_table(out, table)
