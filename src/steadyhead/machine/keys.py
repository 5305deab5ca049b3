"""How a key is declared in a table: one declaration feeds the reader, the JSON Schema, the defaults and the manual."""

import re
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from steadyhead.machine.kind import Kind
from steadyhead.machine.quantity import FILE_ORIGINS, NOTE, SPREAD_MARK, UNSIGNED, NotAQuantity, parsed, shown, told
from steadyhead.machine.units import DIFFERENCES, FAMILIES
from steadyhead.words.value import Value

SHARED = "shared"
"""Marks a schema that many keys have in common, for `schema` to describe once under this name."""


class Missing(StrEnum):
    """What happens when a key is left out."""

    REQUIRED = "required"
    TYPICAL = "typical"
    UNKNOWN = "unknown"
    UNUSED = "not used"


@dataclass(frozen=True, kw_only=True)
class Key:
    """What the manual says of a key, and what happens when it is left out."""

    says: str
    missing: Missing = Missing.UNKNOWN

    def read(self, raw: Any) -> Any:
        """Return what stands in the file as the machine holds it."""
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema of what may stand in the file."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Let pydantic read the key with `read`."""
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """Let pydantic describe the key with `schema`."""
        return {"description": self.says} | self.schema()


@dataclass(frozen=True, kw_only=True)
class Quantity(Key):
    """A number with a unit, a spread and an origin."""

    kind: Kind

    def read(self, raw: Any) -> Value:
        """Return what stands in the file as a value."""
        try:
            return parsed(raw, self.kind)
        except NotAQuantity as trouble:
            raise refused(trouble.read, trouble.right) from trouble

    def schema(self) -> dict[str, Any]:
        """Return the schema that all keys of this kind share."""
        kind = self.kind
        name = kind.family.replace(" ", "_")
        if not kind.unit:
            name += f"_{kind.low:g}_to_{kind.high:g}"
        elif kind.low < 0:
            name += "_of_any_sign"
        return {SHARED: name, "schema": quantity_schema(kind)}


@dataclass(frozen=True, kw_only=True)
class Count(Key):
    """An exact whole number: teeth, blades, cells, poles. It has no spread."""

    low: int
    high: int
    even: bool = False
    thing: str

    def read(self, raw: Any) -> Value:
        """Return what stands in the file as an exact value."""
        number = raw
        if isinstance(raw, dict):
            if "value" not in raw or "spread" in raw:
                raise refused(shown(raw), f"{self.wanted}, or {{value, from, note}}: a count has no spread")
            number = raw["value"]
        if isinstance(number, bool) or not isinstance(number, int):
            raise refused(shown(number), self.wanted)
        if not self.low <= number <= self.high or (self.even and number % 2):
            raise refused(shown(number), self.wanted)
        try:
            origin, note = told(raw if isinstance(raw, dict) else {})
        except NotAQuantity as trouble:
            raise refused(trouble.read, trouble.right) from trouble
        return Value(number=float(number), unit="", si=float(number), spread_si=0.0, origin=origin, note=note)

    @property
    def wanted(self) -> str:
        """What would be right, in words."""
        even = "an even" if self.even else "a whole"
        return f"{even} number of {self.thing} from {self.low} to {self.high}"

    def schema(self) -> dict[str, Any]:
        """Return the schema of the bare number and of the table."""
        number: dict[str, Any] = {"type": "integer", "minimum": self.low, "maximum": self.high}
        if self.even:
            number["multipleOf"] = 2
        return {"anyOf": [number, _table_schema({"value": number})]}


@dataclass(frozen=True, kw_only=True)
class Flag(Key):
    """true or false."""

    def read(self, raw: Any) -> bool:
        """Return the flag."""
        if not isinstance(raw, bool):
            raise refused(shown(raw), "true or false, without quotes")
        return raw

    def schema(self) -> dict[str, Any]:
        """Return the schema of a flag."""
        return {"type": "boolean"}


@dataclass(frozen=True, kw_only=True)
class Words(Key):
    """A text. `choices` holds the only words allowed, when there are any."""

    longest: int = 80
    choices: tuple[str, ...] = field(default=())

    def read(self, raw: Any) -> str:
        """Return the text."""
        if not isinstance(raw, str):
            raise refused(shown(raw), "a text in quotes")
        if self.choices and raw not in self.choices:
            raise refused(shown(raw), "one of " + ", ".join(self.choices))
        if not re.fullmatch(self._pattern, raw):
            raise refused(shown(raw), f"a text of 1 to {self.longest} printable characters")
        return raw

    @property
    def _pattern(self) -> str:
        return rf"[^\u0000-\u001f\u007f-\u009f]{{1,{self.longest}}}"

    def schema(self) -> dict[str, Any]:
        """Return the schema of the choices, or of any printable text."""
        if self.choices:
            return {"enum": list(self.choices)}
        return {"type": "string", "pattern": f"^{self._pattern}$"}


@dataclass(frozen=True, kw_only=True)
class Whole(Key):
    """A whole number that is a name rather than a quantity: size class, revision."""

    low: int
    high: int

    def read(self, raw: Any) -> int:
        """Return the number."""
        if isinstance(raw, bool) or not isinstance(raw, int) or not self.low <= raw <= self.high:
            raise refused(shown(raw), f"a whole number from {self.low} to {self.high}, without quotes")
        return raw

    def schema(self) -> dict[str, Any]:
        """Return the schema of the number."""
        return {"type": "integer", "minimum": self.low, "maximum": self.high}


def refused(read: str, right: str) -> PydanticCustomError:
    """Return the error that carries what was read and what would be right up to the reader."""
    return PydanticCustomError("refused", "refused", {"read": read, "right": right})


def quantity_schema(kind: Kind) -> dict[str, Any]:
    """Return the JSON Schema of a quantity: text, table, or bare number where the measure has no unit."""
    spread_units = set(DIFFERENCES) if kind.family == "temperature" else set(FAMILIES[kind.family]) | {"%"}
    sign = "[+]?" if kind.low >= 0 else "[+-]?"
    number = _quantity_pattern(sign, set(FAMILIES[kind.family]))
    spread = _quantity_pattern("[+]?", spread_units)
    values: list[dict[str, Any]] = [{"type": "string", "pattern": f"^{number}({SPREAD_MARK}{spread})?$"}]
    if not kind.unit:
        values.append({"type": "number", "minimum": kind.low, "maximum": kind.high})
    parts = {"value": {"anyOf": values}, "spread": {"type": "string", "pattern": f"^{spread}$"}}
    return {"anyOf": [*values, _table_schema(parts)]}


def _quantity_pattern(sign: str, units: set[str]) -> str:
    """Return the pattern of a number with one of `units`; the same blanks that the reader takes."""
    spelt = "|".join(re.escape(unit).replace(r"\ ", "[ \\t]+") for unit in sorted(units - {""}))
    unit = f"(({spelt})[ \\t]*)?" if "" in units else f"({spelt})[ \\t]*"
    return f"[ \\t]*{sign}{UNSIGNED}[ \\t]*{unit}"


def _table_schema(parts: dict[str, Any]) -> dict[str, Any]:
    note = {"type": "string", "pattern": f"^{NOTE}$"}
    properties = {**parts, "from": {"enum": list(FILE_ORIGINS)}, "note": note}
    return {"type": "object", "properties": properties, "required": ["value"], "additionalProperties": False}
