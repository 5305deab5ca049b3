"""Reads a log larger than memory piece by piece: two passes over the file, a few blocks of it in memory at a time.

The first pass keeps an even sample of rows and asks the ordinary reader what the columns are. Every conversion of a
column is a straight line, so the line through that sample's raw and converted values is the conversion of the whole.
The second pass reads the needed columns and hands the log out in pieces, cut where the rotor rests.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.trace.big_source import Source, is_big, source_of
from steadyhead.trace.blinks import blinks_in
from steadyhead.trace.channels import channels_of
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.impossible import level_of
from steadyhead.trace.mapping import chosen_columns
from steadyhead.trace.meaning import claims_of
from steadyhead.trace.reading import kept_in_mind, recalled_for, said_before, taken_out
from steadyhead.trace.sentinels import codes_in, without_sentinels
from steadyhead.trace.set_aside import set_aside
from steadyhead.trace.simulated import says_simulated
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.trace.time_sense import believe_or_ask
from steadyhead.trace.timecolumn import time_seen
from steadyhead.trace.timeline import SEAM_S, timeline_of
from steadyhead.trace.trace import ColumnRead, Series, Trace
from steadyhead.words.errors import InputError

__all__ = ["is_big", "pieces"]

SKETCH_ROWS = 200_000
RUN_ROWS = 50
"""The sample is taken in runs of so many rows next to each other, so that a step of the clock is seen as it is."""
GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
PIECE_ROWS = 400_000
MOST_ROWS = 1_200_000
"""A piece without any rest in it is cut here all the same, with a warning."""
REST_S = 5.0
RESTS_BELOW = 0.05
"""Share of the level of a speed below which the rotor stands; common practice, no source."""
SPEEDS = ("head_speed_rpm", "motor_side_speed_rpm")


class Line(NamedTuple):
    """How a channel follows from one column: value times slope, plus offset."""

    at: int
    slope: float
    offset: float


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What the first pass found: how each channel follows from a column."""

    name: str
    encoding_note: str
    time: Line
    count_s: float
    guessed_from: str | None
    """Heading of a time whose unit was told by its steps alone."""
    channels: dict[str, Line]
    codes: dict[int, tuple[float, ...]]
    """Numbers that stand for no value, by column."""
    blinking: tuple[int, ...]
    """Columns that leap to such a number, and straight back, where a value was lost."""
    rows: int
    simulated: bool
    warnings: tuple[str, ...]
    history: tuple[str, ...]
    speed_level: float
    columns: tuple[ColumnRead, ...]
    unread: tuple[ColumnRead, ...]


def pieces(path: Path, *, gearing: Gearing, mapping: Mapping[str, str]) -> Iterator[Trace]:
    """Yield the traces of a large log in order, each from rest to rest where there is one, on one common time.

    Valid: plain numbers in every row, time in a column of numbers.
    Raises: InputError when the file is not plain; UnsureColumns when its columns or the unit of its time are not clear.
    """
    with source_of(path) as source:
        plan = _plan(path, source, gearing, mapping)
        kept = _Buffer(plan)
        for values in source.blocks():
            kept.add(values)
            if kept.rows >= PIECE_ROWS:
                cut = kept.cut()
                if cut is not None:
                    yield kept.take(cut)
        if kept.rows >= 2:
            yield kept.take(kept.rows)


def _plan(path: Path, source: Source, gearing: Gearing, mapping: Mapping[str, str]) -> Plan:
    sketch, rows, every = [], 0, 0
    for values in source.blocks():
        every = every or max(1, int((source.rows or values.shape[1] / source.block_share) / SKETCH_ROWS))
        sketch.append(values[:, _sampled(rows, values.shape[1], every)])
        rows += values.shape[1]
    if rows < 2:
        raise InputError(path.name, read=f"{rows} data row", right="two rows or more")
    raw = np.concatenate(sketch, axis=1)
    columns = tuple(_raw_column(at, source, raw) for at in range(len(source.headings)))
    codes = {at: codes for at, column in enumerate(columns) if (codes := codes_in(column))}
    table = without_sentinels(RawTable(kind="large", columns=columns, rows_read=raw.shape[1], remarks=source.remarks))
    known = recalled_for(table, mapping)
    said_now = chosen_columns(path.name, table, mapping)
    claims = claims_of(table, chosen_columns(path.name, table, {**known, **mapping}), said_now)
    seen = time_seen(path.name, table, claims)
    found = channels_of(path.name, table, claims, gearing, seen.used)
    time_at = min(seen.used)
    lines = {name: _line(raw, channel.heading, source, channel.values) for name, channel in found.found.items()}
    lost = [f"{name}: left out, it rests on several columns" for name, line in lines.items() if line is None]
    channels = {name: line for name, line in lines.items() if line is not None}
    speed = next((found.found[name].values for name in SPEEDS if name in channels), np.empty(0))
    time = _fitted(time_at, raw[time_at], seen.seconds)
    if time is None or seen.time_of_day:
        raise InputError(path.name, read="a clock in words in so large a log", right="a time in numbers")
    return Plan(
        name=path.name,
        encoding_note=f"read in pieces of {PIECE_ROWS} rows or more, {rows} rows in all",
        time=time,
        count_s=seen.count_s,
        guessed_from=source.headings[time_at] if seen.unsaid else None,
        channels=channels,
        codes=codes,
        blinking=tuple(
            at
            for at, one in enumerate(columns)
            if at not in codes and one.number is not None and blinks_in(one.number) is not None
        ),
        rows=rows,
        simulated=says_simulated(source.remarks),
        warnings=(
            *source.warnings(),
            *(f"in a sample: {said}" for said in table.warnings),
            *found.warnings,
            *lost,
            *said_before(table, known, mapping),
        ),
        history=(seen.said, *found.history, *(kept_in_mind(table, path.name, {**known, **mapping}) if mapping else ())),
        speed_level=level_of(speed) if speed.size else 0.0,
        columns=tuple(column for column in found.columns if column.channel in channels),
        unread=(*found.unread, *taken_out(found.columns, channels)),
    )


def _blinks(column: RawColumn) -> bool:
    return column.number is not None and blinks_in(column.number) is not None


def _sampled(first: int, rows: int, every: int) -> NDArray[np.bool_]:
    """Return which rows of a block belong to the sample: one run in each cell of `every` runs, nowhere in step.

    Where the run lies in its cell goes by the golden ratio, so that a channel with a value in every so many rows only
    cannot fall between all runs. Shapes: (rows,).
    """
    cell, place = np.divmod(first + np.arange(rows), RUN_ROWS * every)
    begins = (cell * GOLDEN % 1.0 * (RUN_ROWS * (every - 1) + 1)).astype(np.int64)
    return (place >= begins) & (place < begins + RUN_ROWS)


def _raw_column(at: int, source: Source, raw: Series) -> RawColumn:
    heading, unit = source.headings[at], source.units[at]
    if source.is_text[at]:
        return RawColumn(heading=heading, unit=unit, text=pl.Series(heading, [None] * raw.shape[1], dtype=pl.String))
    return RawColumn(heading=heading, unit=unit, number=raw[at])


def _line(raw: Series, heading: str, source: Source, values: Series) -> Line | None:
    """Return how a channel follows from the column of its heading; None when it does not follow from one alone."""
    for at, said in enumerate(source.headings):
        if said == heading and (line := _fitted(at, raw[at], values)) is not None:
            return line
    return None


def _fitted(at: int, raw: Series, values: Series) -> Line | None:
    """Return the straight line from raw to converted values, None when they do not lie on one."""
    both = np.isfinite(raw) & np.isfinite(values) & (np.abs(raw) < 1e12)
    if not both.any():
        return Line(at, 1.0, 0.0)
    x, y = raw[both], values[both]
    low, high = int(np.argmin(x)), int(np.argmax(x))
    slope = float((y[high] - y[low]) / (x[high] - x[low])) if x[high] > x[low] else 1.0
    offset = float(y[low] - slope * x[low])
    off = np.abs(slope * x + offset - y)
    return Line(at, slope, offset) if float(off.max()) <= 1e-6 * max(1.0, float(np.abs(y).max())) else None


class _Buffer:
    """Rows that were read and not yet handed out."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.blocks: list[dict[str, Series]] = []
        self.rows = 0
        self.begun = False
        self.taken = 0
        self.last_s = 0.0

    def add(self, values: Series) -> None:
        """Convert the needed columns of a block and keep them."""
        lines = {"time": self.plan.time, **self.plan.channels}
        for at, codes in self.plan.codes.items():
            values[at] = np.where(np.isin(values[at], codes), np.nan, values[at])
        for at in self.plan.blinking:
            lost = blinks_in(values[at])
            values[at] = values[at] if lost is None else np.where(lost, np.nan, values[at])
        self.blocks.append({name: values[line.at] * line.slope + line.offset for name, line in lines.items()})
        self.rows += values.shape[1]

    def _joined(self) -> dict[str, Series]:
        if len(self.blocks) > 1:
            self.blocks = [{name: np.concatenate([b[name] for b in self.blocks]) for name in self.blocks[0]}]
        return self.blocks[0]

    def cut(self) -> int | None:
        """Return the row in the middle of the last rest of 5 s, else where the clock last began again.

        None when more must be read first.
        """
        whole = self._joined()
        speed = next((whole[name] for name in SPEEDS if name in whole), None)
        if speed is not None:
            still = np.nan_to_num(np.abs(speed), nan=np.inf) < RESTS_BELOW * self.plan.speed_level
            edges = np.flatnonzero(np.diff(np.concatenate(([0], still.view(np.int8), [0]))))
            for first, stop in zip(edges[-2::-2], edges[::-2], strict=True):
                inside = stop < self.rows or whole["time"][stop - 1] - whole["time"][first] >= 4.0 * REST_S
                if inside and first > 0 and whole["time"][stop - 1] - whole["time"][first] >= REST_S:
                    return int(first + stop) // 2
        anew = np.flatnonzero(np.diff(whole["time"]) <= -SEAM_S)
        if anew.size:
            return int(anew[-1]) + 1
        return self.rows if self.rows >= MOST_ROWS else None

    def take(self, row: int) -> Trace:
        """Hand out the rows before `row` as a trace, and keep the others."""
        whole = self._joined()
        part = {name: values[:row] for name, values in whole.items()}
        self.blocks = [{name: values[row:].copy() for name, values in whole.items()}]
        self.rows -= row
        first, self.taken = self.taken, self.taken + row
        return self._trace(part, first)

    def _trace(self, part: dict[str, Series], first_row: int) -> Trace:
        plan = self.plan
        seconds = part.pop("time")
        line = timeline_of(
            plan.name,
            seconds,
            time_of_day=False,
            count_s=plan.count_s,
            first_row=first_row,
            doubled=lambda rows: np.logical_and.reduce([v[rows] == v[rows - 1] for v in part.values()]),
        )
        start_s = float(seconds[line.row[0]]) if not self.begun else max(float(seconds[line.row[0]]), self.last_s)
        time_s = line.time_s + start_s
        self.last_s = float(time_s[-1]) + float(time_s[-1] - time_s[-2])
        values = {name: series[line.row] for name, series in part.items()}
        warnings = [*line.warnings, *set_aside(values, line.time_s, {name: name for name in values})]
        said = () if self.begun else (*plan.warnings,)
        history = () if self.begun else (plan.encoding_note, *plan.history)
        first, self.begun = not self.begun, True
        trace = Trace(
            source=plan.name,
            time_s=time_s,
            channels=values,
            rows_read=seconds.size,
            warnings=(*said, *warnings),
            history=(*history, *line.history),
            columns=plan.columns,
            unread=(*plan.unread, *taken_out(plan.columns, values)),
            simulated=plan.simulated,
            row=line.row + first_row,
            seams_s=tuple(at_s + start_s for at_s in line.seams_s),
        )
        if first and plan.guessed_from is not None:
            believe_or_ask(plan.name, trace, plan.guessed_from, plan.count_s)
        return trace
