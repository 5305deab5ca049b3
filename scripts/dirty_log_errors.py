"""Judge hundreds of dirty logs of hidden flights and print what came out wrong, misses first.

Run from the root of the repository: python scripts/dirty_log_errors.py [LOGS] [FIRST] [--write]
--write puts the tables into docs/judge.md between its marks.
"""

import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from scripts.verdict_table import verdict_rows
from steadyhead.judge.gearing_of import gearing_of
from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.trace.reading import read_trace
from steadyhead.words.errors import InputError
from tests.given_machine import machine_from
from tests.naive.dirty_log import dirty_log
from tests.naive.hidden_story import Flight, flight_of

PAGE = Path(__file__).resolve().parents[1] / "docs" / "judge.md"
BEGIN, END = "<!-- dirty table: begin -->", "<!-- dirty table: end -->"


@dataclass
class Counts:
    """What came out: (check, true, said) to a count, and every miss in words."""

    verdicts: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    missed: list[str] = field(default_factory=list)
    alarms: list[str] = field(default_factory=list)
    not_shown: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)


def try_log(counts: Counts, seed: int, folder: Path) -> None:
    """Judge one dirty log and compare every verdict with what is true."""
    flight = flight_of(seed)
    dirty = dirty_log(flight, seed)
    path = folder / f"dirty-{seed}"
    path.write_bytes(dirty.data)
    machine = machine_from(flight.given)
    said = f"log {seed} ({flight.fault}; {', '.join(dirty.dirt)})"
    try:
        got = judge(machine, read_trace(path, gearing=gearing_of(machine), remember=False))
    except InputError as error:
        counts.refused.append(f"{said}: {error}")
        return
    finally:
        path.unlink()
    compare(counts, flight, got, said)


def compare(counts: Counts, flight: Flight, got: Judgement, said: str) -> None:
    """Count each verdict against the truth."""
    for check in got.checks:
        true, figure = flight.truth.get(check.check, ("borderline", None))
        twice = true == "not_exercised" and ", the log twice" in said  # then the second run may show it
        if true == "borderline" or twice:
            continue
        counts.verdicts[check.check, true, str(check.verdict)] += 1
        words = f"{said}: {check.check} true {true} {figure if figure is None else round(figure, 3)}: {check.reason}"
        if true == "fail" and check.verdict == "pass":
            counts.missed.append(words)
        if true == "pass" and check.verdict == "fail":
            counts.alarms.append(words)
        if true == "not_exercised" and check.verdict != "unknown":
            counts.not_shown.append(words)


def table(counts: Counts, logs: int) -> str:
    """Return the counts as Markdown, misses first."""
    refused = f"{logs} logs, {len(counts.refused)} of them not read without a question or at all."
    return "\n".join([refused, "", *verdict_rows(counts.verdicts)])


def main() -> None:
    """Print the tables and every miss, or write the tables into the page."""
    words = [word for word in sys.argv[1:] if not word.startswith("-")]
    logs = int(words[0]) if words else 600
    first = int(words[1]) if len(words) > 1 else 0
    counts = Counts()
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(first, first + logs):
            try_log(counts, seed, Path(folder))
    text = table(counts, logs)
    if "--write" in sys.argv:
        page = PAGE.read_text("utf-8")
        before, _, rest = page.partition(BEGIN)
        PAGE.write_text(f"{before}{BEGIN}\n{text}\n{END}{rest.partition(END)[2]}", "utf-8")
    print(text)
    for title in ("missed", "alarms", "not_shown", "refused"):
        print(f"\n{title}:")
        for line in getattr(counts, title):
            print(f"- {line}")


if __name__ == "__main__":
    main()
