"""Which column is the time, and its seconds."""

import re
from typing import NamedTuple

import numpy as np

from steadyhead.trace import clock
from steadyhead.trace.headings import plain
from steadyhead.trace.mapping import option_for
from steadyhead.trace.meaning import Claim
from steadyhead.trace.parted_time import parted_time
from steadyhead.trace.quick_look import sample_of
from steadyhead.trace.stamp_figures import seconds_of_stamps
from steadyhead.trace.table import RawTable
from steadyhead.trace.trace import Series
from steadyhead.trace.unsure import UnsureColumns
from steadyhead.words.errors import InputError

_MOST_OFFERED = 3
"""Units that are offered when it is asked; own choice."""


_HOUR_S = 3600.0
_HALF_A_SECOND = 0.5
"""What the end of a stamp reaches when rows come more often than twice a second; own choice."""
_STEP_WORDS = re.compile(r"delta|δ|\bd[_ ]?(t|time)\b|step|interval|schritt|abstand")
"""Words that make a time one from row to row."""
_SINCE_1970_S = (1.0e9, 4.0e9)
"""A count between these, from 2001 to 2096, is one of seconds since 1970: no log counts so long from its own start."""
_FEWEST_STEPS = 20
_LIKE_THE_USUAL = 0.9
"""Share of rows that must stand near the usual step, for a column of steps; a time of a flight grows on; own choice."""


class TimeSeen(NamedTuple):
    """The time as written, in seconds, and the columns it took."""

    seconds: Series
    time_of_day: bool
    count_s: float
    used: frozenset[int]
    said: str
    unsaid: bool = False
    """Whether it is a count whose unit no person said of this log: a heading, or the steps, told it."""
    since_s: float | None = None
    """Seconds from 1970 to where the seconds are 0, by the clock of the log; None where no date is written."""


def time_seen(name: str, table: RawTable, claims: tuple[Claim, ...]) -> TimeSeen:
    """Return the time of a table.

    Shapes: seconds (n,), NaN where no time can be read
    Raises: InputError when there is none; UnsureColumns when its unit cannot be told.
    """
    by_person = [claim for claim in claims if claim.meaning == "time" and claim.by_person]
    if by_person:
        return _counted(name, by_person[0])
    parted = parted_time([claim for claim in claims if claim.meaning == "time"])
    if parted is not None:
        return _added_up(*parted)
    summed = next((claim for claim in claims if claim.meaning == "time" and _holds_steps(claim)), None)
    clocks = [at for at, column in enumerate(table.columns) if clock.is_clock(column)]
    finer = next((claim for claim in claims if claim.meaning == "time" and _below_a_second(claim)), None)
    if clocks and finer is not None and (stamped := _stamped_and(table, clocks[0], finer)) is not None:
        return stamped
    counted = [claim for claim in claims if claim.meaning == "time" and _moves(claim)]
    fine = [claim for claim in counted if _is_fine(claim)]
    clear = [claim for claim in fine if claim.heading.unit is not None]
    if clear:
        return _counted(name, clear[0])
    if clocks:
        return _stamped(table, clocks[0])
    if summed is not None:
        return _summed(summed)
    if counted:
        return _counted(name, (fine or counted)[0])
    jumbled = next((claim for claim in claims if claim.meaning == "time" and claim.column.number is not None), None)
    if jumbled is not None:
        place = f"{name}, column {jumbled.column.heading!r}"
        raise InputError(place, read="a time that does not go forward", right="a time that grows from row to row")
    first = table.columns[0]
    guess = next((c for c in _guesses(table) if c.at == 0 and _moves(c)), None)
    if guess is not None:
        return _counted(name, guess)
    raise InputError(
        name,
        read=f"no time column; the first heading is {first.heading!r}",
        right=f'a column of times, named by --column "{option_for("HEADING", "time_s", "s")}"',
    )


def _added_up(parts: tuple[Claim, ...], seconds: Series) -> TimeSeen:
    names = " and ".join(claim.column.heading for claim in parts)
    first = sample_of(seconds)[:1]
    start = float(first[0]) if first.size else 0.0
    at = frozenset(claim.at for claim in parts)
    of_day = any(claim.heading.unit is not None and claim.heading.unit.factor == _HOUR_S for claim in parts)
    return TimeSeen(seconds - start, of_day, 1e-3, at, f"time from {names}: added up")


def _stamped(table: RawTable, at: int) -> TimeSeen:
    column = table.columns[at]
    seconds, kind, since_s = clock.seconds_of_text(column)
    used = {at}
    if kind == "time of day":
        dates = [other for other, candidate in enumerate(table.columns) if clock.is_date(candidate)]
        if dates:
            days = clock.days_of_text(table.columns[dates[0]].text)
            first = float(np.nanmin(days)) if np.isfinite(days).any() else 0.0
            seconds, since_s = seconds + (days - first) * clock.DAY_S, first * clock.DAY_S or None
            used.add(dates[0])
            kind = "date and time of day"
    said = f"time from {column.heading}: {kind}"
    return TimeSeen(seconds, kind == "time of day", 1e-3, frozenset(used), said, since_s=since_s)


def _stamped_and(table: RawTable, at: int, finer: Claim) -> TimeSeen | None:
    """Return a clock in whole seconds with the part of a second of another column; None when it is no such clock."""
    seen = _stamped(table, at)
    if finer.column.number is None or finer.heading.unit is None or np.any(sample_of(seen.seconds) % 1.0):
        return None
    seconds = seen.seconds + finer.column.number * finer.heading.unit.factor
    said = f"{seen.said}, and {finer.column.heading}"
    return seen._replace(seconds=seconds, used=seen.used | {finer.at}, said=said)


def _below_a_second(claim: Claim) -> bool:
    """Whether a column in a unit of time begins again and again below a second: it is the end of a stamp."""
    values, unit = claim.column.number, claim.heading.unit
    if values is None or unit is None or unit.factor >= 1.0 or claim.by_person:
        return False
    low, high = (float(end(values, initial=0.0)) * unit.factor for end in (np.nanmin, np.nanmax))
    return low >= 0.0 and _HALF_A_SECOND < high < 1.0 and bool((np.diff(values) < 0.0).any())


def _counted(name: str, claim: Claim) -> TimeSeen:
    column = claim.column
    if column.number is None:
        if not clock.is_clock(column):
            raise InputError(f"{name}, column {column.heading!r}", read="text that is no time", right="a time")
        seconds, kind, since_s = clock.seconds_of_text(column)
        said = f"time from {column.heading}: {kind}"
        return TimeSeen(seconds, kind == "time of day", 1e-3, frozenset({claim.at}), said, since_s=since_s)
    values = column.number
    stamps = None if claim.by_person else seconds_of_stamps(values)
    if stamps is not None:
        said = f"time from {column.heading}: date and time in figures alone"
        return TimeSeen(stamps[0], False, 1e-3, frozenset({claim.at}), said, since_s=stamps[1])
    figures = None if claim.by_person else clock.seconds_of_figures(values)
    if figures is not None:
        said = f"time from {column.heading}: time of day, in figures alone"
        return TimeSeen(figures, True, 1e-3, frozenset({claim.at}), said)
    if claim.chosen is not None and claim.chosen.rate_hz:
        factor, why = 1.0 / claim.chosen.rate_hz, f"a count of rows at {claim.chosen.rate_hz:g} a second"
    else:
        known, why = clock.seconds_factor(values, claim.heading, sure=claim.said_of_this_log)
        if known is None:
            raise UnsureColumns(
                name,
                read=f"a time column {column.heading!r}: {why}",
                options=asked_units(column.heading, clock.units_that_fit(clock.usual_step(values))),
            )
        factor = known
    start = sample_of(values)[:1]
    seconds = values - start[0] if start.size and start[0] else values
    seconds = seconds * factor if factor != 1.0 else seconds
    said = f"time from {column.heading}: {why}"
    first_s = float(start[0]) * factor if start.size and factor <= 1.0 else 0.0
    since_s = first_s if _SINCE_1970_S[0] <= first_s < _SINCE_1970_S[1] else None
    at = frozenset({claim.at})
    return TimeSeen(seconds, False, factor, at, said, unsaid=not claim.said_of_this_log, since_s=since_s)


def _summed(claim: Claim) -> TimeSeen:
    factor = claim.heading.unit.factor if claim.heading.unit is not None else 1.0
    steps = claim.column.number if claim.column.number is not None else np.empty(0)
    seconds = np.nancumsum(steps) * factor
    said = f"time from {claim.column.heading}: it holds the step from row to row, added up"
    return TimeSeen(seconds - seconds[0], False, factor, frozenset({claim.at}), said)


def _holds_steps(claim: Claim) -> bool:
    """Whether a column in a unit of time holds the step from row to row: it never grows beyond a few of them."""
    values, unit = claim.column.number, claim.heading.unit
    some = sample_of(values) if values is not None and unit is not None and unit.other_factor is None else np.empty(0)
    named = "time" not in claim.heading.words or bool(_STEP_WORDS.search(plain(claim.heading.name)))
    if not named or some.size < _FEWEST_STEPS or unit is None or bool((some < 0.0).any()):
        return False
    usual = float(np.median(some))
    like = float((np.abs(some - usual) <= 0.5 * usual).mean())
    return bool(clock.units_that_fit(usual * unit.factor)[:1] == ("s",)) and like >= _LIKE_THE_USUAL


def asked_units(heading: str, fitting: tuple[str, ...]) -> tuple[str, ...]:
    """Return what to offer when the unit of a time is asked: the units that fit, or the usual ones, and a rate."""
    return tuple(option_for(heading, "time_s", unit) for unit in (*(fitting[:_MOST_OFFERED] or ("s", "ms")), "50 Hz"))


def _moves(claim: Claim) -> bool:
    values = claim.column.number
    if values is None:
        return clock.is_clock(claim.column)
    some = sample_of(values)
    return some.size > 1 and bool((np.diff(some) >= 0).mean() > 0.9)


def _is_fine(claim: Claim) -> bool:
    """Whether the time moves at almost every row; a timer in whole seconds does not."""
    values = claim.column.number
    return values is not None and bool((np.diff(values[:5000]) > 0).mean() > 0.8)


def _guesses(table: RawTable) -> list[Claim]:
    """Take the first column for the time when its numbers go forward and nothing else may be the time."""
    from steadyhead.trace.headings import heading_of

    column = table.columns[0]
    return [Claim(at=0, column=column, heading=heading_of(column.heading, column.unit), meaning="time", rank=0)]
