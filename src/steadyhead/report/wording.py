"""Numbers and words as a person at the bench reads them."""

import math
import re
from collections.abc import Sequence

from steadyhead.channel.result import Reading
from steadyhead.report.names import key_name
from steadyhead.report.sentences import tidy
from steadyhead.words.value import Origin, Value
from steadyhead.words.verdict import Limit, Outcome, Verdict

MARKS = {Outcome.PASS: "✓", Outcome.FAIL: "✗", Outcome.UNKNOWN: "?"}
NOT_KNOWN = "not known"
SHARES = ("duty_margin", "hover_duty", "charge_left")
"""Checks whose figure is a share of one; people read it in percent."""
ORIGIN_WORDS = {
    Origin.MEASURED: "measured",
    Origin.MAKER: "maker's figure",
    Origin.FITTED: "fitted from logs",
    Origin.DERIVED: "worked out",
    Origin.TYPICAL: "typical of the size class",
}
_BAND = re.compile(r"[<>]= (?P<one>\S+?)( [^,]+)?, [<>]= (?P<other>\S+)( .+)?")
"""The text of two limits: `<= 25 s, >= 10 s`."""
UNIT_WORDS = {
    "percent": "%",
    "degC": "°C",
    "deg": "°",
    "mohm": "mΩ",
    "ohm": "Ω",
    "degree_Celsius": "°C",
    "us": "µs",
    "cm2": "cm²",
    "m2": "m²",
    "kg m2": "kg m²",
    "g m2": "g m²",
}

_STATED = 6
"""Digits of a figure that stands in the machine file: more than anybody writes."""
_FINER = 4
"""How many digits more a figure may get to be told apart from its limit."""

MOVED_SHARE = 0.01
"""A figure is rounded by no more than this share of it."""
_SAME = 1e-6
"""Share of a rounding step within which an end counts as standing on it."""

Interval = tuple[float, float]


def number(value: float | None, *, digits: int = 3, step: float | None = None, trim: bool = False) -> str:
    """Return `value` to `digits` significant figures, or rounded to `step`; `trim` leaves out closing zeros."""
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    trim = trim or step is None
    if step is None:
        step = 10.0 ** (math.floor(math.log10(abs(value))) - digits + 1) if value else 1.0
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    rounded = round(value / step) * step
    text = f"{rounded:.{decimals}f}"
    if trim and "." in text:
        text = text.rstrip("0").rstrip(".")
    # A rounded zero must not read "-0": it looks like a sign that means something.
    return text.lstrip("-") if float(text) == 0.0 else text.replace("-", "−")


def figure(
    value: float | None, unit: str = "", *, digits: int = 3, step: float | None = None, trim: bool = False
) -> str:
    """Return `value` with its unit: `2250 rpm`; `not known` when there is none."""
    text = number(value, digits=digits, step=step, trim=trim)
    unit = UNIT_WORDS.get(unit, unit)
    if text == NOT_KNOWN or not unit:
        return text
    return f"{text}{unit}" if unit == "°" else f"{text} {unit}"


def ranged(
    value: float | None,
    interval: Interval | None,
    unit: str = "",
    *,
    apart_from: float | None = None,
    step: float | None = None,
    stated: bool = False,
) -> str:
    """Return `value` with its 90 % interval, both to the step that the interval supports: `2250 rpm (2240–2260)`.

    The ends of the interval are rounded outwards: what is printed never tells a smaller doubt.
    Rounding never carries the figure over `apart_from`, its limit: 64.9 against 65 is not said as 65.
    `step`: rounded to this instead, where the same figure stands so elsewhere on the sheet. `stated`: the figure stands
    in the machine file, and is shown as it stands there.
    """
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    step = step or _told_apart(value, interval, apart_from)
    if stated:
        ends = "" if interval is None or interval[0] == interval[1] else f" {_ends(interval, step)}"
        said = figure(value, unit, digits=_STATED)
        return said + ends
    if interval is None or not all(math.isfinite(end) for end in interval):
        return figure(value, unit, step=step, trim=True)
    if interval[0] == interval[1]:
        return figure(value, unit, step=min(step, _told_apart(value, None, apart_from)), trim=True)
    return f"{figure(value, unit, step=step)} {_ends(interval, step)}"


def _ends(interval: Interval, step: float) -> str:
    """Return both ends in brackets, rounded outwards to a step."""
    low, high = (number(end, step=step) for end in outwards(interval, step))
    return f"({low} to {high})" if "−" in low else f"({low}–{high})"


def outwards(interval: Interval, step: float) -> Interval:
    """Return an interval whose ends stand on a step, never narrower than it was."""
    return math.floor(interval[0] / step + _SAME) * step, math.ceil(interval[1] / step - _SAME) * step


def span(interval: Interval | None, unit: str = "") -> str:
    """Return a range as `64–71 %`."""
    if interval is None or not all(math.isfinite(end) for end in interval):
        return NOT_KNOWN
    low, high = (number(end) for end in interval)
    joined = low if low == high else f"{low} to {high}" if "−" in low + high else f"{low}–{high}"
    unit = UNIT_WORDS.get(unit, unit)
    return f"{joined} {unit}".strip()


def room(window: Interval | None, unit: str = "%", step: float = 0.1) -> str:
    """Return a range to stay inside, rounded inwards: what is printed never lies outside of it."""
    if window is None or not all(math.isfinite(end) for end in window):
        return NOT_KNOWN
    low, high = math.ceil(window[0] / step - 1e-9) * step, math.floor(window[1] / step + 1e-9) * step
    if low > high:
        return "none"
    return f"{number(low, step=step)}–{number(high, step=step)} {unit}"


def percent(share: float | None, *, digits: int = 3) -> str:
    """Return a share of one as percent."""
    if share is None or not math.isfinite(share):
        return NOT_KNOWN
    return figure(100.0 * share, "%", step=1.0 if abs(share) >= 0.1 and digits < 3 else 0.1)


def percent_ranged(share: float | None, interval: Interval | None) -> str:
    """Return a share of one as percent with its interval."""
    if share is None:
        return NOT_KNOWN
    return ranged(100.0 * share, None if interval is None else (100.0 * interval[0], 100.0 * interval[1]), "%")


def duration(seconds: float | None, interval: Interval | None = None) -> str:
    """Return a time as seconds below two minutes and as minutes above: `6.4 min (5.9–7.0)`."""
    if seconds is None or not math.isfinite(seconds):
        return NOT_KNOWN
    if abs(seconds) < 120.0:
        return ranged(seconds, interval, "s")
    ends = None if interval is None else (interval[0] / 60.0, interval[1] / 60.0)
    return ranged(seconds / 60.0, ends, "min")


def clock(seconds: float) -> str:
    """Return a place in a log as `1:04.5`."""
    minutes, rest = divmod(round(max(seconds, 0.0), 1), 60.0)
    return f"{int(minutes)}:{rest:04.1f}"


def unit_shown(unit: str) -> str:
    """Return a unit as people write it: `µs` for `us`."""
    return UNIT_WORDS.get(unit, unit)


def spread_words(reading: Reading) -> str:
    """Return the half width of a reading's 90 % interval, or that nobody stated one."""
    return figure(reading.spread_rpm, "rpm") if reading.spread_rpm else "not stated"


def kept_reading(reading: Reading, taken_on: str, since: Sequence[str] = ()) -> str:
    """Return a kept reading in one line: `75 %: 1962 rpm, spread not stated; kept 3 May 2026, 14:02 UTC`.

    `since`: what changed since it was taken, where it no longer counts.
    """
    void = f"; no longer counts: {', '.join(map(key_name, since))} changed since" if since else ""
    speed = figure(reading.head_speed_rpm, "rpm", digits=5)
    spread = f"± {figure(reading.spread_rpm, 'rpm')}" if reading.spread_rpm else "spread not stated"
    return f"{reading.percent:.4g} %: {speed}, {spread}; kept {moment(taken_on)}{void}"


def moment(text: str) -> str:
    """Return a time of the record, `2026-05-03T14:02:11.123Z`, as `3 May 2026, 14:02 UTC`."""
    from datetime import datetime

    told = datetime.fromisoformat(text)
    return f"{told.day} {told:%B %Y, %H:%M} UTC"


def value_words(value: Value | None) -> str:
    """Return a value of the machine file in the owner's unit, with its spread."""
    if value is None:
        return NOT_KNOWN
    unit = UNIT_WORDS.get(value.unit, value.unit)
    spread = f" ± {number(value.spread_in_unit, digits=2)}" if value.spread_si else ""
    said = number(value.number, digits=4) if value.origin is Origin.DERIVED else f"{value.number:g}"
    return f"{said}{spread} {unit}".strip()


def origin_words(value: Value | None) -> str:
    """Return where a value came from."""
    return "" if value is None else ORIGIN_WORDS[value.origin]


def verdict_figure(verdict: Verdict) -> str:
    """Return the figure of a check with unit and interval, or a dash when it has none."""
    if verdict.figure is None:
        return "–"
    if verdict.check in SHARES and not verdict.unit:
        limit = None if verdict.limit is None else 100.0 * verdict.limit
        ends = verdict.figure_interval
        ends = None if ends is None else (100.0 * ends[0], 100.0 * ends[1])
        return ranged(100.0 * verdict.figure, ends, "%", apart_from=limit)
    return ranged(verdict.figure, verdict.figure_interval, verdict.unit, apart_from=verdict.limit)


def band_words(limit_text: str, unit: str, *, share: bool) -> str:
    """Return both limits of a band, `10 to 25 s`; empty where the text names one limit or none."""
    found = _BAND.fullmatch(limit_text)
    if found is None:
        return ""
    low, high = sorted((100.0 if share else 1.0) * float(found[end]) for end in ("one", "other"))
    return f"{number(low, digits=4)} to {figure(high, '%' if share else unit, digits=4)}"


def limit_words(verdict: Verdict) -> str:
    """Return the limit of a check, or a dash when it has none."""
    band = band_words(verdict.limit_text, verdict.unit, share=verdict.check in SHARES and not verdict.unit)
    if band:
        return band
    sign = {"<=": "≤", ">=": "≥"}.get(verdict.limit_text[:2])
    if verdict.limit is None or sign is None:
        return tidy(verdict.limit_text) or "–"
    if verdict.check in SHARES and not verdict.unit:
        return f"{sign} {figure(100.0 * verdict.limit, '%', digits=4)}"
    return f"{sign} {figure(verdict.limit, verdict.unit, digits=4)}"


def limit_said(limit: Limit) -> str:
    """Return a stated limit with its unit, `80 A`."""
    return figure(limit.value, limit.unit, digits=4)


def _told_apart(value: float, interval: Interval | None, limit: float | None) -> float:
    """Return the rounding step: one digit of the half width, at most four figures, finer only beside a limit.

    No figure is moved by more than 1 %, however wide its doubt, so that it reads alike wherever it stands; but for one
    that may be nothing, its doubt being as large. Own choice.
    """
    half = 0.0 if interval is None else 0.5 * abs(interval[1] - interval[0])
    finest = 10.0 ** (math.floor(math.log10(abs(value))) - 3) if value else 0.01
    step = max(finest, 10.0 ** math.floor(math.log10(half))) if half > 0.0 else 10.0 * finest
    while step > finest and half < abs(value) and abs(round(value / step) * step - value) > MOVED_SHARE * abs(value):
        step /= 10.0
    if limit is None or not math.isfinite(limit) or value == limit:
        return step
    for _ in range(_FINER):
        rounded = round(value / step) * step
        if (rounded < limit) is (value < limit) and not math.isclose(rounded, limit, rel_tol=1e-9):
            break
        step /= 10.0
    return step
