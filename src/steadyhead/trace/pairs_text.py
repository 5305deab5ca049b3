"""Lines that name every value, JSON objects or `name=value` pairs, turned into a table with headings."""

import json
import re
from itertools import islice
from typing import Any

from steadyhead.words.errors import InputError

_PAIR = re.compile(r"\s*([^=;,\t]+?)\s*=\s*([^=;\t]*?)\s*")
_ONE_DOCUMENT = re.compile(rb"\s*(\[\s*[\[{]|\{\s*\n\s*\"|\{\s*\"[^\"\n]*\"\s*:\s*[\[{])")
"""An array of objects or of rows, or an object of columns."""
_BEGINNING = 4096
_LOOKED_AT = 200
"""Lines in which every name is met once; own choice."""
_FEWEST = 2


def as_table(name: str, data: bytes) -> tuple[bytes, tuple[str, ...]]:
    """Return the text with one row of headings and tabs between cells where its lines name their values; else as it is.

    A line that does not, is kept as a row without cells, so that it is counted.

    Raises: InputError when it is one JSON document.
    """
    if _ONE_DOCUMENT.match(data[:_BEGINNING]):
        raise InputError(name, read="one JSON document", right="one JSON object a line, or a text table (CSV)")
    first = data[: data.find(b"\n")] if b"\n" in data else data
    read = _object_in if first.lstrip()[:1] == b"{" else _pairs_in if first.count(b"=") >= _FEWEST else None
    if read is None or read(first.decode("utf-8", "replace")) is None:
        return data, ()
    rows = [read(line) for line in data.decode("utf-8", "replace").splitlines() if line.strip()]
    names = list(dict.fromkeys(name for row in islice(rows, _LOOKED_AT) if row for name in row))
    lines = ["\t".join(name.replace("\t", " ") for name in names)]
    lines += ["\t".join(_cell(row.get(name)) for name in names) if row else "?" for row in rows]
    return ("\n".join(lines) + "\n").encode(), ("every line names its values: turned into a table",)


def _object_in(line: str) -> dict[str, Any] | None:
    try:
        found = json.loads(line)
    except (ValueError, RecursionError):
        return None
    flat = isinstance(found, dict) and not any(isinstance(value, dict | list) for value in found.values())
    return found if flat and len(found) >= _FEWEST else None


def _pairs_in(line: str) -> dict[str, Any] | None:
    parts = [part for part in re.split(r"[;\t]|,\s|,(?=[^\d])|\s(?=\S+=)", line.strip()) if part.strip()]
    pairs = [_PAIR.fullmatch(part) for part in parts]
    found = {pair[1]: pair[2] for pair in pairs if pair}
    return found if all(pairs) and len(found) >= _FEWEST else None


def _cell(value: Any) -> str:
    return "" if value is None else str(value).replace("\t", " ").replace("\n", " ")
