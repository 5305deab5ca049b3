"""A machine file with some values changed, and every other line of its owner kept as it stands."""

import re
from collections.abc import Mapping

from steadyhead.machine.lines import key_lines

_BARE = re.compile(r'(?:[^"\'#]|"(?:[^"\\]|\\.)*"|\'[^\']*\')*')
"""A line up to its remark."""


def rewritten(text: str, values: Mapping[str, str]) -> tuple[str, tuple[str, ...]]:
    """Return a machine file with other values, and the keys that it has no simple line for.

    `values` holds what stands behind the equals sign, by "table.key". A key that is not there yet is put below its own
    remark line or at the end of its table; a table that is not there yet is put at the end of the file.
    Valid: a text that reads without error; a key inside an inline table is left alone and named.
    """
    left_alone: list[str] = []
    for key, value in values.items():
        changed = _changed(text, key, value)
        if changed is None:
            left_alone.append(key)
        else:
            text = changed
    return text, tuple(left_alone)


def with_rows(text: str, table: str, rows: tuple[Mapping[str, str], ...]) -> str:
    """Return a machine file with rows of an array of tables put behind its last line."""
    parts = [text.rstrip("\n")]
    for row in rows:
        parts.append("\n".join(["", f"[[{table}]]", *(f"{key} = {value}" for key, value in row.items())]))
    return "\n".join(parts) + "\n"


def _changed(text: str, key: str, value: str) -> str | None:
    table, _, name = key.rpartition(".")
    places, rows = key_lines(text), text.split("\n")
    line = places.get((table, name))
    if line is not None:
        return _replaced(rows, line - 1, name, value)
    head = places.get((table,))
    if head is None:
        return text.rstrip("\n") + f"\n\n[{table}]\n{name} = {value}\n"
    if not rows[head - 1].lstrip().startswith("["):
        return None
    starts = [at - 1 for path, at in places.items() if len(path) <= 2 and at > head and _is_header(rows[at - 1])]
    end = min(starts, default=len(rows))
    at = _place(rows, head, end, name)
    rows.insert(at, f"{name} = {value}")
    return "\n".join(rows)


def _replaced(rows: list[str], at: int, name: str, value: str) -> str | None:
    """Return the text with a new value in one line; None where key and value do not stand on one line of their own."""
    before, sign, _ = rows[at].partition("=")
    if not sign or before.strip().rpartition(".")[2].strip("\"'") != name:
        return None
    behind = rows[at][len(before) + 1 :]
    bare = _BARE.match(behind)
    stated = bare[0] if bare else behind
    if stated.count("{") != stated.count("}") or stated.count("[") != stated.count("]") or '"""' in behind:
        return None
    remark = behind[len(stated) :]
    rows[at] = f"{before}= {value}{'  ' + remark if remark else ''}"
    return "\n".join(rows)


def _place(rows: list[str], head: int, end: int, name: str) -> int:
    """Return where a new key of a table goes: below its own remark line, else below the last line of the table."""
    for at in range(head, end):
        if re.match(rf"\s*#\s*{re.escape(name)}\s*=", rows[at]):
            return at + 1
    at = end
    while at > head and (not rows[at - 1].strip() or rows[at - 1].lstrip().startswith("#")):
        at -= 1
    return at


def _is_header(row: str) -> bool:
    return row.lstrip().startswith("[")
