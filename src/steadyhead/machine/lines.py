"""Which line of a TOML text a key stands on; the TOML reader of Python does not tell."""

import re
from collections.abc import Iterator, Sequence

_BARE = r"[A-Za-z0-9_-]+"
_PART = rf"""(?:{_BARE}|"(?:[^"\\]|\\.)*"|'[^']*')"""
_DOTTED = re.compile(rf"[ \t]*({_PART}(?:[ \t]*\.[ \t]*{_PART})*)[ \t]*")
_ONE = re.compile(_PART)
_SKIP = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}' r"|'''.*?'{3,5}" r'|"(?:[^"\\\n]|\\.)*"' r"|'[^'\n]*'" r"|\#[^\n]*", re.DOTALL
)

Path = tuple[str | int, ...]


def key_line(text: str, path: Sequence[str | int]) -> int | None:
    """Return the line (from 1) on which the key `path` stands, or of the table above it, else None.

    Rows of arrays of tables count from 0, as TOML readers count them.
    """
    want = tuple(path)
    lines: dict[Path, int] = {}
    for at, line in _keys(text):
        lines.setdefault(at, line)
    while want:
        if want in lines:
            return lines[want]
        want = want[:-1]
    return None


def _keys(text: str) -> Iterator[tuple[Path, int]]:
    """Yield the path and line of every header and key, in the order of the text."""
    table: Path = ()
    rows: dict[Path, int] = {}
    for start, statement in _statements(text):
        line = text.count("\n", 0, start) + 1
        stripped = statement.lstrip()
        if stripped.startswith("[["):
            table = _row(_parts(stripped[2:]), rows, opens=True)
            yield table[:-1], line
            yield table, line
        elif stripped.startswith("["):
            table = _row(_parts(stripped[1:]), rows, opens=False)
            yield table, line
        else:
            match = _DOTTED.match(statement)
            if match:
                yield from _of_value(statement, match.end(), table + _split(match[1]), line)


def _of_value(statement: str, at: int, path: Path, line: int) -> Iterator[tuple[Path, int]]:
    """Yield a key, the tables its dots open, and the keys of an inline table behind it."""
    for end in range(1, len(path)):
        yield path[:end], line
    yield path, line
    equals = statement.find("=", at)
    brace = statement[equals + 1 :].lstrip()[:1] if equals >= 0 else ""
    if brace == "{":
        inside = statement.index("{", equals) + 1
        for start, part in _inline_parts(statement, inside):
            match = _DOTTED.match(part)
            if match and part[match.end() : match.end() + 1] == "=":
                below = line + statement.count("\n", 0, start)
                yield from _of_value(part, match.end(), path + _split(match[1]), below)


def _statements(text: str) -> Iterator[tuple[int, str]]:
    """Yield start and text of each statement: a line, or more where brackets or long strings go on."""
    at, start, depth = 0, 0, 0
    header = True
    while at < len(text):
        char = text[at]
        skipped = _SKIP.match(text, at) if char in "\"'#" else None
        if skipped:
            at = skipped.end()
            continue
        if char in "[{":
            depth += 1
        elif char in "]}":
            depth = max(depth - 1, 0)
        elif char == "\n" and (depth == 0 or header):
            yield start, text[start:at]
            start, depth = at + 1, 0
        at += 1
        header = text[start:at].lstrip()[:1] == "[" or not text[start:at].strip()
    yield start, text[start:]


def _inline_parts(text: str, at: int) -> Iterator[tuple[int, str]]:
    start, depth = at, 0
    while at < len(text):
        skipped = _SKIP.match(text, at) if text[at] in "\"'#" else None
        if skipped:
            at = skipped.end()
            continue
        if text[at] in "[{":
            depth += 1
        elif text[at] in "]}":
            if depth == 0:
                break
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
    """Return the path with row numbers put in behind every array of tables it passes through."""
    here: Path = ()
    for number, part in enumerate(path):
        here = (*here, part)
        last = number == len(path) - 1
        if opens and last:
            rows[here] = rows.get(here, -1) + 1
        if here in rows:
            here = (*here, rows[here])
    return here
