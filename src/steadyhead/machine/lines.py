"""Which line of a TOML text a key stands on; the TOML reader of Python does not tell."""

import re
from collections.abc import Iterator, Mapping, Sequence

Path = tuple[str | int, ...]

_PART = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*')"""
_DOTTED = re.compile(rf"\s*({_PART}(?:[ \t]*\.[ \t]*{_PART})*)[ \t]*")
_ONE = re.compile(_PART)
_ASIDE = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}' r"|'''.*?'{3,5}" r'|"(?:[^"\\\n]|\\.)*"' r"|'[^'\n]*'" r"|\#[^\n]*", re.DOTALL
)
"""A string or a comment: brackets and commas in it mean nothing."""


DEEPEST = 8
"""Keys below this many tables are placed at the table above them: no machine file goes so deep."""


def key_lines(text: str) -> dict[Path, int]:
    """Return the line (from 1) of every table and key in a TOML text that reads without error.

    Rows of arrays of tables count from 0, as TOML readers count them.
    """
    lines: dict[Path, int] = {}
    for path, line in _keys(text):
        lines.setdefault(path, line)
    return lines


def line_of(lines: Mapping[Path, int], path: Sequence[str | int]) -> int | None:
    """Return the line of a key, else that of the nearest table above it, else None."""
    want = tuple(path)
    while want and want not in lines:
        want = want[:-1]
    return lines.get(want)


def _keys(text: str) -> Iterator[tuple[Path, int]]:
    """Yield the path and line of every header and key, in the order of the text."""
    table: Path = ()
    rows: dict[Path, int] = {}
    for line, statement in _statements(text):
        stripped = statement.lstrip()
        if stripped.startswith("[["):
            table = _row(_parts(stripped[2:]), rows, opens=True)
            yield table[:-1], line
            yield table, line
        elif stripped.startswith("["):
            table = _row(_parts(stripped[1:]), rows, opens=False)
            yield table, line
        else:
            yield from _of_pair(statement, table, line)


def _of_pair(pair: str, table: Path, line: int) -> Iterator[tuple[Path, int]]:
    """Yield a key, the tables that its dots open, and the keys of an inline table behind it."""
    match = _DOTTED.match(pair)
    if not match or pair[match.end() : match.end() + 1] != "=":
        return
    path = table + _split(match[1])
    for end in range(len(table) + 1, min(len(path), DEEPEST) + 1):
        yield path[:end], line + pair.count("\n", 0, match.start(1))
    inside = re.compile(r"\s*\{").match(pair, match.end() + 1)
    if inside:
        for start, part in _inline_parts(pair, inside.end()):
            yield from _of_pair(part, path, line + pair.count("\n", 0, start))


def _statements(text: str) -> Iterator[tuple[int, str]]:
    """Yield line and text of each statement: one line, or more where brackets or long strings go on."""
    at, start, depth, line, start_line, first = 0, 0, 0, 1, 1, ""
    while at < len(text):
        char = text[at]
        aside = _ASIDE.match(text, at) if char in "\"'#" else None
        end = aside.end() if aside else at + 1
        first = first or char.strip()
        line += text.count("\n", at, end)
        if not aside and char in "[{":
            depth += 1
        elif not aside and char in "]}":
            depth = max(depth - 1, 0)
        elif char == "\n" and (depth == 0 or first == "["):
            yield start_line, text[start:at]
            start, start_line, depth, first = end, line, 0, ""
        at = end
    yield start_line, text[start:]


def _inline_parts(text: str, at: int) -> Iterator[tuple[int, str]]:
    """Yield start and text of each pair of an inline table whose brace opened just before `at`."""
    start, depth = at, 0
    while at < len(text):
        aside = _ASIDE.match(text, at) if text[at] in "\"'#" else None
        if aside:
            at = aside.end()
            continue
        if text[at] in "[{":
            depth += 1
        elif text[at] in "]}" and depth == 0:
            break
        elif text[at] in "]}":
            depth -= 1
        elif text[at] == "," and depth == 0:
            yield start, text[start:at]
            start = at + 1
        at += 1
    yield start, text[start:at]


def _parts(text: str) -> Path:
    match = _DOTTED.match(text)
    return _split(match[1]) if match else ()


def _split(dotted: str) -> Path:
    return tuple(part[1:-1] if part[0] in "\"'" else part for part in _ONE.findall(dotted))


def _row(path: Path, rows: dict[Path, int], *, opens: bool) -> Path:
    """Return the path with row numbers put in behind every array of tables that it passes through."""
    here: Path = ()
    for number, part in enumerate(path, start=1):
        here = (*here, part)
        if opens and number == len(path):
            rows[here] = rows.get(here, -1) + 1
        if here in rows:
            here = (*here, rows[here])
    return here
