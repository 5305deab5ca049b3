"""Count how often the 90 % intervals of `learn` hold the truth, on simulated flights of machines drawn at random.

Run from the root of the repository: python scripts/learn_coverage.py [FLIGHTS] [COAST_DOWNS] [--write]
--write puts the table into docs/learn.md between its marks. Each log is learned from alone.
"""

import math
import os
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.learn.governor_gains import governor_seen
from steadyhead.learn.joint import joint, models_of
from steadyhead.learn.parameters import parameters
from steadyhead.learn.rows import evidence
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import read_machine
from tests.noisy_flight import COAST_TEXT, noisy_flight

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


def learned(machine: Machine, seed: int, text: str | None, counts: dict[str, Count]) -> None:
    """Learn one simulated log and keep what came out."""
    truth = noisy_flight(machine, seed, text=text)
    found = evidence(machine, truth.trace)
    if found is None:
        return
    for parameter in parameters(machine, joint(machine, models_of(machine, [found]))):
        if parameter.told and parameter.value is not None and parameter.value_interval is not None:
            kind = machine.declared(parameter.key).kind  # type: ignore[attr-defined]
            true = kind.number_in(truth.machine.value(parameter.key).si, parameter.unit)  # type: ignore[union-attr]
            counts.setdefault(parameter.key, Count()).add(parameter.value, parameter.value_interval, true)
    seen = governor_seen("drawn", found.found)
    if seen.told:
        for key, value, interval in (
            ("governor.gain", seen.gain, seen.gain_interval),
            ("governor.integral_time", seen.integral_time_s, seen.integral_time_s_interval),
        ):
            true = truth.machine.value(key).si  # type: ignore[union-attr]
            counts.setdefault(key, Count()).add(value, interval, true)  # type: ignore[arg-type]


def table(counts: dict[str, Count], logs: int, title: str) -> list[str]:
    """Return one table in Markdown."""
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
    return [*lines, ""]


def main() -> None:
    """Simulate, learn, print, and write when asked."""
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()]
    flights, coasts = (*numbers, *(200, 60)[len(numbers) :])[:2]
    machine = read_machine(bundled("fox600"))
    lines: list[str] = []
    for logs, text, title, first in ((flights, None, "Flights", 0), (coasts, COAST_TEXT, "Coast-downs", 10_000)):
        counts: dict[str, Count] = {}
        begun = time.perf_counter()
        for seed in range(first, first + logs):
            learned(machine, seed, text, counts)
            if sys.stderr.isatty():
                print(f"\r{title} {seed - first + 1} of {logs}", end="", file=sys.stderr)
        lines += table(counts, logs, title)
        print(f"{title}: {time.perf_counter() - begun:.0f} s", file=sys.stderr)
    print("\n".join(lines))
    if "--write" in sys.argv:
        page = PAGE.read_text("utf-8")
        before, _, rest = page.partition(BEGIN)
        _, _, after = rest.partition(END)
        PAGE.write_text(before + BEGIN + "\n" + "\n".join(lines).rstrip() + "\n" + END + after, "utf-8")


if __name__ == "__main__":
    main()
