"""Reading a log into a trace: open, take apart, give meanings, put time in order, set impossible values aside."""

from collections.abc import Callable, Container, Iterable, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace import remembered
from steadyhead.trace.channels import Channels, channels_of
from steadyhead.trace.countdown import counted_up
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.heard_remarks import doubts_in, ear_in, left_open
from steadyhead.trace.kept_trace import kept_trace
from steadyhead.trace.mapping import TARGETS, Chosen, chosen_columns
from steadyhead.trace.meaning import claims_of
from steadyhead.trace.newest_first import is_newest_first, oldest_first
from steadyhead.trace.opening import content_of
from steadyhead.trace.quick_look import Looks, holds_a_value
from steadyhead.trace.readers import table_of
from steadyhead.trace.said_units import against_the_heading
from steadyhead.trace.sentinels import looked_at, without_sentinels
from steadyhead.trace.set_aside import set_aside
from steadyhead.trace.simulated import says_simulated
from steadyhead.trace.table import RawTable
from steadyhead.trace.time_sense import in_good_sense
from steadyhead.trace.timecolumn import TimeSeen, time_seen
from steadyhead.trace.timeline import Rows, Timeline, timeline_of
from steadyhead.trace.trace import ColumnRead, Trace
from steadyhead.words.errors import InputError

__all__ = ["read_trace"]

_NO_CHANNEL = ("time_s", "ignore")
_NEVER_MISSED = ("controller_temperature_c", "motor_temperature_c", "lowest_cell_v")
"""Channels whose check is left out, or passes by another channel, where they were not logged."""
_DIGEST_SHOWN = 6
"""Letters of the name of a layout that tell it from the others; own choice."""


def read_trace(
    path: Path,
    *,
    gearing: Gearing | None = None,
    mapping: Mapping[str, str] | None = None,
    remember: bool = True,
) -> Trace:
    """Return the trace in a log file, with every doubt and every mended fault in its warnings.

    `mapping` says what columns are, as in {"rpm A": "head_speed_rpm:rpm"}; it is remembered for the same layout.

    Raises: InputError when the file cannot be read; UnsureColumns when a person has to say what a column is.
    """
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        # infinite and absurd cells are set aside after they are converted, not before
        return _read(Path(path), gearing or Gearing(), mapping, remember)


def _read(path: Path, gearing: Gearing, mapping: Mapping[str, str] | None, remember: bool) -> Trace:
    content = content_of(path)
    kept = None if mapping else kept_trace(str(path), content)
    if kept is not None:
        return kept
    table = table_of(content)
    if table.rows_read < 2:
        raise InputError(path.name, read=f"{table.rows_read} data row", right="two rows or more")
    looks = looked_at(table)
    table = without_sentinels(table, looks)
    known = recalled_for(table, mapping or {})
    chosen = chosen_columns(path.name, table, {**known, **(mapping or {})})
    said_now = chosen_columns(path.name, table, mapping or {})
    as_written = table
    table = counted_up(table, claims_of(table, chosen))
    claims = claims_of(table, chosen, said_now)
    turned = is_newest_first(table, claims)
    if turned:
        table = oldest_first(table)
        claims = claims_of(table, chosen, said_now)
    seen = time_seen(path.name, table, claims)
    channels = channels_of(path.name, table, claims, gearing, seen.used)
    timeline = timeline_of(
        path.name, seen.seconds, time_of_day=seen.time_of_day, count_s=seen.count_s, doubled=_doubled(table)
    )
    trace = _trace(path, table, seen, channels, timeline, looks)
    timed = [claim for claim in claims if claim.at in seen.used]
    sure = not timed or any(claim.said_of_this_log or claim.column.number is None for claim in timed)
    unsaid_s = seen.count_s if seen.unsaid else None
    trace = replace(trace, row=table.rows_read - 1 - trace.row) if turned else trace
    trace = in_good_sense(path.name, trace, table.columns[min(seen.used)].heading, sure=sure, unsaid_s=unsaid_s)
    trace = trace.noted(warnings=said_before(as_written, known, mapping or {}))
    if known:
        trace = trace.noted("columns named as remembered for this layout: " + _said(known))
    if mapping:
        trace = trace.noted("columns named by you: " + _said(mapping))
        refused = _refused(table, trace, said_now)
        told = (f"{name}: what you said of it was not used, nor is it remembered" for name in refused)
        trace = trace.noted(warnings=tuple(told))
        used = {said: what for said, what in mapping.items() if not _any_same(said, refused)}
        if remember and used:
            trace = trace.noted(*kept_in_mind(as_written, path.name, {**known, **used}))
    return trace


def kept_in_mind(table: RawTable, name: str, said: Mapping[str, str]) -> tuple[str, ...]:
    """Remember what was said of the columns of a log; return a sentence about it."""
    headings = [column.heading for column in table.columns]
    return remembered.remember(table.layout_digest, said, name, headings)


def said_before(table: RawTable, known: Mapping[str, str], mapping: Mapping[str, str]) -> tuple[str, ...]:
    """Return warnings: what was said of another log counts here, too; or it cannot be read; or a unit contradicts."""
    warnings = [broken] if (broken := remembered.unreadable()) else []
    if known:
        forget = f"steadyhead columns --forget {table.layout_digest[:_DIGEST_SHOWN]}"
        warnings.append(f"as you said of an earlier log with these headings: {_said(known)}; to forget that: {forget}")
    return (*warnings, *against_the_heading(table, chosen_columns("", table, {**known, **mapping})))


def recalled_for(table: RawTable, mapping: Mapping[str, str]) -> dict[str, str]:
    """Return what was said before of this layout and still makes sense, less what is said anew."""
    anew = {heading.strip().casefold() for heading in mapping}
    return {
        heading: said
        for heading, said in remembered.recalled(table.layout_digest).items()
        if said.partition(":")[0].strip() in TARGETS
        and heading.strip().casefold() not in anew
        and any(_same(heading, column.heading) for column in table.columns)
    }


def _trace(path: Path, table: RawTable, seen: TimeSeen, channels: Channels, timeline: Timeline, looks: Looks) -> Trace:
    whole = timeline.in_order and timeline.row.size == table.rows_read
    values = {name: found.values if whole else found.values[timeline.row] for name, found in channels.found.items()}
    warnings = set_aside(
        values, timeline.time_s, {name: found.heading for name, found in channels.found.items()}, looks
    )
    return Trace(
        source=str(path),
        time_s=timeline.time_s,
        channels=values,
        rows_read=table.rows_read,
        left_open=left_open(table.remarks),
        ear=ear_in(table.remarks),
        simulated=says_simulated(table.remarks),
        warnings=(
            *doubts_in(table.remarks),
            *table.warnings,
            *timeline.warnings,
            *warnings,
            *_cell_warnings(table),
            *channels.warnings,
        ),
        history=(*table.history, seen.said, *channels.history, *timeline.history),
        columns=tuple(column for column in channels.columns if column.channel in values),
        unread=(*channels.unread, *taken_out(channels.columns, values)),
        row=timeline.row,
        seams_s=timeline.seams_s,
        misfit_voltage_v=None if "pack_voltage_v" in values else channels.misfit_voltage_v,
        began_s=None if seen.since_s is None else seen.since_s + float(seen.seconds[timeline.row[0]]),
    )


def taken_out(columns: Iterable[ColumnRead], kept: Container[str]) -> tuple[ColumnRead, ...]:
    """Return the columns of a judged temperature, or of the weakest cell, whose channel was not kept."""
    gone = [column for column in columns if column.channel in _NEVER_MISSED and column.channel not in kept]
    return tuple(replace(column, confidence="left out") for column in gone)


def _cell_warnings(table: RawTable) -> tuple[str, ...]:
    out = []
    for column in table.columns:
        if column.number is not None and not holds_a_value(column.number):
            out.append(f"{column.heading} holds no value")
            continue
        if column.number is not None and column.empty:
            out.append(f"{column.empty} empty cells in {column.heading}")
        if column.unreadable:
            out.append(f"{column.unreadable} cells in {column.heading} hold no number")
    return tuple(out)


def _doubled(table: RawTable) -> Callable[[Rows], NDArray[np.bool_]]:
    """Return a function that says for row numbers whether each equals the row before it."""

    def same(rows: Rows) -> NDArray[np.bool_]:
        out = np.ones(rows.size, bool)
        for column in table.columns:
            if column.number is not None:
                now, before = column.number[rows], column.number[rows - 1]
                out &= (now == before) | (np.isnan(now) & np.isnan(before))
        return out

    return same


def _refused(table: RawTable, trace: Trace, said_now: Mapping[int, Chosen]) -> tuple[str, ...]:
    """Return the headings of columns that a person gave a channel, of which nothing could be used."""
    used = [column.heading for column in trace.columns]
    headings = {at: table.columns[at].heading for at, said in said_now.items() if said.target not in _NO_CHANNEL}
    return tuple(name for name in headings.values() if not any(name in heading for heading in used))


def _any_same(said: str, headings: tuple[str, ...]) -> bool:
    return any(_same(said, heading) for heading in headings)


def _same(one: str, other: str) -> bool:
    return one.partition("#")[0].strip().casefold() == other.strip().casefold()


def _said(mapping: Mapping[str, str]) -> str:
    return ", ".join(f"{heading!r} is {said}" for heading, said in mapping.items())
