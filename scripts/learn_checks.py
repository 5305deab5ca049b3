"""Count how often the two checks of `learn` come out how: on the machine's own logs, and on those of another machine.

Run from the root of the repository: python scripts/learn_checks.py FILE [CASES] [--write]
Every case is a machine drawn at random, flown once by the simulator and logged by sensors that err. Half of the cases
are learned with the file of an owner who measured that machine as closely as the invented Fox 600 says; the other half
with a file that is of another machine in one thing. FILE keeps a line of JSON for every case, so that a count that was
stopped goes on; --write puts the table into docs/learn.md between its marks.
"""

import json
import os
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import numpy as np

from steadyhead.learn.learning import learned
from steadyhead.learn.unknowns import NINETY
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text, read_machine, read_machine_text
from steadyhead.machine.rewriting import rewritten
from steadyhead.trace.trace import Trace
from steadyhead.words.errors import SteadyheadError
from tests.noisy_flight import COAST_TEXT, Truth, noisy_flight

CASES, SEED = 120, 70_000
PAGE = Path(__file__).resolve().parents[1] / "docs" / "learn.md"
BEGIN, END = "<!-- checks: begin -->", "<!-- checks: end -->"
CHECKS = ("logs_and_file_agree", "new_file_explains_logs_better")
HONEST = "the machine's own file"
SHORTER, LONGER = "blades 50 mm shorter than flown", "blades 50 mm longer than flown"
SURE = ", said to be measured"
OTHERS = (
    "Kv a tenth higher", "Kv a tenth lower", "a pinion with a tooth more", "a pinion with a tooth less",
    SHORTER, LONGER, SHORTER + SURE, LONGER + SURE,
)  # fmt: skip
TOOTH = {OTHERS[2]: 1, OTHERS[3]: -1}
MEASURED = {
    "motor.kv": ("rpm/V", 0.03), "motor.resistance": ("mohm", 1.0 / 15.0), "pack.resistance": ("mohm", 0.1),
    "rotor.inertia": ("kg m2", 0.08), "governor.gain": ("", 0.12), "governor.integral_time": ("s", 0.15),
}  # fmt: skip
"""What the owner measured: unit and half width as a share, as the invented file has them."""
BLADES = {
    SHORTER: {"rotor.radius": 0.61, "rotor.blade_mass": 0.112, "rotor.blade_length": 0.55, "rotor.inertia": 0.83},
    LONGER: {"rotor.radius": 0.71, "rotor.blade_mass": 0.150, "rotor.blade_length": 0.65, "rotor.inertia": 1.2},
}
"""Blades of the size below or above in the file, while others were flown: invented; the inertia is a share."""


def owners_text(text: str, truth: Truth, machine: Machine, fault: str, rng: np.random.Generator) -> str:
    """Return the file of an owner who measured the drawn machine, or who flew another one than he wrote down."""
    shares = dict.fromkeys(MEASURED, 1.0)
    blades = dict(BLADES.get(fault.removesuffix(SURE), {}))
    shares["motor.kv"] = {OTHERS[0]: 1.1, OTHERS[1]: 0.9}.get(fault, 1.0)
    shares["rotor.inertia"] = blades.pop("rotor.inertia", 1.0)
    lines: dict[str, str] = {}
    for key, (unit, half) in MEASURED.items():
        declared = machine.declared(key)
        si = truth.machine.value(key).si * (1.0 + half / NINETY * rng.normal()) * shares[key]  # type: ignore[union-attr]
        number = declared.kind.number_in(si, unit) if unit else si  # type: ignore[union-attr]
        lines[key] = f'{{ value = "{number:.5g} {unit}", spread = "{100 * half:.2g} %", from = "measured" }}'
    if fault in TOOTH:
        lines["gears.pinion_teeth"] = str(int(machine.gears.pinion_teeth.number) + TOOTH[fault])
    for key, number in blades.items():
        said = f'"{number} {"kg" if "mass" in key else "m"}"'
        lines[key] = f'{{ value = {said}, from = "measured" }}' if fault.endswith(SURE) else said
    changed, left = rewritten(text, lines)
    if left:
        raise SystemExit(f"no line for {left}")
    return changed


def as_read(trace: Trace, times: float) -> Trace:
    """Return a trace as it is read with the owner's teeth: the motor's own speed, divided by his gear ratio."""
    name = "motor_side_speed_rpm"
    if name not in trace.channels:
        return trace
    return replace(trace, channels={**trace.channels, name: times * trace.channels[name]})


def one_case(machine: Machine, text: str, number: int) -> dict[str, Any]:
    """Return how the checks come out for one case, always the same for a number; a case is honest, the next is not."""
    fault = HONEST if number % 2 == 0 else OTHERS[number // 2 % len(OTHERS)]
    flight = number // 2 % 3 != 2
    truth = noisy_flight(machine, SEED + number, text=None if flight else COAST_TEXT)
    own = owners_text(text, truth, machine, fault, np.random.default_rng((SEED, number)))
    row: dict[str, Any] = {"case": number, "file": fault, "log": "flight" if flight else "coast-down"}
    try:
        owner = machine_from_text(own, "owner")
        found = learned(owner, own, [as_read(truth.trace, truth.machine.gear_ratio / owner.gear_ratio)])
    except SteadyheadError as error:
        return {**row, "refused": str(error)}
    for check in found.checks:
        row[check.check] = str(check.verdict)
        row[f"{check.check} says"] = check.reason
    return {**row, "proposes": len(found.proposal.changes), "verdict": str(found.verdict)}


def table(rows: list[Mapping[str, Any]]) -> list[str]:
    """Return the counts in Markdown."""
    lines = ["| the file is | log | cases | `logs_and_file_agree`: pass, unknown, fail |"
             " `new_file_explains_logs_better`: pass, unknown, not made |",
             "| --- | --- | --- | --- | --- |"]  # fmt: skip
    for fault in (HONEST, *OTHERS):
        for log in ("flight", "coast-down"):
            here = [row for row in rows if row["file"] == fault and row["log"] == log]
            if here:
                agree = [sum(row.get(CHECKS[0]) == word for row in here) for word in ("pass", "unknown", "fail")]
                better = [sum(row.get(CHECKS[1]) == word for row in here) for word in ("pass", "unknown", None)]
                told = [", ".join(str(count) for count in counts) for counts in (agree, better)]
                lines.append(f"| {fault} | {log} | {len(here)} | {told[0]} | {told[1]} |")
    return lines


def main() -> None:
    """Run the cases that are not kept yet, print the table, and write it when asked."""
    keep = Path(sys.argv[1])
    cases = next((int(word) for word in sys.argv[2:] if word.isdigit()), CASES)
    path = bundled("fox600")
    machine, text = read_machine(path), read_machine_text(path)
    rows = [json.loads(line) for line in keep.read_text("utf-8").splitlines()] if keep.exists() else []
    done = {row["case"] for row in rows}
    with keep.open("a", encoding="utf-8") as file:
        for number in range(cases):
            if number not in done:
                rows.append(one_case(machine, text, number))
                print(json.dumps(rows[-1]), file=file, flush=True)
    lines = table(rows)
    print("\n".join(lines))
    if "--write" in sys.argv:
        before, _, rest = PAGE.read_text("utf-8").partition(BEGIN)
        PAGE.write_text(before + BEGIN + "\n" + "\n".join(lines) + "\n" + END + rest.partition(END)[2], "utf-8")


if __name__ == "__main__":
    main()
