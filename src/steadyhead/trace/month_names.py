"""Stamps with the month as a word, `03-May-2026 14:07:11`, `Sun May 03 14:07:11 2026`, written as ISO 8601 does."""

import re
from typing import Any

import polars as pl

_MONTHS = {
    "jan": "01", "feb": "02", "mar": "03", "mär": "03", "mrz": "03", "apr": "04", "may": "05", "mai": "05", "jun": "06",
    "jul": "07", "aug": "08", "sep": "09", "oct": "10", "okt": "10", "nov": "11", "dec": "12", "dez": "12",
}  # fmt: skip
"""The first three letters of a month, English and German."""
_WEEKDAY = r"(?:\p{L}{2,9}[.,]*\s+)?"
_MONTH = r"(?P<month>\p{L}{3})\p{L}{0,6}\.?"
_DAY, _YEAR = r"(?P<day>\d{1,2})", r"(?P<year>\d{4})"
_TIME = r"(?P<time>\d{1,2}:\d{2}\S*(?:\s[AaPp]\.?[Mm]\.?)?)"
_FORMS = (
    rf"^{_WEEKDAY}{_DAY}[-/.\s]+{_MONTH}[-/.,\s]+{_YEAR}[T,\s]+{_TIME}$",
    rf"^{_WEEKDAY}{_MONTH}\s+{_DAY},?\s+{_YEAR}[T,\s]+{_TIME}$",
    rf"^{_WEEKDAY}{_MONTH}\s+{_DAY},?\s+{_TIME}\s+(?:[A-Z]{{2,5}}\s+)?{_YEAR}$",
)
_PYTHON_FORMS = tuple(re.compile(form.replace(r"\p{L}", r"[^\W\d_]")) for form in _FORMS)


def names_a_month(cell: str) -> bool:
    """Whether a cell is a day with the month as a word, and a time."""
    found = next((match for form in _PYTHON_FORMS if (match := form.match(cell))), None)
    return found is not None and found["month"].casefold() in _MONTHS


def with_month_numbers(text: Any) -> Any:
    """Return stamps as year, month, day and time; what is no such stamp as it was. Shapes: (n,) -> (n,)"""
    told = text
    for form in _FORMS:
        parts = text.str.extract_groups(form).struct.unnest()
        month = parts["month"].str.to_lowercase().replace_strict(_MONTHS, default=None, return_dtype=pl.String)
        stamp = parts["year"] + "-" + month + "-" + parts["day"].str.zfill(2) + "T" + parts["time"]
        told = pl.select(pl.coalesce(stamp, told)).to_series()
    return told
