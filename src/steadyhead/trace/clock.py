"""From a time column to seconds: counts, stamps, time of day, calendar time."""

import re
from typing import Any, NamedTuple

import numpy as np
import polars as pl

from steadyhead.trace.headings import Heading
from steadyhead.trace.month_names import names_a_month, with_month_numbers
from steadyhead.trace.table import RawColumn
from steadyhead.trace.trace import Series
from steadyhead.trace.units import Unit

DAY_S = 86400.0
_CLOCK = re.compile(r"^\d{1,3}:\d{1,2}(:\d{1,2})?([.,]\d+)?\s*([AaPp]\.?[Mm]\.?)?$")
_FOURTH = r"^(\d{1,3}:\d{1,2}:\d{1,2}):(\d{1,6})$"
"""Milliseconds behind a third colon."""
_PART = r"^(.*:\d{1,2})\.(\d+)(\D.*)?$"
_COUNTED_PARTS = (3, 6)
"""Figures of the part of a second in a stamp that counts milliseconds or microseconds."""
_BASIC = r"^(\d{4})(\d{2})(\d{2})[T ]*(\d{2})(\d{2})(\d{2})([.,]\d+)?(Z|[+-]\d{2}:?\d{2})?$"
"""A stamp without marks between its parts, ISO 8601."""
_BASIC_T = re.compile(r"^\d{8}T\d{6}")
_SPAN = r"(?i)^(?:P?T)?(?:(\d+)H)?(?:(\d+)M)?(\d+(?:[.,]\d+)?)S$"
"""A length of time: `PT1M2.5S`, `1m2.5s`."""
_SPAN_CELL = re.compile(_SPAN)
_DATE_TIME = re.compile(r"^(\d{1,4})([-/.])(\d{1,2})[-/.](\d{1,4})[T ]+\d{1,2}:\d{2}")
_DATE = re.compile(r"^(\d{1,4})([-/.])(\d{1,2})[-/.](\d{1,4})$")
_LONGEST_STEP_S = 60.0
"""No log has rows further apart: what counts so far in a row is no time since 1970, but a counter; own choice."""
_SLOW_ROWS_S = 10.0
"""Seconds with fractions that come so slowly may still be meant: nothing is guessed; own choice."""
_QUICKEST_STEP_S, _SLOWEST_STEP_S = 4e-4, 2.01
"""Rows of a log of a flight come no quicker and no slower than this; own choice: 2000 a second to one in two."""
TIME_UNITS = {
    "s": 1.0, "ms": 1e-3, "1/100 s": 1e-2, "1/10 s": 0.1, "µs": 1e-6, "min": 60.0, "h": 3600.0, "days": DAY_S,
}  # fmt: skip
"""What one count of a time may be, the usual units first."""
_END_OF_DAY = 240_000.0
_SOME = 1000
"""Rows that are looked at before all."""
_EVEN_STEPS = 5.0
"""No more usual steps than these go by from one minute to the next, rows lost or not; own choice."""
_LEAP = 30.0
"""From 59 to 100 such figures leap by 41: a count that goes on evenly does not; own choice, made wide."""
NO_UNIT = "no unit at the time"
_SERIAL_DAYS = (36_525.0, 73_051.0)
"""Days since the end of 1899, as spreadsheets count them, from the year 2000 to 2100."""
_EPOCH = ((1e17, 1e-9), (1e14, 1e-6), (1e11, 1e-3), (1e8, 1.0))


_SHORT = re.compile(r"^\d{6}(?:\d{2})?[T ]+\d{6}(?:[.,]\d+)?$")
"""A day in six or eight figures, and a time of day in six behind it."""
_SHORT_DAY = re.compile(r"^(\d{2})(\d{2})(\d{2})[T ]+(\d{2})(\d{2})(\d{2})([.,]\d+)?$")
_ORDERS = ((1, 2, 3), (3, 2, 1))
_FORMS = (_SHORT, _CLOCK, _DATE_TIME, re.compile(_FOURTH), _BASIC_T, re.compile(r"(?i)^(?:P?T\d|\d+[HM]).*\dS$"))


def is_clock(column: RawColumn) -> bool:
    """Whether the column holds times of day, stamps or calendar time as text."""
    if column.text is None:
        return False
    if column.text.dtype != pl.String:
        return column.text.dtype in (pl.Datetime, pl.Time)
    cells = _filled(column.text)
    fits = sum(any(form.match(cell) for form in _FORMS) or names_a_month(cell) for cell in cells)
    return bool(cells) and fits >= 0.9 * len(cells)


def is_date(column: RawColumn) -> bool:
    """Whether the column holds days without a time."""
    if column.text is None:
        return False
    if column.text.dtype != pl.String:
        return bool(column.text.dtype == pl.Date)
    cells = _filled(column.text)
    return bool(cells) and all(_DATE.match(cell) for cell in cells)


class Stamps(NamedTuple):
    """Times as text, in seconds, and how they were read.

    Shapes: seconds (n,), NaN where a cell is no stamp
    """

    seconds: Series
    kind: str
    since_s: float | None = None
    """Seconds from 1970 to where the seconds are 0, by the clock of the log; None where no date is written."""


def seconds_of_text(column: RawColumn) -> Stamps:
    """Return stamps as seconds.

    Shapes: (n,) -> (n,)
    """
    text = column.text
    if text.dtype == pl.Datetime:
        micros = text.dt.epoch("us")
        first = micros.min() or 0
        return Stamps(_array((micros - first).cast(pl.Float64) * 1e-6), "calendar time", first * 1e-6)
    if text.dtype == pl.Time:
        return Stamps(_array(text.cast(pl.Int64).cast(pl.Float64) * 1e-9), "time of day")
    cells = _filled(text)
    tidy = text.str.strip_chars()
    tidy = with_month_numbers(tidy) if cells and names_a_month(cells[0]) else tidy
    tidy = tidy.str.replace(",", ".", literal=True)
    if cells and _SPAN_CELL.match(cells[0]):
        return Stamps(_span_seconds(tidy), "time since the start")
    tidy = tidy.str.replace(_FOURTH, "${1}.${2}").str.replace(_BASIC, "${1}-${2}-${3}T${4}:${5}:${6}${7}${8}")
    tidy = _with_century(tidy)
    read = _stamps(tidy)
    filled = _with_zeros(tidy)
    if filled is not None:
        other = _stamps(filled)
        if _falls(other.seconds) < _falls(read.seconds):
            return other._replace(kind=f"{read.kind}, the part of a second written without its zeros")
    return read


def _stamps(tidy: Any) -> Stamps:
    cells = _filled(tidy)
    if cells and _DATE_TIME.match(cells[0]):
        day = days_of_text(tidy.str.extract(r"^([^T ]+)"))
        clock = _clock_seconds(tidy.str.extract(r"[T ]+(.*?)(?:Z|[+-]\d{2}:?\d{2})?$"))
        if not np.isfinite(day).any():
            return Stamps(day, "calendar time")
        first = float(np.nanmin(day))
        return Stamps((day - first) * DAY_S + clock, "calendar time", first * DAY_S)
    return Stamps(_clock_seconds(tidy), "time of day")


def _with_zeros(text: Any) -> Any:
    """Write `14:7:11.20` as `14:7:11.020` where parts of a second come in several lengths and none begins with a zero.

    None where they are decimals: among those of several lengths some begin with a zero.
    """
    parts = text.str.extract(_PART, 2)
    lengths = parts.str.len_chars()
    longest = lengths.max()
    if longest not in _COUNTED_PARTS or lengths.min() == longest or bool(parts.str.contains(r"^0\d").any()):
        return None
    begins, ends = text.str.extract(_PART, 1), text.str.extract(_PART, 3).fill_null("")
    return pl.select(pl.coalesce(begins + "." + parts.str.zfill(longest) + ends, text)).to_series()


def _falls(seconds: Series) -> int:
    return int((np.diff(seconds) < 0.0).sum())


def _with_century(text: Any) -> Any:
    """Write `260503 235830` as a date and a time; of year first and day first the one by which fewer days go by."""
    cells = [cell for cell in _filled(text) if _SHORT_DAY.match(cell)]
    if not cells:
        return text
    tail = text.drop_nulls().tail(1).to_list()[0]
    ends = [match for cell in (cells[0], tail) if (match := _SHORT_DAY.match(cell))]
    span = [abs(int("".join(ends[-1].group(*order))) - int("".join(ends[0].group(*order)))) for order in _ORDERS]
    year, month, day = _ORDERS[span.index(min(span))]
    parts = f"20${{{year}}}-${{{month}}}-${{{day}}}T${{4}}:${{5}}:${{6}}${{7}}"
    return text.str.replace(_SHORT_DAY.pattern, parts)


def days_of_text(text: Any) -> Series:
    """Return dates as day numbers, NaN where a cell is no date; year first, or else day first with points or slashes.

    Shapes: (n,) -> (n,)
    """
    if text.dtype == pl.Date:
        return _array(text.cast(pl.Int32).cast(pl.Float64))
    cells = _filled(text)
    match = _DATE.match(cells[0]) if cells else None
    if match is None:
        return np.full(len(text), np.nan)
    mark = match[2]
    if len(match[1]) == 4:
        order = f"%Y{mark}%m{mark}%d"
    else:
        year = "%Y" if len(match[4]) == 4 else "%y"
        order = _order_of(text, (f"%d{mark}%m{mark}{year}", f"%m{mark}%d{mark}{year}"))
    return _array(text.str.strip_chars().str.to_date(order, strict=False).cast(pl.Int32).cast(pl.Float64))


def _order_of(text: Any, orders: tuple[str, str]) -> str:
    """Return the order by which all dates can be read; where both do, the one by which fewer days go by."""
    days = text.drop_nulls().unique().str.strip_chars()

    def fit(order: str) -> tuple[int, int]:
        read = days.str.to_date(order, strict=False)
        span = (read.max() - read.min()).days if read.null_count() < len(read) else 0
        return read.null_count(), span

    return min(orders, key=fit)


def seconds_of_figures(values: Series) -> Series | None:
    """Return the seconds of a time of day in figures alone, `140711.02`; None where a column counts on evenly.

    Shapes: (n,) -> (n,)
    Valid: a minute ends in the log; no pair of figures reaches 60, and the step is even only when read so.
    """
    there = values[np.isfinite(values)]
    if there.size < 3 or float(there.min()) < 0.0 or float(there.max()) >= _END_OF_DAY:
        return None
    if _no_clock(there[:: 1 + there.size // _SOME]) or _no_clock(there):  # a few rows tell most columns that count on
        return None
    seconds = values // 10_000.0 * 3600.0 + values // 100.0 % 100.0 * 60.0 + values % 100.0
    read = seconds[np.isfinite(seconds)]
    ends = np.flatnonzero(np.diff(there // 100.0) != 0.0)
    usual = usual_step(there)
    steps = (np.diff(read)[ends] + 0.5 * DAY_S) % DAY_S - 0.5 * DAY_S  # over midnight, too
    told = (np.abs(steps) <= _EVEN_STEPS * usual) & (np.abs(np.diff(there)[ends] - usual) > _LEAP)
    return seconds if ends.size and 2 * int(told.sum()) > ends.size else None


def _no_clock(values: Series) -> bool:
    """Whether a pair of figures reaches 60."""
    return bool((values % 100.0 >= 60.0).any()) or bool((values // 100.0 % 100.0 >= 60.0).any())


def seconds_factor(values: Series, heading: Heading, *, sure: bool = False) -> tuple[float | None, str]:
    """Return the seconds in one count of a time column of numbers, and why; None when it cannot be told.

    `sure` says that a person named the unit. Shapes: values (n,)
    """
    first = float(np.nanmedian(np.abs(values[:1000]))) if np.isfinite(values[:1000]).any() else 0.0
    steps = _forward_steps(values)
    step = usual_step(values)
    if heading.unit is not None and heading.unit.dimension == "time":
        return _written_unit(heading.unit, step, sure=sure)
    if heading.unread:
        return None, f"its unit {heading.unread!r} is not understood"
    epoch = next((factor for least, factor in _EPOCH if first >= least), None)
    if epoch is not None and step * epoch <= _LONGEST_STEP_S:
        return epoch, f"time since 1970, one count is {epoch:g} s"
    if steps.size == 0:
        return None, "time does not move"
    whole = bool(np.all(steps == np.round(steps)))
    if not whole:
        return _fractions_factor(first, step)
    if "counter" in heading.words and "time" not in heading.words:
        return None, "a count of rows, not a time"
    fits = [factor for factor in (1.0, 1e-3, 1e-6) if 8e-4 < step * factor < 2.01]
    if len(fits) == 1:
        return fits[0], f"{NO_UNIT}: steps of {step:g} can only be counts of {fits[0]:g} s"
    return None, f"{NO_UNIT}, and steps of {step:g} fit more than one"


def usual_step(values: Series) -> float:
    """Return the usual step forward of a time column, in its own counts; 0 where it does not move. Shapes: (n,)"""
    steps = _forward_steps(values)
    return float(np.median(steps)) if steps.size else 0.0


def _forward_steps(values: Series) -> Series:
    steps = np.diff(values[:5000])
    return steps[np.isfinite(steps) & (steps > 0)]


def units_that_fit(step: float) -> tuple[str, ...]:
    """Return the units in which rows that are `step` counts apart come as a logger writes them, the usual first."""
    return tuple(unit for unit, factor in TIME_UNITS.items() if _QUICKEST_STEP_S <= step * factor <= _SLOWEST_STEP_S)


def _fractions_factor(first: float, step: float) -> tuple[float | None, str]:
    """Return the factor of a time in fractions of a count: seconds where rows then come as a logger writes them."""
    fits = [unit for unit in units_that_fit(step) if not unit.startswith("1/")]
    if "s" in fits:
        return 1.0, f"{NO_UNIT}, but fractions of a count: taken as seconds"
    if "days" in fits and _SERIAL_DAYS[0] <= first <= _SERIAL_DAYS[1]:
        return DAY_S, f"{NO_UNIT}: days as a spreadsheet counts them"
    if len(fits) == 1 and not _SLOWEST_STEP_S < step <= _SLOW_ROWS_S:
        return TIME_UNITS[fits[0]], f"{NO_UNIT}: steps of {step:g} can only be counts of {fits[0]}"
    return None, f"{NO_UNIT}, and steps of {step:g} fit {'more than one' if fits else 'none'}"


def _written_unit(unit: Unit, step: float, *, sure: bool) -> tuple[float | None, str]:
    """Return the factor of a written unit where rows then come as a logger writes them; else None, and why not."""
    factors = (unit.factor,) if unit.other_factor is None else (unit.factor, unit.other_factor)
    fits = [factor for factor in factors if step == 0.0 or _QUICKEST_STEP_S <= step * factor <= _SLOWEST_STEP_S]
    if sure or len(fits) == 1:
        return (unit.factor if sure else fits[0]), f"time in {unit.said}"
    if len(fits) > 1:
        return None, f"whether {unit.said} means to multiply or to divide is not clear"
    return None, f"in {unit.said} a row would come every {step * unit.factor:.4g} s, as no log of a flight does"


def _clock_seconds(text: Any) -> Series:
    """H:M:S, M:S with fractions, and AM or PM, as seconds."""
    afternoon = text.str.contains(r"(?i)p\.?m").fill_null(False).to_numpy()
    morning = text.str.contains(r"(?i)a\.?m").fill_null(False).to_numpy()
    bare = text.str.replace(r"(?i)\s*[ap]\.?m\.?$", "")
    parts = bare.str.split_exact(":", 2).struct.unnest()
    a, b, c = (_array(parts[name].str.strip_chars().cast(pl.Float64, strict=False)) for name in parts.columns)
    hours = np.where((morning | afternoon) & (a == 12), 0.0, a) + 12.0 * afternoon
    return np.where(np.isnan(c), a * 60.0 + b, hours * 3600.0 + b * 60.0 + c)


def _span_seconds(text: Any) -> Series:
    hours, minutes, seconds = (
        _array(text.str.extract(_SPAN, group).cast(pl.Float64, strict=False)) for group in (1, 2, 3)
    )
    return np.nan_to_num(hours) * 3600.0 + np.nan_to_num(minutes) * 60.0 + seconds


def _filled(text: Any) -> list[str]:
    cells = text.head(400).drop_nulls().to_list()
    return [cell.strip() for cell in cells if cell.strip()][:200]


def _array(series: Any) -> Series:
    return np.array(series.cast(pl.Float64).fill_null(float("nan")).to_numpy(), dtype=np.float64)
