"""The terminal view of `judge`."""

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table

from steadyhead.cli.show import bullets, checks_table, console, show_json, text, word
from steadyhead.judge.result import Judgement, Segment

COLUMNS = (
    ("set_rpm", "set rpm", "z.0f"),
    ("mean_rpm", "mean rpm", "z.0f"),
    ("steady_band_percent", "band ±%", "z.2f"),
    ("droop_percent", "droop %", "z.2f"),
    ("undershoot_percent", "under %", "z.2f"),
    ("overshoot_percent", "over %", "z.2f"),
    ("recovery_s", "recovery s", "z.2f"),
    ("hunting_percent", "hunting %", "z.2f"),
    ("duty_max", "duty max", "z.0%"),
    ("pack_current_max_a", "max A", "z.0f"),
    ("energy_wh", "Wh", "z.1f"),
)


def _cell(segment: Segment, name: str, spec: str) -> str:
    number = getattr(segment, name)
    return "" if number is None else f"{number:{spec}}"


def segments_table(out: Console, segments: Sequence[Segment]) -> None:
    """Show the segments of a log with their governing figures."""
    table = Table(box=None, pad_edge=False, show_edge=False)
    table.add_column("segment")
    for heading in ("from s", "to s", *(heading for _, heading, _ in COLUMNS)):
        table.add_column(heading, justify="right")
    for segment in segments:
        figures = (_cell(segment, name, spec) for name, _, spec in COLUMNS)
        kind = segment.kind.replace("_", " ")
        table.add_row(kind, f"{segment.start_s:.1f}", f"{segment.end_s:.1f}", *figures)
    out.print()
    out.print(table)


def show_judgements(results: Sequence[Judgement], *, as_json: bool) -> None:
    """Show each log: segments, checks, advice, warnings, cautions. One log is one JSON object, several are a list."""
    if as_json:
        show_json(results[0] if len(results) == 1 else list(results))
        return
    out = console()
    for result in results:
        out.print(
            f"[bold]{text(result.log)}[/] on {text(result.machine)}: {word(result.verdict)}, {result.rows_read} rows"
        )
        bullets(out, "Warnings", result.warnings)
        segments_table(out, result.segments)
        checks_table(out, "Checks", result.checks)
        bullets(out, "What to change", result.advice)
        bullets(out, "Unknown", result.unknowns)
        bullets(out, "Rests on typical values", [", ".join(result.typical)] if result.typical else [])
        bullets(out, "Cautions", result.cautions)
