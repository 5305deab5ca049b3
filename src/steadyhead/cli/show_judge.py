"""The terminal view of `judge`."""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console, JustifyMethod
from rich.table import Table

from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, checks_table, console, needed, show_json, text, word
from steadyhead.judge.result import FlightFigures, Judgement, Segment, Session, Trend
from steadyhead.report.sentences import counted
from steadyhead.words.verdict import Outcome

if TYPE_CHECKING:
    from steadyhead.trace.remembered import RememberedColumns

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


Columns = Sequence[tuple[str, str, str]]


def _cell(row: object, name: str, spec: str) -> str:
    number = getattr(row, name)
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
    print_table(out, table, repeated=2)


HEAD_ROOM = (
    ("set_rpm", "set rpm", ".0f"),
    ("count", "seen", "d"),
    ("duty", "duty", ".0%"),
    ("head_room", "head-room", ".0%"),
    ("pack_voltage_v", "pack V", ".1f"),
    ("at_s", "at s", ".1f"),
)
FLIGHT = (
    ("start_s", "from s", ".0f"),
    ("end_s", "to s", ".0f"),
    ("driven_s", "driven s", ".0f"),
    ("energy_wh", "Wh", ".1f"),
    ("charge_used_mah", "mAh", ".0f"),
    ("pack_resistance_mohm", "pack mohm", ".1f"),
    ("rest_voltage_v", "rest V", ".1f"),
    ("pack_voltage_min_v", "least V", ".1f"),
    ("climb_droop_percent", "droop %", "z.2f"),
    ("hover_duty", "hover duty", ".0%"),
)
TREND = (
    ("count", "flights", "d"),
    ("first", "first", ".4g"),
    ("last", "last", ".4g"),
    ("per_flight", "a flight", "+.3g"),
)


def figures_table(out: Console, title: str, head: str, rows: Iterable[tuple[str, object]], columns: Columns) -> None:
    """Show one line of figures for each row, named at its left; nothing when there is no row."""
    lines = list(rows)
    if not lines:
        return
    table = Table(title=text(title), title_justify="left", box=None, pad_edge=False, show_edge=False)
    table.add_column(head)
    for _, heading, _ in columns:
        table.add_column(heading, justify="right")
    for name, row in lines:
        table.add_row(text(name), *(_cell(row, key, spec) for key, _, spec in columns))
    out.print()
    print_table(out, table)


def flights_table(out: Console, flights: Sequence[FlightFigures]) -> None:
    """Show the flights of a log, when there are several, each with its verdict and what it alone fails."""
    if len(flights) < 2:
        return
    rows = [(f"{flight.number} {flight.verdict.value}", flight) for flight in flights]
    figures_table(out, "Flights, from rest to rest", "flight", rows, FLIGHT)
    names = {flight.number: ", ".join(flight.failed).replace("_", " ") for flight in flights if flight.failed}
    bullets(out, "Failed in one flight", [f"flight {number}: {failed}" for number, failed in names.items()])


def trends_table(out: Console, trends: Sequence[Trend]) -> None:
    """Show how figures move from flight to flight."""
    rows = [(f"{trend.figure.replace('_', ' ')} {trend.said}", trend) for trend in trends]
    figures_table(out, "From flight to flight", "figure", rows, TREND)


def show_session(result: Session, *, as_json: bool) -> None:
    """Show one log as it is; several one after the other, and then what they say together."""
    if as_json:
        show_json(result.logs[0] if _is_one(result) else result)
        return
    out = console()
    for judged in result.logs:
        _show_judgement(out, judged)
    if not _is_one(result):
        _show_together(out, result)
    bullets(out, "Cautions", result.cautions)


def _is_one(result: Session) -> bool:
    return len(result.logs) == 1 and not result.unread


def _show_judgement(out: Console, result: Judgement) -> None:
    out.print(f"[bold]{text(result.log)}[/] on {text(result.machine)}: {word(result.verdict)}, {result.rows_read} rows")
    bullets(out, "Warnings", result.warnings)
    unsure = [column for column in result.columns if column.confidence != "named"]
    names = [f"{column.heading} as {column.channel}: {column.confidence}" for column in unsure]
    bullets(out, "Columns read, but not by their name", names)
    segments_table(out, result.segments)
    figures_table(out, "Duty left", "condition", ((room.condition, room) for room in result.head_room), HEAD_ROOM)
    flights_table(out, result.flights)
    trends_table(out, result.trends)
    checks_table(out, "Checks", result.checks)
    bullets(out, "What to change", result.advice)
    needed(out, result.unknowns)
    bullets(out, "Rests on typical values", [", ".join(result.typical)] if result.typical else [])
    out.print()


def _show_together(out: Console, result: Session) -> None:
    logs, flights = counted(len(result.logs), "log"), counted(result.flights, "flight")
    out.print(f"[bold]{logs}, {flights} together[/]: {word(result.verdict)}")
    bullets(out, "Not read, and not judged", result.unread)
    bullets(out, "Warnings", result.warnings)
    table = Table(box=None, pad_edge=False, show_edge=False)
    for heading, justify in TOGETHER:
        table.add_column(heading, justify=justify)
    for check in result.checks:
        counts = (str(count) for count in (check.passed, check.failed, check.unknown))
        worst = "" if check.verdict is Outcome.PASS else text(Path(check.worst_log).name)
        table.add_row(word(check.verdict), text(check.check.replace("_", " ")), *counts, worst)
    print_table(out, table)
    trends_table(out, result.trends)


TOGETHER: tuple[tuple[str, JustifyMethod], ...] = (
    ("verdict", "left"), ("check", "left"), ("pass", "right"), ("fail", "right"), ("unknown", "right"),
    ("worst log", "left"),
)  # fmt: skip


def show_columns(result: "RememberedColumns", *, as_json: bool) -> None:
    """Show what is remembered of the columns of logs, layout by layout, and what was forgotten."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"kept in {text(result.file)}")
    bullets(out, "Warnings", result.warnings)
    for layout, said in result.layouts.items():
        of = f", said of {result.said_of[layout]}" if layout in result.said_of else ""
        bullets(out, f"layout {layout}{text(of)}", [f"{heading} is {meaning}" for heading, meaning in said.items()])
    if not result.layouts:
        out.print("nothing is remembered")
    for layout in result.forgotten:
        out.print(f"forgotten: {layout}")
