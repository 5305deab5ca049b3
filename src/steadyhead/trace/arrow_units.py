"""Units that a Parquet file holds beside its columns, in the Arrow schema which most writers add to it.

Source: Apache Arrow columnar format, Schema.fbs and Message.fbs, an open standard; FlatBuffers, tables and vectors.
"""

import base64
import binascii
import struct
from typing import NamedTuple

_CONTINUES = b"\xff\xff\xff\xff"
_HEADER, _FIELDS, _NAME, _FIELD_METADATA, _KEY, _VALUE = 2, 1, 0, 6, 0, 1
"""Which field of its table holds each: the schema of a message, its fields, name and remarks of one, key and value."""
_UNIT_KEYS = ("unit", "units", "einheit")
_MOST_FIELDS, _MOST_PAIRS = 2000, 50
"""More columns, or remarks on one, are not gone through: own choice."""


class _Table(NamedTuple):
    """A table of a flat buffer: where it begins."""

    data: bytes
    at: int

    def _offset(self, field: int) -> int | None:
        (back,) = struct.unpack_from("<i", self.data, self.at)
        vtable = self.at - back
        (size,) = struct.unpack_from("<H", self.data, vtable)
        if 4 + 2 * field + 2 > size:
            return None
        (offset,) = struct.unpack_from("<H", self.data, vtable + 4 + 2 * field)
        return self.at + offset if offset else None

    def _behind(self, field: int) -> int | None:
        at = self._offset(field)
        return None if at is None else at + int(struct.unpack_from("<I", self.data, at)[0])

    def table(self, field: int) -> "_Table | None":
        """Return the table in a field, or None."""
        at = self._behind(field)
        return None if at is None else _Table(self.data, at)

    def tables(self, field: int, most: int) -> list["_Table"]:
        """Return the tables of the vector in a field, so many at most."""
        at = self._behind(field)
        if at is None:
            return []
        (count,) = struct.unpack_from("<I", self.data, at)
        places = (at + 4 + 4 * k for k in range(min(count, most)))
        return [_Table(self.data, place + int(struct.unpack_from("<I", self.data, place)[0])) for place in places]

    def text(self, field: int) -> str:
        """Return the text in a field, or nothing."""
        at = self._behind(field)
        if at is None:
            return ""
        (length,) = struct.unpack_from("<I", self.data, at)
        return self.data[at + 4 : at + 4 + length].decode("utf-8", "replace")


def units_in(schema: str | None) -> dict[str, str]:
    """Return the unit of each column that has one, by its name; nothing where the schema cannot be read."""
    if not schema:
        return {}
    try:
        data = base64.b64decode(schema)
        start = 8 if data[:4] == _CONTINUES else 4
        (root,) = struct.unpack_from("<I", data, start)
        message = _Table(data[start:], root).table(_HEADER)
        fields = message.tables(_FIELDS, _MOST_FIELDS) if message is not None else []
        named = {field.text(_NAME): _unit(field) for field in fields}
    except (struct.error, binascii.Error, ValueError, IndexError, OverflowError):
        return {}
    return {name: unit for name, unit in named.items() if unit}


def _unit(field: _Table) -> str:
    pairs = field.tables(_FIELD_METADATA, _MOST_PAIRS)
    said = {pair.text(_KEY).strip().casefold(): pair.text(_VALUE).strip() for pair in pairs}
    return next((said[key] for key in _UNIT_KEYS if key in said), "")
