"""How a text log is laid out, judged from its first lines: delimiter, decimal mark, headings, units, remarks."""

import csv
import re
from collections import Counter
from dataclasses import dataclass
from itertools import islice

from steadyhead.trace.headings import heading_of
from steadyhead.trace.units import units_named
from steadyhead.words.errors import InputError

DELIMITERS = ("\t", ";", "|", ",", " ")
SELDOM_IN_TEXT = ("\t", ";", "|")
DELIMITER_NAMES = {"\t": "tabs", ";": "semicolons", "|": "bars", ",": "commas", " ": "spaces"}
MISSING = (
    "",
    "--",
    "-",
    "---",
    "n/a",
    "N/A",
    "NA",
    "na",
    "nan",
    "NaN",
    "NAN",
    "null",
    "NULL",
    "None",
    "?",
    "#N/A",
    "*",
    "**",
    "***",
    "****",
)
_NUMBER = re.compile(r"^[+-]?(\d[\d.,'’   ]*|[.,]\d+)(e[+-]?\d+)?\s*(%|°?[a-zA-Zµ]{0,4})$", re.IGNORECASE)
_COMMA_NUMBER = re.compile(r"[+-]?\d+,\d+")
_COMMA_MANTISSA = re.compile(r"[+-]?\d,\d+e[+-]?\d+", re.IGNORECASE)
_DIGITS = re.compile(r"[+-]?[\d.,]+")
_VALUE_WITH_UNIT = re.compile(r"[+-]?\d+([.,]\d+)?\s*(%|°?[a-zA-Zµ]+)")
_STAMP = re.compile(
    r"^(\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4})?[T ]*(\d{1,2}:\d{2}(:\d{2})?([.,]\d+)?)?\s*([AaPp]\.?[Mm]\.?)?"
    r"(Z|[+-]\d{2}:?\d{2})?$"
)
_WORDS_OF_NUMBERS = {"inf", "-inf", "+inf", "infinity", "-infinity"}
WHOLE_UNITS = {"mv", "ma", "us", "rpm", "1/min", "min-1", "min^-1", "u/min", "tr/min", "giri/min", "omw/min", "obr/min"}
"""Units that are written without decimals; common practice, no source."""
_RULE = re.compile(r"[:=+_*-]{2,}|[:-]-+:?")
_KINDS = re.compile(
    r"(u?int|float|double|real)(\d+|eger)?|bool(ean)?|str(ing)?|text|num(ber|eric)?|date(time)?|time|category"
)
"""What a row of kinds below the headings may say of a column."""
_SAMPLE_LINES = 160
COLUMN_LIMIT = 2000
HEADING_LIMIT = 120
"""Characters of a heading that are kept: what is longer is no heading, and would fill the terminal in a question."""


@dataclass(frozen=True, kw_only=True)
class Layout:
    """How a text log is written. Line numbers count from 1, as an editor shows them."""

    delimiter: str
    width: int
    headings: tuple[str, ...]
    units: tuple[str, ...]
    remarks: tuple[str, ...]
    first_data_line: int
    sample: tuple[tuple[str, ...], ...]
    decimal_comma: bool
    trailing: bool
    """Every row ends with a delimiter that parts nothing."""


def layout_of(name: str, head: str) -> Layout:
    """Return the layout of a text log whose first lines are `head`.

    Raises: InputError when there are no rows below the headings, or one column only.
    """
    lines = [line.rstrip("\r") for line in head.split("\n")]
    delimiter = _delimiter_of(name, lines)
    first, above = _above_data(name, lines, delimiter)
    below = (tuple(split(line, delimiter)) for line in lines[first:])
    sample = tuple(islice((row for row in below if any(row)), _SAMPLE_LINES))
    width = Counter(map(len, sample)).most_common(1)[0][0]
    trailing = all(len(row) == width and not row[-1] for row in sample) and width > 2
    heading_row, unit_row, remark_rows = _above(above, width, lines)
    if trailing and (heading_row is None or len(heading_row) < width or not any(heading_row[width - 1 :])):
        width -= 1
    else:
        trailing = False
    headings = _padded(name, heading_row, width)
    return Layout(
        delimiter=delimiter,
        width=width,
        headings=headings,
        units=tuple((unit_row + ("",) * width)[:width]),
        remarks=remark_rows,
        first_data_line=first + 1,
        sample=tuple(row[:width] for row in sample if len(row) >= width),
        decimal_comma=_decimal_comma(sample, delimiter, headings, unit_row),
        trailing=trailing,
    )


def split(line: str, delimiter: str) -> list[str]:
    """Return the cells of one line, stripped; a run of spaces is one delimiter."""
    if delimiter == " ":
        return line.split()
    if '"' not in line:
        return [cell.strip() for cell in line.split(delimiter)] if line else []
    try:
        cells = next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        cells = line.split(delimiter)
    return [cell.strip() for cell in cells]


def _width_of(line: str, delimiter: str) -> int:
    """Return how many cells a line has, without splitting it where that can be told from its delimiters."""
    if delimiter == " " or '"' in line:
        return len(split(line, delimiter))
    return line.count(delimiter) + 1 if line else 0


def reads_as_value(cell: str) -> bool:
    """Whether a cell may stand in a data row: a number, a stamp, or a sign for nothing there."""
    low = cell.casefold()
    return bool(cell in MISSING or _NUMBER.match(cell) or low in _WORDS_OF_NUMBERS or (cell and _STAMP.match(cell)))


def _delimiter_of(name: str, lines: list[str]) -> str:
    plain = (line for line in lines if line.strip() and not line.startswith(("#", "//")))
    body = list(islice(plain, _SAMPLE_LINES)) or [line for line in lines if line.strip()]
    scores = {delimiter: _score(body, delimiter) for delimiter in DELIMITERS}
    parted = any(_parts_every_line(body, delimiter) for delimiter in SELDOM_IN_TEXT)
    if parted or (_parts_every_line(body, ",") and _many_commas_between_spaces(body)):
        scores[" "] = 0.0  # the spaces stand inside the cells
    if _parts_every_line(body, " ") and _commas_are_decimal(body):
        scores[","] = 0.0
    best = max(DELIMITERS, key=lambda d: scores[d])
    if scores[best] <= 0.0:
        raise InputError(
            name,
            read="one column, or lines that do not split into cells",
            right="a table with a time column and values",
        )
    return best


def _parts_every_line(body: list[str], delimiter: str) -> bool:
    widths = Counter(len(split(line, delimiter)) for line in body)
    width, times = widths.most_common(1)[0] if widths else (0, 0)
    return width > 2 and times >= 0.9 * len(body)


def _many_commas_between_spaces(body: list[str]) -> bool:
    """Whether most lines hold two commas or more between two spaces, as no number with a decimal comma does."""
    return sum(any(cell.count(",") > 1 for cell in line.split()) for line in body) > 0.5 * len(body)


def _commas_are_decimal(body: list[str]) -> bool:
    """Whether, in most lines, whatever holds a comma between spaces is one number with a decimal comma."""
    held = [[cell for cell in line.split() if "," in cell] for line in body]
    return sum(bool(cells) and all(map(_COMMA_NUMBER.fullmatch, cells)) for cells in held) >= 0.9 * len(body)


def _score(body: list[str], delimiter: str) -> float:
    rows = [split(line, delimiter) for line in body]
    width, times = Counter(map(len, rows)).most_common(1)[0] if rows else (0, 0)
    if width < 2:
        return 0.0
    cells = [cell for row in rows if len(row) == width for cell in row if cell]
    readable = sum(map(reads_as_value, cells)) / len(cells) if cells else 0.0
    return times / len(rows) * (readable + 0.05) * (0.9 if delimiter == " " else 1.0)


def _above_data(name: str, lines: list[str], delimiter: str) -> tuple[int, list[tuple[str, ...]]]:
    """Return which line holds the first row of data, from 0, and the cells of the lines above it."""
    widths = [_width_of(line, delimiter) for line in lines]
    several = Counter(width for width in widths if width > 1).most_common(1)
    usual = several[0][0] if several else 0
    if usual > COLUMN_LIMIT:
        raise InputError(name, read=f"{usual} columns", right=f"at most {COLUMN_LIMIT} columns")
    above: list[tuple[str, ...]] = []
    for at, line in enumerate(lines):
        row = tuple(split(line, delimiter))
        below = tuple(split(lines[at + 1], delimiter)) if at + 1 < len(lines) else ()
        first = not any(len(known) > 1 for known in above)
        if widths[at] >= max(2, usual - 1) and _is_data(row) and not (first and _heads(row, below)):
            return at, above
        above.append(() if _is_rule(row) or _is_kind_row(row) else row)
    titles = next((row for row in above if len(row) > 1), ())
    raise InputError(
        name,
        read=f"{len(titles)} headings parted by {DELIMITER_NAMES[delimiter]} and no data rows",
        right="headings with rows of numbers below them",
    )


def _is_data(row: tuple[str, ...]) -> bool:
    filled = [cell for cell in row if cell]
    if not any(cell.lstrip("+")[:1].isdigit() for cell in filled):
        return False
    return sum(map(reads_as_value, filled)) >= 0.5 * len(filled) and not is_unit_row(row)


def _heads(row: tuple[str, ...], below: tuple[str, ...]) -> bool:
    """Whether a row with figures in it still holds headings, as `1` to `12` for cells: words stand over numbers."""
    return sum(not reads_as_value(cell) and bool(_NUMBER.match(low)) for cell, low in zip(row, below, strict=False)) > 1


def _is_rule(row: tuple[str, ...]) -> bool:
    """Whether a line only draws a rule below the headings."""
    filled = [cell for cell in row if cell]
    return len(row) > 1 and bool(filled) and all(map(_RULE.fullmatch, filled))


def _is_kind_row(row: tuple[str, ...]) -> bool:
    """Whether a line says the kind of each column, as `float` or `int`."""
    filled = [cell.casefold().strip("()[]<>") for cell in row if cell]
    return len(filled) > 1 and all(map(_KINDS.fullmatch, filled)) and len(set(filled)) < len(filled)


def _joined(upper: tuple[str, ...], names: tuple[str, ...]) -> tuple[str, ...]:
    """Put the names of devices in the row above before headings that alone do not tell columns apart."""
    said = [name.casefold() for name in names]
    if len(upper) != len(names) or (len(set(said)) == len(said) and all(said)):
        return names
    return tuple(f"{above} {name}".strip() for above, name in zip(upper, names, strict=True))


def is_unit_row(row: tuple[str, ...]) -> bool:
    """Whether most cells of a row are units."""
    filled = [cell.strip("()[]{}<>") for cell in row if cell.strip("()[]{}<>-")]
    return bool(filled) and sum(_is_unit(cell) for cell in filled) >= 0.6 * len(filled)


def _is_unit(cell: str) -> bool:
    return bool(units_named(cell)) and not _VALUE_WITH_UNIT.fullmatch(cell)


def _above(
    rows: list[tuple[str, ...]], width: int, lines: list[str]
) -> tuple[tuple[str, ...] | None, tuple[str, ...], tuple[str, ...]]:
    """Part what stands above the data into the heading row, the unit row and the remarks."""
    several = [at for at, row in enumerate(rows) if sum(map(bool, row)) > 1]
    near = [at for at in several if not lines[at].startswith(("#", "//"))]
    near = near or [at for at in several if len(rows[at]) == width][-1:]
    heading: tuple[str, ...] | None = None
    units: tuple[str, ...] = ()
    used: set[int] = set()
    if near:
        last = near[-1]
        used.add(last)
        heading = rows[last]
        if len(near) > 1 and is_unit_row(rows[last]) and not is_unit_row(rows[near[-2]]):
            heading, units = rows[near[-2]], rows[last]
            used.add(near[-2])
            near = near[:-1]
        if len(near) > 1 and not is_unit_row(rows[near[-2]]):
            joined = _joined(rows[near[-2]], heading)
            used |= {near[-2]} if joined != heading else set()
            heading = joined
    if heading:
        heading = (heading[0].lstrip("#/% "), *heading[1:])
    remarks = tuple(lines[at].strip().lstrip("#/ ") for at in range(len(rows)) if at not in used and lines[at].strip())
    return heading, units, remarks


def _padded(name: str, heading_row: tuple[str, ...] | None, width: int) -> tuple[str, ...]:
    if heading_row is None:
        return tuple(f"column {at + 1}" for at in range(width))
    named = len(heading_row)
    while named > width and not heading_row[named - 1]:
        named -= 1
    if named != width:
        raise InputError(
            name,
            read=f"{named} headings over rows of {width} cells",
            right="as many cells in each row as there are headings (a decimal comma in a file parted by commas?)",
        )
    return tuple(cell[:HEADING_LIMIT] or f"column {at + 1}" for at, cell in enumerate(heading_row[:width]))


def _decimal_comma(
    sample: tuple[tuple[str, ...], ...], delimiter: str, headings: tuple[str, ...], units: tuple[str, ...]
) -> bool:
    """Whether the comma is the decimal mark; 1,234 alone is a thousand only beside decimal points, or evidently."""
    if any(_COMMA_MANTISSA.fullmatch(cell) for row in sample for cell in row):
        return delimiter != ","
    cells = [cell for row in sample for cell in row if _DIGITS.fullmatch(cell)]
    both = [cell for cell in cells if "," in cell and "." in cell]
    if both:
        return sum(cell.rfind(",") > cell.rfind(".") for cell in both) * 2 > len(both)
    commas = [cell for cell in cells if cell.count(",") == 1]
    if delimiter == "," and not commas:
        return False
    points = [cell for cell in cells if "." in cell]
    if bool(points) != bool(commas) and _groups_thousands("," if commas else ".", sample, headings, units):
        return not commas
    grouped = [cell for cell in commas if re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", cell)]
    if len(grouped) == len(commas) and (points or not commas):
        return False
    return bool(commas)


def _groups_thousands(
    mark: str, sample: tuple[tuple[str, ...], ...], headings: tuple[str, ...], units: tuple[str, ...]
) -> bool:
    """Whether a mark that is the only one in a file groups thousands in all that it is seen in, and in one evidently.

    Evident is a column that holds 635 beside 33,210, for one that wrote decimals would write 635,000; and one in whole
    units, such as millivolts.
    """
    thousands = re.compile(rf"[+-]?[1-9]\d{{0,2}}(?:{re.escape(mark)}\d{{3}})+")
    evident = False
    for at, heading in enumerate(headings):
        cells = [row[at] for row in sample if at < len(row) and _DIGITS.fullmatch(row[at])]
        marked = [cell for cell in cells if mark in cell]
        if not all(map(thousands.fullmatch, marked)):
            return False
        if marked and all(mark in cell or len(cell.lstrip("+-")) < 4 for cell in cells):
            unit = heading_of(heading, (units + ("",) * len(headings))[at]).unit
            evident |= len(marked) < len(cells) or (unit is not None and unit.key in WHOLE_UNITS)
    return evident
