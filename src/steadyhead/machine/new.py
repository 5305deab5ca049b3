"""A commented machine file to edit, made from the same declarations that the reader reads with."""

import json
import os
import re
from pathlib import Path
from typing import NamedTuple

from steadyhead.machine.description import Machine
from steadyhead.machine.keys import Count, Key, Missing, Quantity, Words
from steadyhead.machine.reading import machine_from_text
from steadyhead.words.cautions import ALL
from steadyhead.words.errors import InputError
from steadyhead.words.value import Value


class Example(NamedTuple):
    """Numbers that fit together, to be replaced by the owner's own: common practice, no source."""

    pinion: int
    gear: int
    kv: int
    cells: int
    capacity_mah: int
    head_speeds_rpm: tuple[int, int, int]


EXAMPLES: dict[int, Example] = {
    450: Example(12, 120, 1700, 6, 1450, (2500, 2800, 3100)),
    500: Example(13, 130, 1500, 6, 2700, (2200, 2450, 2700)),
    550: Example(13, 117, 600, 12, 2650, (1950, 2200, 2450)),
    600: Example(13, 117, 560, 12, 3300, (1750, 2000, 2250)),
    700: Example(13, 117, 490, 12, 5000, (1600, 1800, 2000)),
    800: Example(13, 125, 450, 12, 5000, (1450, 1650, 1850)),
}
SIZES = (400, *EXAMPLES)
"""Size classes that are offered; any whole number of mm between the first and the last is taken."""
MODES = ("normal", "idle-up 1", "idle-up 2")
HOW = """\
How to write a number: with its unit, and how sure you are of it if you know.
  mass = "3.6 kg"                      as the maker states it
  mass = "3.6 kg +- 2 %"               nine times out of ten it is within 2 %
  mass = {value = "3.6 kg", spread = "30 g", from = "measured", note = "kitchen scales"}
A line that begins with # counts for nothing: take the # away and put in your number.
What you leave out is filled with what is usual for the size class, and marked typical: never as good as your own.
Behind each key: [typical] such a number is filled in when you leave it out; [unknown] nobody can guess it, and what
hangs on it stays unknown. For those stands a question mark: only you, a maker or a measurement knows."""


def write_machine_file(name: str, size_class: int, folder: Path) -> Path:
    """Write a machine file to edit into `folder` and return its path; a file that is there already stays as it is.

    A name that ends in .toml means that file: the machine is called what stands before.

    Raises: InputError when the name or size cannot be, the file is there already, or the folder cannot be written.
    """
    name = re.sub(r"(?<=.)\.toml$", "", name.strip(), flags=re.IGNORECASE)
    text = machine_text(name, size_class)
    path = Path(folder) / f"{file_name(name)}.toml"
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        if path.exists():
            raise InputError(str(path), read="a file that is there already", right="another name, or another folder")
        part.write_text(text, "utf-8")
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise InputError(
            str(path), read=f"a place that cannot be written ({error})", right="a folder of yours"
        ) from error
    return path


def file_name(name: str) -> str:
    """Return `name` as a plain file name without ending."""
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:60] or "machine"


def machine_text(name: str, size_class: int) -> str:
    """Return the text of a machine file to edit; it reads back as it stands.

    Raises: InputError when the name or the size class cannot be.
    """
    example = EXAMPLES[min(EXAMPLES, key=lambda size: abs(size - size_class))]
    machine = _least_machine(name, size_class, example)
    lines = [f"# {line}" for line in ("First the cautions.", *ALL, "", *HOW.splitlines())]
    for table in Machine.model_fields:
        lines += ["", *_table_lines(table, name, machine, example)]
    text = "\n".join(line.rstrip() for line in lines) + "\n"
    machine_from_text(text, "a new machine file")
    return text


def _least_machine(name: str, size_class: int, example: Example) -> Machine:
    """Return the machine of a file that holds only what a file cannot do without."""
    lines = []
    for table in ("machine", "gears", "motor", "pack"):
        lines += [f"[{table}]", *_needed(table, name, size_class, example).values()]
    return machine_from_text("\n".join(lines), "a new machine file")


def _table_lines(table: str, name: str, machine: Machine, example: Example) -> list[str]:
    rows = Machine.row_type(table)
    about = f"# {(rows.__doc__ or '').splitlines()[0]}"
    if table == "flight_mode":
        lines = []
        for mode, rpm in zip(MODES, example.head_speeds_rpm, strict=True):
            lines += ["[[flight_mode]]", f'name = "{mode}"', f'head_speed = "{rpm} rpm"']
            lines += [*(_line(rows.declared()[key], key, None) for key in ("channel", "channel_low")), ""]
        return [about, *lines[:-1]]
    if table in ("pack_choice", "reading"):
        return [about, f"# [[{table}]]", *(_line(key, item, None) for item, key in rows.declared().items())]
    needed = _needed(table, name, machine.size_class, example)
    rest = [
        _line(key, item, machine.value(f"{table}.{item}") if isinstance(key, Quantity | Count) else None)
        for item, key in rows.declared().items()
        if item not in needed
    ]
    return [about, f"[{table}]", *needed.values(), *rest]


def _needed(table: str, name: str, size_class: int, example: Example) -> dict[str, str]:
    """Return the lines that a file cannot do without, by key."""
    replace = 'from = "typical"  # an example, nobody measured it: put in your own, then say "measured" or "maker"'
    if table == "machine":
        return {
            "name": f"name = {_quoted(name)}",
            "size_class": f"size_class = {size_class}",
            "revision": "revision = 1",
        }
    if table == "gears":
        pinion, gear = f"pinion_teeth = {example.pinion}", f"main_gear_teeth = {example.gear}"
        return {"from": replace, "pinion_teeth": pinion, "main_gear_teeth": gear}
    if table == "motor":
        return {"from": replace, "kv": f'kv = "{example.kv} rpm/V"'}
    if table == "pack":
        capacity = f'capacity = "{example.capacity_mah} mAh"'
        return {"from": replace, "cells": f"cells = {example.cells}", "capacity": capacity}
    return {}


def _line(key: Key, item: str, usual: Value | None) -> str:
    text = f"# {item} = {_sample(key, usual)}"
    left_out = f" [{key.missing}]" if key.missing in (Missing.TYPICAL, Missing.UNKNOWN) else ""
    words = f"; one of {', '.join(key.choices)}" if isinstance(key, Words) and key.choices else ""
    return f"{text:<38} # {key.says}{words}{left_out}"


def _sample(key: Key, usual: Value | None) -> str:
    """Return the typical value as it would stand in the file, or a question mark that does not read back."""
    if usual is not None and isinstance(key, Quantity):
        return f'"{usual.number:.3g} {usual.unit}"' if usual.unit else f"{usual.number:.3g}"
    if usual is not None:
        return f"{usual.number:g}"
    if isinstance(key, Quantity):
        return f'"? {key.kind.unit}"' if key.kind.unit else '"?"'
    return '"?"' if isinstance(key, Words) else "?"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
