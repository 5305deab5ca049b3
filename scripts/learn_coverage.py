"""Count how often the 90 % intervals of `learn` hold the truth, on simulated flights of machines drawn at random.

Run from the root of the repository: python scripts/learn_coverage.py [FLIGHTS] [COAST_DOWNS] [GOVERNORS] [--write]
--write puts the table into docs/learn.md between its marks. Each log is learned from alone. Logs and file are also held
against each other, with a file whose owner measured the drawn machine as closely as the invented file says.
"""

import math
import os
import sys
import time
from dataclasses import dataclass, field, replace
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import numpy as np

from steadyhead.learn.agreement import agreement
from steadyhead.learn.governor_gains import governor_seen
from steadyhead.learn.joint import joint, models_of
from steadyhead.learn.parameters import parameters
from steadyhead.learn.result import Parameter
from steadyhead.learn.rows import Evidence, evidence
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


@dataclass
class Kept:
    """What came out of the logs of one kind: a count for each key, and how logs and an honest file agreed."""

    counts: dict[str, Count] = field(default_factory=dict)
    agreed: list[Outcome] = field(default_factory=list)


def learned(machine: Machine, seed: int, text: str | None, kept: Kept) -> None:
    """Learn one simulated log and keep what came out."""
    truth = noisy_flight(machine, seed, text=text)
    found = evidence(machine, truth.trace)
    if found is None:
        return
    counts = kept.counts
    told = parameters(machine, joint(machine, models_of(machine, [found])))
    held = honest_agreement(machine, told, truth, found, np.random.default_rng(seed))
    if held is not None:
        kept.agreed.append(held)
    for parameter in told:
        if parameter.told and parameter.value is not None and parameter.value_interval is not None:
            kind = machine.declared(parameter.key).kind  # type: ignore[attr-defined]
            true = kind.number_in(truth.machine.value(parameter.key).si, parameter.unit)  # type: ignore[union-attr]
            counts.setdefault(parameter.key, Count()).add(parameter.value, parameter.value_interval, true)
    governor(found, truth, counts)


def governed(machine: Machine, seed: int, text: str | None, kept: Kept) -> None:
    """Read the governor of one simulated flight and keep what came out; it does not act ahead of the collective."""
    truth = governed_flight(machine, seed)
    found = evidence(machine, truth.trace)
    if found is not None:
        governor(found, truth, kept.counts)


def honest_agreement(
    machine: Machine, told: tuple[Parameter, ...], truth: Truth, found: Evidence, rng: np.random.Generator
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
    check = agreement(machine, owned, (), (found,))
    return check.verdict if check is not None else None


def governor(found: Evidence, truth: Truth, counts: dict[str, Count]) -> None:
    """Keep what a log says of its governor."""
    seen = governor_seen("drawn", found.found)
    if seen.told:
        for key, value, interval in (
            ("governor.gain", seen.gain, seen.gain_interval),
            ("governor.integral_time", seen.integral_time_s, seen.integral_time_s_interval),
        ):
            true = truth.machine.value(key).si  # type: ignore[union-attr]
            counts.setdefault(key, Count()).add(value, interval, true)  # type: ignore[arg-type]


def table(kept: Kept, logs: int, title: str) -> list[str]:
    """Return one table in Markdown."""
    counts = kept.counts
    lines = [f"{title}: {logs} logs.", ""]
    lines += ["| key | told | held the truth | error, root mean square | mean error | usual half width |"]
    lines += ["| --- | --- | --- | --- | --- | --- |"]
    for key, count in sorted(counts.items()):
        told = len(count.held)
        rms = math.sqrt(sum(e * e for e in count.errors) / told)
        mean = sum(count.errors) / told
        half = sorted(count.halves)[told // 2]
        held = f"{sum(count.held)} of {told}, {100.0 * sum(count.held) / told:.0f} %"
        lines.append(f"| `{key}` | {told} | {held} | {rms:.1f} % | {mean:+.1f} % | {half:.1f} % |")
    if kept.agreed:
        ends = {outcome: kept.agreed.count(outcome) for outcome in Outcome}
        lines += ["", f"`logs_and_file_agree` on an honest file: {ends[Outcome.PASS]} pass, "
                  f"{ends[Outcome.UNKNOWN]} unknown, {ends[Outcome.FAIL]} fail."]  # fmt: skip
    return [*lines, ""]


def main() -> None:
    """Simulate, learn, print, and write when asked."""
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()]
    flights, coasts, governors = (*numbers, *(200, 100, 200)[len(numbers) :])[:3]
    machine = read_machine(bundled("fox600"))
    lines: list[str] = []
    for logs, text, title, first, learn in (
        (flights, None, "Flights", 0, learned),
        (coasts, COAST_TEXT, "Coast-downs", 10_000, learned),
        (governors, None, "Flights under a governor that does not act ahead of the collective", 20_000, governed),
    ):
        kept = Kept()
        begun = time.process_time()
        for seed in range(first, first + logs):
            learn(machine, seed, text, kept)
            if sys.stderr.isatty():
                print(f"\r{title} {seed - first + 1} of {logs}", end="", file=sys.stderr)
        lines += table(kept, logs, title)
        print("\n".join(table(kept, logs, title)), file=sys.stderr)
        print(f"{title}: {time.process_time() - begun:.0f} s of processor time", file=sys.stderr)
    print("\n".join(lines))
    if "--write" in sys.argv:
        page = PAGE.read_text("utf-8")
        before, _, rest = page.partition(BEGIN)
        _, _, after = rest.partition(END)
        PAGE.write_text(before + BEGIN + "\n" + "\n".join(lines).rstrip() + "\n" + END + after, "utf-8")


if __name__ == "__main__":
    main()
