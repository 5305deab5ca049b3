"""Learn dirty logs of two invented drives that share no equation with this tool, and count which intervals hold.

Run from the root of the repository: python scripts/learn_other_drives.py [LOGS] [FIRST] [--write]
LOGS logs of each drive from seed FIRST on; --write puts the table into docs/learn.md between its marks.
"""

import math
import os
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.judge.gearing_of import gearing_of
from steadyhead.learn.learning import learned
from steadyhead.learn.result import Learned
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.reading import read_trace
from steadyhead.words.errors import InputError
from tests.given_machine import machine_text
from tests.naive import foreign_flight, hidden_story
from tests.naive.dirty_log import dirty_log
from tests.naive.foreign_log import foreign_log

PAGE = Path(__file__).resolve().parents[1] / "docs" / "learn.md"
BEGIN, END = "<!-- other drives: begin -->", "<!-- other drives: end -->"
RPM = 30.0 / math.pi
Case = tuple[str, bytes, dict[str, float]]
"""The owner's machine file, the log, and what is true of the drive."""


def second_drive(seed: int) -> Case:
    """Return a dirty log of the drive of `tests/naive/hidden_drive.py`."""
    flight = hidden_story.flight_of(seed)
    drive = flight.numbers
    return machine_text(flight.given), dirty_log(flight, seed).data, {
        "motor.kv": drive.kv_rad_s_v * RPM,
        "motor_and_controller_resistance": 1e3 * drive.resistance_ohm,
        "pack_resistance_as_flown": 1e3 * drive.r0_ohm,
        "pack.slow_time": drive.rc_s,
        "rotor.inertia": drive.inertia,
        "whole_inertia": 1e3 * (drive.inertia + drive.motor_inertia),
    }  # fmt: skip


def third_drive(seed: int) -> Case:
    """Return a foreign log of the drive of `tests/naive/foreign_drive.py`; its pack has two memories: no slow time."""
    flight = foreign_flight.flight_of(seed)
    drive = flight.drive
    return foreign_flight.machine_file(flight), foreign_log(flight, seed).data, {
        "motor.kv": RPM / drive.volts_per_rad_s,
        "motor_and_controller_resistance": 1e3 * drive.winding_ohm,
        "pack_resistance_as_flown": 1e3 * drive.pack_ohm,
        "rotor.inertia": drive.head_inertia,
        "whole_inertia": 1e3 * (drive.head_inertia + drive.motor_inertia),
    }  # fmt: skip


def told_of(case: Case, folder: Path) -> Learned | None:
    """Return what is learned of one log; None where it is refused."""
    text, data, _ = case
    path, machine = folder / "log", machine_from_text(text, "other.toml")
    path.write_bytes(data)
    try:
        trace = read_trace(path, gearing=gearing_of(machine), remember=False)
    except InputError:
        return None
    return learned(machine, text, [trace])


def numbers_of(told: Learned) -> Iterator[tuple[str, float, tuple[float, float]]]:
    """Yield name, value and interval of everything told."""
    for one in told.parameters:
        if one.value is not None and one.value_interval is not None:
            yield one.key, one.value, one.value_interval
    for figure in told.figures:
        yield figure.name, figure.value, figure.value_interval


def row(name: str, seen: list[tuple[float, float, bool]]) -> str:
    """Return one row of the table from errors, half widths (percent) and whether the interval held."""
    errors, halves, held = zip(*seen, strict=True)
    root = math.sqrt(sum(error * error for error in errors) / len(errors))
    middle = sorted(halves)[len(halves) // 2]
    share = f"{sum(held)} of {len(held)}, {sum(held) / len(held):.0%}".replace("%", " %")
    return f"{name} | {share} | {root:.1f} % | {sum(errors) / len(errors):+.1f} % | {middle:.1f} % |"


def main() -> None:
    """Learn, print, and write when asked."""
    words = [int(word) for word in sys.argv[1:] if word.isdigit()]
    count, first = (*words, *(40, 2200)[len(words) :])[:2]
    lines = [
        "| drive | number | held the truth | error, root mean square | mean error | usual half width |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for drive, case_of in (("second", second_drive), ("third", third_drive)):
        seen: dict[str, list[tuple[float, float, bool]]] = {}
        with tempfile.TemporaryDirectory() as folder:
            for seed in range(first, first + count):
                case = case_of(seed)
                told = told_of(case, Path(folder))
                for name, value, (low, high) in numbers_of(told) if told else ():
                    true = case[2].get(name)
                    if true is not None:
                        error, half = 100.0 * (value / true - 1.0), 50.0 * (high - low) / value
                        seen.setdefault(name, []).append((error, half, low <= true <= high))
        lines += [f"| {drive} | {row(name.replace('_', ' '), seen[name])}" for name in sorted(seen)]
    text = "\n".join(lines)
    print(text)
    if "--write" in sys.argv:
        page = PAGE.read_text("utf-8")
        before, _, rest = page.partition(BEGIN)
        _, _, after = rest.partition(END)
        PAGE.write_text(before + BEGIN + "\n" + text + "\n" + END + after, "utf-8")


if __name__ == "__main__":
    main()
