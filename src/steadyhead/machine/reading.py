"""Read a machine file: TOML to a checked machine with its gaps filled; every trouble says file, line and key."""

import tomllib
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from steadyhead.machine.description import Machine
from steadyhead.machine.impossible import impossible
from steadyhead.machine.quantity import shown
from steadyhead.machine.refusal import Places, refusal, together
from steadyhead.machine.typical import with_typical
from steadyhead.words.errors import InputError

LARGEST = 200_000
"""Bytes: a machine file is a page or two, anything larger is another file by mistake."""
LONGEST = 2_000
"""Characters of a line: the TOML reader takes minutes over a key with thousands of dots."""
RIGHT = "a machine file in TOML, such as fox.toml"
PAIR = 'TOML, such as mass = "3.6 kg"'


def read_machine(path: Path) -> Machine:
    """Return the machine that the file describes, its gaps filled and marked typical.

    Raises: InputError naming file, line, key, what was read and what would be right; further troubles are named too.
    """
    return machine_from_text(read_machine_text(Path(path)), Path(path).name)


def machine_from_text(text: str, name: str) -> Machine:
    """Return the machine that a TOML text describes; `name` is what the errors call it.

    Raises: InputError as `read_machine`.
    """
    if not text.strip():
        raise InputError(name, read="an empty file", right="a machine file: steadyhead new NAME --size 600 writes one")
    raw = _toml(text, name)
    try:
        stated = Machine.model_validate(raw)
    except ValidationError as error:
        places = Places.of(name, text)
        raise together([refusal(detail, places) for detail in error.errors(include_url=False)]) from error
    machine = with_typical(stated)
    found = impossible(machine)
    if found:
        places = Places.of(name, text)
        raise together([(places.of_key(trouble.key), trouble.read, trouble.right) for trouble in found])
    return machine


def read_machine_text(path: Path) -> str:
    """Return the text of a machine file as it stands.

    Raises: InputError naming the file.
    """
    path = Path(path)
    try:
        data = _bytes(path)
    except FileNotFoundError as error:
        raise InputError(str(path), read="no such file", right=RIGHT) from error
    except PermissionError as error:
        raise InputError(str(path), read="a file that may not be read", right="a file you may read") from error
    except (OSError, ValueError) as error:
        raise InputError(shown(str(path)), read=f"a file that cannot be read ({error})", right=RIGHT) from error
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        read = f"byte 0x{data[error.start]:02x}, which is not UTF-8"
        raise InputError(f"{path.name} line {line}", read=read, right="a text saved as UTF-8") from error


def _bytes(path: Path) -> bytes:
    if path.is_dir():
        raise InputError(str(path), read="a directory", right=RIGHT)
    size = path.stat().st_size
    if size > LARGEST:
        raise InputError(str(path), read=f"{size} bytes", right=f"{RIGHT}, at most {LARGEST} bytes")
    if not path.is_file():
        raise InputError(str(path), read="a device or a pipe", right=RIGHT)
    return path.read_bytes()


def _toml(text: str, name: str) -> dict[str, Any]:
    for line, row in enumerate(text.split("\n"), start=1):
        if len(row) > LONGEST:
            raise InputError(f"{name} line {line}", read=f"{len(row)} characters", right=f"a line of at most {LONGEST}")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        what, _, where = str(error).partition(" (at ")
        rows = text.split("\n")
        said = where.removeprefix("line ").partition(",")[0]
        line = int(said) if said.isdigit() and 0 < int(said) <= len(rows) else len(rows)
        row = rows[line - 1].strip()
        read = f"{shown(row)} ({what})" if row else what
        raise InputError(f"{name} line {line}", read=read, right=PAIR) from error
    except (ValueError, RecursionError) as error:
        raise InputError(name, read=f"a text that TOML cannot hold ({error})", right=PAIR) from error
