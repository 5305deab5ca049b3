"""What pydantic found wrong, in the words of the machine file: place, what was read, what would be right."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pydantic_core import ErrorDetails

from steadyhead.machine.description import Machine
from steadyhead.machine.keys import Count, Key, Quantity
from steadyhead.machine.lines import key_lines, line_of
from steadyhead.machine.quantity import shown
from steadyhead.words.errors import InputError, did_you_mean

Loc = tuple[str | int, ...]
Refusal = tuple[str, str, str]
SHOWN = 8
"""Further troubles named in one message."""
LONG = 80
AS_BEFORE = "as said before"


@dataclass(frozen=True)
class Places:
    """Where the keys of one file stand."""

    name: str
    lines: Mapping[Loc, int]

    @classmethod
    def of(cls, name: str, text: str) -> "Places":
        """Return the places of all keys in a TOML text."""
        return cls(name, key_lines(text))

    def line(self, loc: Loc) -> str:
        """Say file and line."""
        line = line_of(self.lines, loc)
        return f"{self.name} line {line}" if line else self.name

    def key(self, loc: Loc) -> str:
        """Say file, line and key."""
        return f"{self.line(loc)}, {_dotted(loc)}" if loc else self.line(loc)

    def of_key(self, key: str) -> str:
        """Say file, line and key of a key of the machine, whose rows count from 1."""
        return self.key(tuple(int(part) - 1 if part.isdigit() else part for part in key.split(".")))


def refusal(detail: ErrorDetails, places: Places) -> Refusal:
    """Return place, what was read and what would be right for one finding of pydantic."""
    loc, kind = detail["loc"], detail["type"]
    if kind == "extra_forbidden":
        unknown = shown(_dotted(loc)).strip('"')
        right = did_you_mean(str(loc[-1])[:60], _known(loc[:-1]))
        right = right.replace("did you mean ", f"did you mean {_dotted((*loc[:-1], ''))}")
        return places.line(loc), f"unknown key {unknown}", right
    if kind == "missing":
        return places.key(loc), "nothing", _wanted(loc)
    if kind == "refused":
        return places.key(loc), str(detail["ctx"]["read"]), str(detail["ctx"]["right"])
    if kind == "tuple_type":
        return places.key(loc), shown(detail["input"]), f"rows that begin with [[{loc[-1]}]]"
    return places.key(loc), shown(detail["input"]), detail["msg"]


def together(refusals: Sequence[Refusal]) -> InputError:
    """Return one error for all: the first in full, the others behind it, long advice said once."""
    place, read, right = refusals[0]
    others = refusals[1 : SHOWN + 1]
    if others:
        wants = [want for _, _, want in refusals]
        told = "; ".join(
            f"{at}: read {was}; right would be {AS_BEFORE if want in wants[:number] and len(want) > LONG else want}"
            for number, (at, was, want) in enumerate(others, start=1)
        )
        left = len(refusals) - 1 - len(others)
        more = f"; and {left} more" if left else ""
        right = f"{right}. Also {told}{more}"
    return InputError(place, read=read, right=right)


def _known(loc: Loc) -> list[str]:
    if not loc:
        return list(Machine.model_fields)
    return [*Machine.row_type(str(loc[0])).declared(), "from"]


def _wanted(loc: Loc) -> str:
    if len(loc) == 1:
        return f"a table [{loc[0]}]"
    key: Key = Machine.row_type(str(loc[0])).declared()[str(loc[-1])]
    if isinstance(key, Quantity):
        return f"{loc[-1]} = {key.kind.shown_example} ({key.says})"
    if isinstance(key, Count):
        return f"{loc[-1]} = {key.wanted} ({key.says})"
    return f"{loc[-1]} ({key.says})"


def _dotted(loc: Loc) -> str:
    return ".".join(str(part + 1) if isinstance(part, int) else part for part in loc)
