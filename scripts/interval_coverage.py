"""Count how often the 90 % intervals of `plan`, `channel`, `descend` and `judge` hold the truth.

Run from the root of the repository: python scripts/interval_coverage.py [COMMAND ...] [--few] [--write]
COMMAND is plan, channel, descend or judge, or all four when left out. --few draws a tenth, to try it; --write puts the
tables into docs/intervals.md.
True machines are drawn from what the owner's file doubts; what is counted is what the command prints for that file.
"""

import math
import os
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "scripts")]


from steadyhead.study.questions import pass_interval  # noqa: E402

PAGE = ROOT / "docs" / "intervals.md"
LEVEL = 0.9
WIDE = 0.97
Interval = tuple[float, float]


@dataclass
class Count:
    """How often the interval of one figure held the truth, by place: a condition, a mode, a check."""

    held: dict[str, int] = field(default_factory=dict)
    told: dict[str, int] = field(default_factory=dict)
    below: int = 0
    above: int = 0

    def add(self, place: str, interval: Interval | None, true: float | None) -> None:
        """Keep one; an interval that is not told claims nothing, a truth that does not exist is a miss."""
        if interval is None or math.isnan(interval[0]) or math.isnan(interval[1]):
            return
        slack = 1e-9 * max(abs(interval[0]), abs(interval[1]))
        inside = true is not None and interval[0] - slack <= true <= interval[1] + slack
        self.told[place] = self.told.get(place, 0) + 1
        self.held[place] = self.held.get(place, 0) + inside
        if true is not None and not inside:
            self.below += true < interval[0]
            self.above += true > interval[1]

    @property
    def share(self) -> float:
        """Share held over all places."""
        return sum(self.held.values()) / sum(self.told.values())

    @property
    def worst(self) -> tuple[str, int, int]:
        """The place where it held least: its name, held, told."""
        place = min(self.told, key=lambda one: self.held[one] / self.told[one])
        return place, self.held[place], self.told[place]


Counts = dict[tuple[str, str, str], Count]
"""By machine, case and figure."""


def put(counts: Counts, key: tuple[str, str, str], place: str, interval: Interval | None, true: float | None) -> None:
    """Keep one interval and its truth."""
    counts.setdefault(key, Count()).add(place, interval, true)


def table(counts: Counts, columns: list[tuple[str, str]]) -> list[str]:
    """Return the table in Markdown: figures down, machine and case across."""
    heads = [f"{machine}, {case}" for machine, case in columns]
    lines = ["| figure | " + " | ".join(heads) + " |", "| --- " * (len(heads) + 1) + "|"]
    for figure in dict.fromkeys(figure for _, _, figure in counts):
        cells = [_cell(counts.get((machine, case, figure))) for machine, case in columns]
        lines.append(f"| {figure} | " + " | ".join(cells) + " |")
    return lines


def _cell(count: Count | None) -> str:
    if count is None or not count.told:
        return "not told"
    _, held, told = count.worst
    low, high = pass_interval(held, told)
    return f"{100 * count.share:.0f} %; {held} of {told}, {100 * low:.0f} to {100 * high:.0f} %"


def misses(counts: Counts) -> list[str]:
    """Return every figure that holds the truth less often than it says, then those that do so far too often."""
    lines = []
    for (machine, case, figure), count in counts.items():
        if not count.told:
            continue
        place, held, told = count.worst
        low, high = pass_interval(held, told)
        if high < LEVEL:
            where = f", worst in {place}" if len(count.told) > 1 else ""
            lines.append(
                f"- **{figure}, {machine}, {case}**: {held} of {told}, {100 * low:.0f} to {100 * high:.0f} %{where}; "
                f"{100 * count.share:.0f} % over all places; truth below {count.below}, above {count.above} times."
            )
    wide = [f"{figure} ({m}, {case}: {100 * c.share:.0f} %)" for (m, case, figure), c in counts.items()
            if c.told and c.share > WIDE]  # fmt: skip
    if wide:
        lines.append(f"- Wider than 90 %: {'; '.join(wide)}.")
    return lines or ["- None."]


def write(command: str, lines: list[str]) -> None:
    """Put lines between the marks of a command on the page."""
    begin, end = f"<!-- {command}: begin -->", f"<!-- {command}: end -->"
    page = PAGE.read_text("utf-8")
    before, _, rest = page.partition(begin)
    PAGE.write_text(f"{before}{begin}\n" + "\n".join(lines) + f"\n{end}{rest.partition(end)[2]}", "utf-8")


def main() -> None:
    """Draw, count, print, and write when asked."""
    from coverage_channel import channel_counts
    from coverage_flight import judge_counts
    from coverage_machines import descend_counts, plan_counts

    few = 10 if "--few" in sys.argv else 1
    works = {
        "plan": (lambda counts, folder: plan_counts(counts, folder, 500 // few)),
        "channel": (lambda counts, folder: channel_counts(counts, 1000 // few)),
        "descend": (lambda counts, folder: descend_counts(counts, folder, 100 // few)),
        "judge": (lambda counts, folder: judge_counts(counts, 240 // few)),
    }
    for command in [word for word in sys.argv[1:] if word in works] or list(works):
        counts: Counts = {}
        begun = time.process_time()
        with tempfile.TemporaryDirectory() as folder:
            works[command](counts, Path(folder))
        columns = list(dict.fromkeys((machine, case) for machine, case, _ in counts))
        lines = ["Misses first:", "", *misses(counts), "", *table(counts, columns)]
        print(f"{command}: {time.process_time() - begun:.0f} s of processor time", file=sys.stderr)
        print("\n".join(["", f"## {command}", "", *lines]), flush=True)
        if "--write" in sys.argv:
            write(command, lines)


if __name__ == "__main__":
    main()
