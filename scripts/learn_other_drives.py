"""Learn dirty logs of two invented drives that share no equation with this tool, and count which intervals hold.

Run from the root of the repository: python scripts/learn_other_drives.py [LOGS] [FIRST] [--write]
LOGS logs of each drive from seed FIRST on; --write puts the tables into docs/learn.md between their marks.
Counted besides: how many Kv that were sound are not written, and whether the plan of the proposed file, with the mass
as on a scale, holds the duty of the hovers that were flown.
"""

import math
import os
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import numpy as np

from steadyhead.judge.gearing_of import gearing_of
from steadyhead.learn.learning import NO_KV, learned
from steadyhead.learn.result import Learned
from steadyhead.machine.reading import machine_from_text
from steadyhead.plan.steady import plan
from steadyhead.trace.reading import read_trace
from steadyhead.words.errors import InputError
from tests.given_machine import machine_text
from tests.naive import foreign_flight, hidden_story
from tests.naive.dirty_log import dirty_log
from tests.naive.foreign_log import foreign_log

PAGE = Path(__file__).resolve().parents[1] / "docs" / "learn.md"
BEGIN, END = "<!-- other drives: begin -->", "<!-- other drives: end -->"
RPM = 30.0 / math.pi
DUTY = "duty of a hover, planned"
PACK_C = 28.0
"""What learn takes a pack to be where its temperature is not logged, these sites at 20 °C."""


class Hover(NamedTuple):
    """A hover as it was flown, before any sensor: its means."""

    head_rpm: float
    duty: float
    charge: float


class Case(NamedTuple):
    """The owner's machine file, the log, what is true of the drive, its mass, and its hovers."""

    text: str
    data: bytes
    true: dict[str, float]
    mass_kg: float
    hovers: list[Hover]


def second_drive(seed: int) -> Case:
    """Return a dirty log of the drive of `tests/naive/hidden_drive.py`."""
    flight = hidden_story.flight_of(seed)
    drive = flight.numbers
    true = {
        "motor.kv": drive.kv_rad_s_v * RPM,
        "motor_and_controller_resistance": 1e3 * drive.resistance_ohm,
        "pack_resistance_as_flown": 1e3 * drive.r0_ohm,
        "pack.slow_time": drive.rc_s,
        "rotor.inertia": drive.inertia,
        "whole_inertia": 1e3 * (drive.inertia + drive.motor_inertia),
    }
    undisturbed = flight.clean
    hovers = hovers_of(undisturbed, flight.story.marks["hover"], drive.soc, drive.capacity_as)
    return Case(machine_text(flight.given), dirty_log(flight, seed).data, true, drive.mass_kg, hovers)


def third_drive(seed: int) -> Case:
    """Return a foreign log of the drive of `tests/naive/foreign_drive.py`; its pack has two memories: no slow time."""
    flight = foreign_flight.flight_of(seed)
    drive = flight.drive
    true = {
        "motor.kv": RPM / drive.volts_per_rad_s,
        "motor_and_controller_resistance": 1e3 * drive.winding_ohm,
        "pack_resistance_as_flown": 1e3 * drive.pack_ohm,
        "rotor.inertia": drive.head_inertia,
        "whole_inertia": 1e3 * (drive.head_inertia + drive.motor_inertia),
    }
    hovers = hovers_of(flight.true, flight.story.marks["hover"], drive.begun, drive.capacity_as)
    text = foreign_flight.machine_file(flight)
    return Case(text, foreign_log(flight, seed).data, true, drive.weight_n / 9.81, hovers)


def hovers_of(clean: Mapping[str, np.ndarray], marks: Sequence[float], begun: float, capacity_as: float) -> list[Hover]:
    """Return the marked hovers in which full duty was not reached."""
    found = []
    for begin, end in zip(marks[::2], marks[1::2], strict=True):
        part = (clean["time"] >= begin) & (clean["time"] < end)
        if part.any() and clean["duty"][part].max() < 0.99:
            used = clean["charge"][part].mean() / capacity_as
            found.append(Hover(clean["head"][part].mean(), clean["duty"][part].mean(), begun - used))
    return found


def duties_of(case: Case, text: str) -> Iterator[tuple[float, float, bool]]:
    """Yield error and half width, percent, of the planned duty of each hover, and whether its interval held."""
    for hover in case.hovers:
        mode = (
            f'\n[airframe]\nmass = "{case.mass_kg:.3f} kg"\n'
            f'\n[[flight_mode]]\nname = "counted"\nhead_speed = "{hover.head_rpm:.1f} rpm"\n'
        )
        machine = machine_from_text(text + mode, "counted.toml")
        machine = machine.replaced({"pack.reserve": hover.charge, "pack.warm": PACK_C + 273.15})
        planned = next(
            one for one in plan(machine).modes[-1].conditions
            if one.load == "hover" and one.charge == machine.value("pack.reserve").si and one.pack_temperature_c > 20.0
        )  # fmt: skip
        low, high = planned.duty_interval
        error, half = 100.0 * (planned.duty / hover.duty - 1.0), 50.0 * (high - low) / planned.duty
        yield error, half, low <= hover.duty <= high


def told_of(case: Case, folder: Path) -> Learned | None:
    """Return what is learned of one log; None where it is refused."""
    path, machine = folder / "log", machine_from_text(case.text, "other.toml")
    path.write_bytes(case.data)
    try:
        trace = read_trace(path, gearing=gearing_of(machine), remember=False)
    except InputError:
        return None
    return learned(machine, case.text, [trace])


def numbers_of(told: Learned) -> Iterator[tuple[str, float, tuple[float, float]]]:
    """Yield name, value and interval of everything told."""
    for one in told.parameters:
        if one.value is not None and one.value_interval is not None:
            yield one.key, one.value, one.value_interval
    for figure in told.figures:
        yield figure.name, figure.value, figure.value_interval


def kv_fate(case: Case, told: Learned) -> str | None:
    """Return what became of a Kv whose interval holds the truth; None where none was told, or none that is sound."""
    kv = next(one for one in told.parameters if one.key == "motor.kv")
    if kv.value_interval is None or not kv.value_interval[0] <= case.true["motor.kv"] <= kv.value_interval[1]:
        return None
    if any(change.key == "motor.kv" for change in told.proposal.changes):
        return "written"
    if NO_KV in told.warnings:
        return "held back, since it may be a count of teeth or poles"
    if not told.proposal.changes:
        return "nothing of the log is proposed"
    return "the file knows it more closely"


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
    fates: list[str] = []
    for drive, case_of in (("second", second_drive), ("third", third_drive)):
        seen: dict[str, list[tuple[float, float, bool]]] = {}
        became: Counter[str] = Counter()
        with tempfile.TemporaryDirectory() as folder:
            for seed in range(first, first + count):
                case = case_of(seed)
                told = told_of(case, Path(folder))
                if told is None:
                    continue
                became.update(fate for fate in [kv_fate(case, told)] if fate)
                for name, value, (low, high) in numbers_of(told):
                    true = case.true.get(name)
                    if true is not None:
                        error, half = 100.0 * (value / true - 1.0), 50.0 * (high - low) / value
                        seen.setdefault(name, []).append((error, half, low <= true <= high))
                if told.proposal.changes:
                    seen.setdefault(DUTY, []).extend(duties_of(case, told.proposal.text))
        lines += [f"| {drive} | {row(name.replace('_', ' '), seen[name])}" for name in sorted(seen)]
        said = ", ".join(f"{number} {fate}" for fate, number in became.most_common())
        fates.append(f"Sound Kv of the {drive} drive, {became.total()}: {said}.")
    text = "\n".join([*lines, "", *fates])
    print(text)
    if "--write" in sys.argv:
        page = PAGE.read_text("utf-8")
        before, _, rest = page.partition(BEGIN)
        _, _, after = rest.partition(END)
        PAGE.write_text(before + BEGIN + "\n" + text + "\n" + END + after, "utf-8")


if __name__ == "__main__":
    main()
