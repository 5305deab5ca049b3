"""Read a machine file: TOML to a checked machine with its gaps filled; every trouble says file, line and key."""

import tomllib
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from steadyhead.machine.description import Machine
from steadyhead.machine.impossible import impossible
from steadyhead.machine.keys import Key
from steadyhead.machine.lines import key_line
from steadyhead.machine.quantity import shown
from steadyhead.machine.typical import with_typical
from steadyhead.words.errors import InputError, did_you_mean

LARGEST = 1_000_000
"""Bytes: a machine file is a page or two, anything larger is another file by mistake."""
SHOWN = 8
"""Further troubles named in one message."""


def read_machine(path: Path) -> Machine:
    """Return the machine that the file describes, its gaps filled and marked typical.

    Raises: InputError naming file, line, key, what was read and what would be right; further troubles are named too.
    """
    return machine_from_text(_text(Path(path)), Path(path).name)


def machine_from_text(text: str, name: str) -> Machine:
    """Return the machine that a TOML text describes; `name` is what the errors call it."""
    if not text.strip():
        raise InputError(name, read="an empty file", right="a machine file: steadyhead new NAME --size 600 writes one")
    raw = _toml(text, name)
    try:
        stated = Machine.model_validate(raw)
    except ValidationError as error:
        troubles = [_trouble(detail, text, name) for detail in error.errors(include_url=False)]
        raise _together(troubles) from error
    machine = with_typical(stated)
    found = impossible(machine)
    if found:
        raise _together([(_place(name, text, _path(t.key)), t.read, t.right) for t in found])
    return machine


def _text(path: Path) -> str:
    right = "a machine file in TOML, such as fox.toml"
    try:
        if path.is_dir():
            raise InputError(str(path), read="a directory", right=right)
        if path.stat().st_size > LARGEST:
            raise InputError(str(path), read=f"{path.stat().st_size} bytes", right=f"{right}, at most {LARGEST} bytes")
        data = path.read_bytes()
    except FileNotFoundError as error:
        raise InputError(str(path), read="no such file", right=right) from error
    except PermissionError as error:
        raise InputError(
            str(path), read="a file that may not be read", right="a file you have the right to read"
        ) from error
    except (OSError, ValueError) as error:
        raise InputError(str(path), read=f"a file that cannot be read ({error})", right=right) from error
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        place, read = f"{path.name} line {line}", f"byte 0x{data[error.start]:02x}, which is not UTF-8"
        raise InputError(place, read=read, right="a text saved as UTF-8") from error


def _toml(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        said = str(error)
        line = said.rpartition("at line ")[2].partition(",")[0] if "at line " in said else str(text.count("\n") + 1)
        place = f"{name} line {line}"
        row = text.split("\n")[int(line) - 1] if line.isdigit() and int(line) <= text.count("\n") + 1 else ""
        what = said.partition(" (at ")[0]
        raise InputError(place, read=f"{shown(row.strip())} ({what})", right='TOML, such as mass = "3.6 kg"') from error
    except (ValueError, RecursionError) as error:
        raise InputError(
            name, read=f"a text that TOML cannot hold ({error})", right='TOML, such as mass = "3.6 kg"'
        ) from error


def _trouble(detail: ErrorDetails, text: str, name: str) -> tuple[str, str, str]:
    """Return place, what was read and what would be right for one finding of pydantic."""
    loc = detail["loc"]
    place = _place(name, text, loc)
    if detail["type"] == "extra_forbidden":
        key = _dotted(loc)
        known = _names(loc[:-1])
        line = place.partition(",")[0]
        near = did_you_mean(str(loc[-1]), known)
        return line, f"unknown key {key}", near
    if detail["type"] == "missing":
        return place, "nothing", f"{loc[-1]} = {_wanted(_declared(loc))}"
    if detail["type"] == "refused":
        return place, str(detail["ctx"]["read"]), str(detail["ctx"]["right"])
    if detail["type"] in ("tuple_type", "list_type"):
        return place, shown(detail["input"]), f"rows that begin with [[{loc[-1]}]]"
    return place, shown(detail["input"]), detail["msg"]


def _wanted(key: Key | None) -> str:
    kind = getattr(key, "kind", None)
    if kind is not None:
        return f"{kind.wanted}"
    return str(getattr(key, "wanted", None) or (key.says if key else "a table"))


def _names(loc: tuple[str | int, ...]) -> list[str]:
    if not loc:
        return list(Machine.model_fields)
    return [*Machine.row_type(str(loc[0])).declared(), "from"]


def _declared(loc: tuple[str | int, ...]) -> Key | None:
    return Machine.row_type(str(loc[0])).declared().get(str(loc[-1])) if len(loc) > 1 else None


def _dotted(loc: tuple[str | int, ...]) -> str:
    return ".".join(str(part + 1) if isinstance(part, int) else part for part in loc)


def _path(key: str) -> tuple[str | int, ...]:
    return tuple(int(part) - 1 if part.isdigit() else part for part in key.split("."))


def _place(name: str, text: str, loc: tuple[str | int, ...]) -> str:
    line = key_line(text, loc)
    at = f"{name} line {line}" if line else name
    return f"{at}, {_dotted(loc)}" if loc else at


def _together(troubles: list[tuple[str, str, str]]) -> InputError:
    """Return one error for all: the first in full, the others behind it."""
    place, read, right = troubles[0]
    others = troubles[1:]
    if others:
        told = "; ".join(f"{at}: read {was}; right would be {want}" for at, was, want in others[:SHOWN])
        more = f"; and {len(others) - SHOWN} more" if len(others) > SHOWN else ""
        right = f"{right}. Also {told}{more}"
    return InputError(place, read=read, right=right)
