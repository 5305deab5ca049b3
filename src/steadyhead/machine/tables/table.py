"""What every table of the machine file has in common, and the short form its keys are declared in."""

from functools import cache
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, model_validator

from steadyhead.machine.keys import Count, Key, Missing, Quantity, Words, refused
from steadyhead.machine.kind import Kind
from steadyhead.machine.quantity import FILE_ORIGINS, shown
from steadyhead.machine.units import family_of
from steadyhead.words.value import Value

REQUIRED, TYPICAL, UNKNOWN, UNUSED = Missing.REQUIRED, Missing.TYPICAL, Missing.UNKNOWN, Missing.UNUSED


def quantity(
    says: str,
    unit: str,
    low: float,
    high: float,
    example: str,
    missing: Missing = UNKNOWN,
    *,
    doubt: float = 0.0,
) -> Quantity:
    """Declare a key that holds a number with a unit; `doubt` is a share, for temperatures kelvin."""
    family = family_of(unit) or "share"
    kelvin = family == "temperature"
    kind = Kind(
        family=family,
        unit=unit,
        low=low,
        high=high,
        doubt=0.0 if kelvin else doubt,
        doubt_kelvin=doubt if kelvin else 0.0,
        example=example,
    )
    return Quantity(says=says, missing=missing, kind=kind)


class Table(BaseModel):
    """One table: no unknown keys, nothing changes after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False)

    from_: Annotated[
        str | None,
        Words(says="where the numbers of this table come from, where a key does not say", choices=FILE_ORIGINS),
    ] = Field(default=None, alias="from")

    @model_validator(mode="before")
    @classmethod
    def _origin_of_the_whole_table(cls, raw: Any) -> Any:
        if not isinstance(raw, dict):
            raise refused(shown(raw), "a table with keys below it")
        origin = raw.get("from")
        if origin not in FILE_ORIGINS:
            return raw
        keys = cls.declared()
        return {name: _with_origin(item, origin, keys.get(name)) for name, item in raw.items()}

    @classmethod
    @cache
    def declared(cls) -> dict[str, Key]:
        """Return how each key of the table is declared, `from` left out."""
        found = {}
        for name, field in cls.model_fields.items():
            for mark in field.metadata:
                if isinstance(mark, Key) and not field.alias:
                    found[name] = mark
        return found

    def value(self, name: str) -> Value | None:
        """Return one value, None when unknown."""
        found = getattr(self, name)
        return found if isinstance(found, Value) else None


def _with_origin(item: Any, origin: str, key: Key | None) -> Any:
    if not isinstance(key, Quantity | Count):
        return item
    if isinstance(item, dict):
        return item if "from" in item else {**item, "from": origin}
    return {"value": item, "from": origin}
