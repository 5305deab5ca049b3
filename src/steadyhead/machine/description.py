"""The machine: every table of the file, each number a value with spread and origin, None where nobody knows."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from steadyhead.machine.keys import Count, Key, Missing, Quantity
from steadyhead.machine.tables.air import RotorTable, TailTable
from steadyhead.machine.tables.channel import ChannelTable, FlightMode, GovernorTable, ReadingRow, RunLogicTable
from steadyhead.machine.tables.drive import ControllerTable, GearsTable, MotorTable, PackChoice, PackTable
from steadyhead.machine.tables.identity import Airframe, Identity, Site
from steadyhead.machine.tables.limits import LimitsTable
from steadyhead.machine.tables.table import Table
from steadyhead.words.errors import InputError, did_you_mean
from steadyhead.words.value import Origin, Value
from steadyhead.words.verdict import Limit

COMMON_PRACTICE = "common practice, no source"


class Machine(BaseModel):
    """A model helicopter as its machine file describes it; keys are written "table.key".

    Rows of arrays count from 1: "flight_mode.1.head_speed". Counts (teeth, blades, cells, poles) are values without
    unit and without spread.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    machine: Identity
    rotor: RotorTable = Field(default_factory=RotorTable)
    tail: TailTable = Field(default_factory=TailTable)
    gears: GearsTable
    motor: MotorTable
    controller: ControllerTable = Field(default_factory=ControllerTable)
    pack: PackTable
    pack_choice: tuple[PackChoice, ...] = ()
    airframe: Airframe = Field(default_factory=Airframe)
    channel: ChannelTable = Field(default_factory=ChannelTable)
    governor: GovernorTable = Field(default_factory=GovernorTable)
    run_logic: RunLogicTable = Field(default_factory=RunLogicTable)
    flight_mode: tuple[FlightMode, ...] = ()
    reading: tuple[ReadingRow, ...] = ()
    site: Site = Field(default_factory=Site)
    limits: LimitsTable = Field(default_factory=LimitsTable)

    @property
    def name(self) -> str:
        """What the owner calls this machine."""
        return self.machine.name

    @property
    def revision(self) -> int:
        """Counted up by the owner when a part changes."""
        return self.machine.revision

    @property
    def size_class(self) -> int:
        """Size class, mm."""
        return self.machine.size_class

    @property
    def invented(self) -> bool:
        """Whether nobody owns this machine."""
        return self.machine.invented

    @property
    def gear_ratio(self) -> float:
        """Motor turns for one main rotor turn."""
        ratio = self.gears.main_gear_teeth.number / self.gears.pinion_teeth.number
        if self.gears.second_pinion_teeth and self.gears.second_gear_teeth:
            ratio *= self.gears.second_gear_teeth.number / self.gears.second_pinion_teeth.number
        return ratio

    @property
    def cells(self) -> int:
        """Cells in series."""
        return int(self.pack.cells.number)

    @property
    def pole_pairs(self) -> float | None:
        """Electrical turns for one motor turn, None when the poles are unknown."""
        return self.motor.poles.number / 2.0 if self.motor.poles else None

    def value(self, key: str) -> Value | None:
        """Return the value under "table.key", None when it is unknown.

        Raises: InputError when there is no such key.
        """
        table, name = self._located(key)
        return table.value(name)

    def values(self) -> Iterator[tuple[str, Value]]:
        """Iterate over every known value with its key."""
        for prefix, table in self.tables():
            for name in table.declared():
                found = table.value(name)
                if found is not None:
                    yield f"{prefix}.{name}", found

    def typical(self) -> tuple[str, ...]:
        """Return the keys whose value nobody measured and no maker stated."""
        return tuple(key for key, value in self.values() if value.is_typical)

    def missing(self) -> tuple[str, ...]:
        """Return the keys that nobody stated and for which there is no typical value."""
        gone = []
        for prefix, table in self.tables():
            for name, key in table.declared().items():
                if key.missing is Missing.UNKNOWN and getattr(table, name) is None:
                    gone.append(f"{prefix}.{name}")
        return tuple(gone)

    def declared(self, key: str) -> Key:
        """Return how the key is declared: its unit, range and meaning.

        Raises: InputError when there is no such key.
        """
        table, name = self._located(key)
        return table.declared()[name]

    def shifted(self, key: str, sigmas: float) -> "Machine":
        """Return the same machine with one value moved by `sigmas` times its 90 % half width, inside what is possible.

        Raises: InputError when the value is unknown.
        """
        value = self.value(key)
        if value is None:
            raise InputError(key, read="an unknown value", right="a value in the machine file")
        return self.replaced({key: value.si + sigmas * value.spread_si}) if value.spread_si else self

    def replaced(self, numbers: Mapping[str, float]) -> "Machine":
        """Return the same machine with other SI numbers, kept inside what the file would take.

        Spread and origin stay; a value that was unknown becomes exact and derived.
        """
        rows: dict[str, dict[str, Any]] = {}
        for key, si in numbers.items():
            table, name = self._located(key)
            prefix = key.rpartition(".")[0]
            rows.setdefault(prefix, {})[name] = _with_number(table.value(name), table.declared()[name], si, key)
        machine = self
        for prefix, update in rows.items():
            machine = machine._with_row(prefix, update)
        return machine

    def limit(self, key: str) -> Limit | None:
        """Return a value as a limit, in the unit that its declaration names, with who set it; None when unknown."""
        value, declared = self.value(key), self.declared(key)
        if value is None or not isinstance(declared, Quantity):
            return None
        stated = value.origin is not Origin.TYPICAL or not value.note.startswith(COMMON_PRACTICE)
        origin = f"machine file, {value.origin}" if stated else COMMON_PRACTICE
        return Limit(
            value=round(declared.kind.number(value.si), 12), unit=_plain_unit(declared.kind.unit), origin=origin
        )

    def filled(self, values: Mapping[str, Value]) -> "Machine":
        """Return the same machine with values put where none stood."""
        rows: dict[str, dict[str, Any]] = {}
        for key, value in values.items():
            prefix, _, name = key.rpartition(".")
            rows.setdefault(prefix, {})[name] = value
        machine = self
        for prefix, update in rows.items():
            machine = machine._with_row(prefix, update)
        return machine

    @classmethod
    def row_type(cls, table: str) -> type[Table]:
        """Return the class of a table, or of one row of an array of tables.

        Raises: KeyError when there is no such table.
        """
        hint = cls.model_fields[table].annotation
        for found in (hint, *getattr(hint, "__args__", ())):
            if isinstance(found, type) and issubclass(found, Table):
                return found
        raise KeyError(table)

    def tables(self) -> Iterator[tuple[str, Table]]:
        """Iterate over every table with its name; rows of an array are numbered from 1."""
        for name in type(self).model_fields:
            item = getattr(self, name)
            if isinstance(item, Table):
                yield name, item
            else:
                yield from ((f"{name}.{number}", row) for number, row in enumerate(item, start=1))

    def _located(self, key: str) -> tuple[Table, str]:
        prefix, _, name = key.rpartition(".")
        table = self._table_at(prefix)
        if table is not None and name in table.declared():
            return table, name
        known = (f"{at}.{known}" for at, row in self.tables() for known in row.declared())
        raise InputError(f"machine {self.name}", read=f"unknown key {key}", right=did_you_mean(key, known))

    def _table_at(self, prefix: str) -> Table | None:
        """Return a table by its own name, or the row of an array by its number from 1."""
        name, _, number = prefix.partition(".")
        found = getattr(self, name) if name in type(self).model_fields else None
        if not number:
            return found if isinstance(found, Table) else None
        rows = dict(enumerate(found, start=1)) if isinstance(found, tuple) else {}
        row = rows.get(int(number)) if number.isdecimal() else None
        return row if isinstance(row, Table) else None

    def _with_row(self, prefix: str, update: dict[str, Any]) -> "Machine":
        name, _, number = prefix.partition(".")
        if not number:
            return self.model_copy(update={name: getattr(self, name).model_copy(update=update)})
        rows = list(getattr(self, name))
        rows[int(number) - 1] = rows[int(number) - 1].model_copy(update=update)
        return self.model_copy(update={name: tuple(rows)})


def _with_number(old: Value | None, declared: Key, si: float, key: str) -> Value:
    if isinstance(declared, Count):
        if si != int(si):
            raise InputError(key, read=f"{si:g}", right=declared.wanted)
        origin = old.origin if old else Origin.DERIVED
        return Value(number=si, unit="", si=si, spread_si=0.0, origin=origin, note=old.note if old else "")
    if not isinstance(declared, Quantity):
        raise InputError(key, read=f"{si:g}", right="a key that holds a number")
    kind = declared.kind
    held = kind.clamped(si)
    if old is None:
        return Value(number=kind.number(held), unit=kind.unit, si=held, spread_si=0.0, origin=Origin.DERIVED)
    return replace(old, number=kind.number_in(held, old.unit), si=held)


def _plain_unit(unit: str) -> str:
    return {"degC": "°C", "us": "µs", "deg": "°"}.get(unit, unit)
