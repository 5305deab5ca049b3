"""Count how often the 90 % intervals of `learn` hold the truth, on simulated flights of machines drawn at random.

Run from the root of the repository: python scripts/learn_coverage.py FILE [FLIGHTS] [COAST_DOWNS] [GOVERNORS] [--write]
FILE keeps a line of JSON for every log that was learned: a count that was stopped goes on where it was, and with three
noughts the table is made of what is kept. --write puts the table into docs/learn.md between its marks. Each log is
learned from alone. Logs and file are also held against each other, with a file whose owner measured the drawn machine
as closely as the invented file says.
"""

import json
import math
import os
import sys
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import numpy as np

from steadyhead.learn.agreement import agreement
from steadyhead.learn.blade_length import radius_seen
from steadyhead.learn.governor_gains import governor_seen
from steadyhead.learn.joint import joint, models_of
from steadyhead.learn.parameters import parameters
from steadyhead.learn.result import Parameter
from steadyhead.learn.rows import Evidence, evidence
from steadyhead.learn.teeth import two_speeds
from steadyhead.learn.unknowns import NINETY
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import read_machine
from steadyhead.words.verdict import Outcome
from tests.noisy_flight import COAST_TEXT, Truth, governed_flight, noisy_flight

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "learn.md"
BEGIN, END = "<!-- coverage: begin -->", "<!-- coverage: end -->"


@dataclass
class Count:
    """What came out for one key: errors in percent, half widths in percent, whether the interval held the truth."""

    errors: list[float] = field(default_factory=list)
    halves: list[float] = field(default_factory=list)
    held: list[bool] = field(default_factory=list)

    def add(self, value: float, interval: tuple[float, float], true: float) -> None:
        """Keep one."""
        self.errors.append(100.0 * (value / true - 1.0))
        self.halves.append(50.0 * (interval[1] - interval[0]) / value)
        self.held.append(interval[0] <= true <= interval[1])


Row = dict[str, Any]
"""One log: its kind and seed, `told` as key to value, interval and truth, and how logs and an honest file agreed."""


def learned(machine: Machine, seed: int, text: str | None) -> Row:
    """Learn one simulated log and return what came out."""
    truth = noisy_flight(machine, seed, text=text)
    found = evidence(machine, truth.trace)
    if found is None:
        return {"told": {}, "agreed": None}
    made = joint(machine, models_of(machine, [found]))
    told = parameters(machine, made)
    seen_m = radius_seen(machine, made)
    held = honest_agreement(machine, told, truth, found, np.random.default_rng(seed), seen_m)
    row: Row = {"told": {}, "agreed": str(held) if held is not None else None}
    for parameter in told:
        if parameter.told and parameter.value is not None and parameter.value_interval is not None:
            kind = machine.declared(parameter.key).kind  # type: ignore[attr-defined]
            true = kind.number_in(truth.machine.value(parameter.key).si, parameter.unit)  # type: ignore[union-attr]
            row["told"][parameter.key] = (parameter.value, *parameter.value_interval, true)
    row["told"].update(governor(found, truth))
    return row


def governed(machine: Machine, seed: int, text: str | None) -> Row:
    """Read the governor of one simulated flight and return what came out; it does not act ahead of the collective."""
    truth = governed_flight(machine, seed)
    found = evidence(machine, truth.trace)
    return {"told": governor(found, truth) if found is not None else {}, "agreed": None}


def honest_agreement(
    machine: Machine,
    told: tuple[Parameter, ...],
    truth: Truth,
    found: Evidence,
    rng: np.random.Generator,
    seen_m: tuple[float, float] | None = None,
) -> Outcome | None:
    """Return how the logs agree with a file that states what was drawn, as closely as the invented file says it."""
    owned = []
    for one in told:
        stated, true = machine.value(one.key), truth.machine.value(one.key)
        if stated is None or true is None or one.file_value_interval is None or one.file_value is None:
            continue
        kind = machine.declared(one.key).kind  # type: ignore[attr-defined]
        half = (one.file_value_interval[1] - one.file_value_interval[0]) / 2.0 / one.file_value
        value = kind.number_in(true.si, one.unit) * (1.0 + half / NINETY * rng.normal())
        owned.append(replace(one, file_value=value, file_value_interval=(value * (1.0 - half), value * (1.0 + half))))
    speeds = two_speeds(machine, (found,))
    check = agreement(machine, owned, (), (found,), seen_m, [speeds] if speeds else ())
    return check.verdict if check is not None else None


def governor(found: Evidence, truth: Truth) -> dict[str, tuple[float, ...]]:
    """Return what a log says of its governor."""
    seen = governor_seen("drawn", found.found)
    if not seen.told:
        return {}
    told = {
        "governor.gain": (seen.gain, *(seen.gain_interval or ())),
        "governor.integral_time": (seen.integral_time_s, *(seen.integral_time_s_interval or ())),
    }
    return {key: (*row, truth.machine.value(key).si) for key, row in told.items()}  # type: ignore[misc, union-attr]


def table(rows: list[Row], title: str) -> list[str]:
    """Return one table in Markdown."""
    counts: dict[str, Count] = {}
    for row in rows:
        for key, (value, low, high, true) in row["told"].items():
            counts.setdefault(key, Count()).add(value, (low, high), true)
    lines = [f"{title}: {len(rows)} logs.", ""]
    lines += ["| key | told | held the truth | error, root mean square | mean error | usual half width |"]
    lines += ["| --- | --- | --- | --- | --- | --- |"]
    for key, count in sorted(counts.items()):
        told = len(count.held)
        rms = math.sqrt(sum(e * e for e in count.errors) / told)
        mean = sum(count.errors) / told
        half = sorted(count.halves)[told // 2]
        held = f"{sum(count.held)} of {told}, {100.0 * sum(count.held) / told:.0f} %"
        lines.append(f"| `{key}` | {told} | {held} | {rms:.1f} % | {mean:+.1f} % | {half:.1f} % |")
    agreed = [row["agreed"] for row in rows if row["agreed"]]
    if agreed:
        ends = ", ".join(f"{agreed.count(str(outcome))} {outcome}" for outcome in Outcome)
        lines += ["", f"`logs_and_file_agree` on an honest file: {ends}."]
    return [*lines, ""]


def turns(counts: dict[str, int]) -> list[tuple[str, int]]:
    """Return kind and number of every log, the kinds in turn, so that a count that is stopped has some of each."""
    every = [((number + 0.5) / count, kind, number) for kind, count in counts.items() for number in range(count)]
    return [(kind, number) for _, kind, number in sorted(every)]


KINDS = {
    "Flights": (learned, None, 0),
    "Coast-downs": (learned, COAST_TEXT, 10_000),
    "Flights under a governor that does not act ahead of the collective": (governed, None, 20_000),
}


def main() -> None:
    """Simulate, learn, print, and write when asked."""
    keep = Path(sys.argv[1])
    numbers = [int(word) for word in sys.argv[2:] if word.isdigit()]
    counts = dict(zip(KINDS, (*numbers, *(200, 100, 200)[len(numbers) :]), strict=False))
    machine = read_machine(bundled("fox600"))
    rows = [json.loads(line) for line in keep.read_text("utf-8").splitlines()] if keep.exists() else []
    done = {(row["kind"], row["seed"]) for row in rows}
    with keep.open("a", encoding="utf-8") as file:
        for kind, number in turns(counts):
            learn, text, first = KINDS[kind]
            if (kind, first + number) in done:
                continue
            rows.append({"kind": kind, "seed": first + number, **learn(machine, first + number, text)})
            print(json.dumps(rows[-1]), file=file, flush=True)
    lines = [line for kind in KINDS for line in table([row for row in rows if row["kind"] == kind], kind)]
    print("\n".join(lines))
    if "--write" in sys.argv:
        page = PAGE.read_text("utf-8")
        before, _, rest = page.partition(BEGIN)
        _, _, after = rest.partition(END)
        PAGE.write_text(before + BEGIN + "\n" + "\n".join(lines).rstrip() + "\n" + END + after, "utf-8")


if __name__ == "__main__":
    main()
