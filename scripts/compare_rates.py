"""Counts how often `compare` sees a change that is not there, and misses one that is: python scripts/compare_rates.py.

A plain simulated drive with gusts, noise and rounded columns (tests/naive) is flown many times; flights are drawn from
that heap, one to three a side, with and without a change. Invented figures throughout.
"""

import sys
from collections import Counter
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.judge.compare import compare
from steadyhead.judge.compare_result import Said
from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from tests.naive.drive_log import Drive, fly
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import flight, trace_of

FLIGHTS, CHANGED_FLIGHTS, PAIRS, SEED = 14, 8, 60, 20_261_130
DAYS_SHARE = 0.05
"""Where days differ, these of each flight are drawn with this deviation; invented."""
OF_THE_DAY = ("pack_resistance", "kp")
CHANGES = (
    ("nothing", {}, ""),
    ("pack 15 % more resistance", {"pack_resistance": 0.0345}, "pack_resistance_mohm"),
    ("pack 20 % more resistance", {"pack_resistance": 0.036}, "pack_resistance_mohm"),
    ("pack 50 % more resistance", {"pack_resistance": 0.045}, "pack_resistance_mohm"),
    ("head speed 20 rpm higher", {"rpm_at_zero": 610.0}, "head_speed_rpm"),
    ("head speed 5 rpm higher", {"rpm_at_zero": 595.0}, "head_speed_rpm"),
    ("governor gain 40 % lower", {"kp": 1.2}, "undershoot_percent"),
    ("governor gain a third higher", {"kp": 2.66}, "undershoot_percent"),
)
"""What is changed, on the simulated drive, and the figure that has to show it."""
MOVED = (Said.BETTER, Said.WORSE, Said.CHANGED)


def heap(drive: Drive, first_seed: int, size: int, days: float = 0.0) -> list[Judgement]:
    """Return judged flights of a drive, each with gusts and noise of its own, and of a day of its own."""
    random = np.random.default_rng(first_seed)
    drawn = [
        Drive(**{**vars(drive), **{name: vars(drive)[name] * random.normal(1.0, days) for name in OF_THE_DAY}})
        for _ in range(size)
    ]
    return [judge(MACHINE, trace_of(fly(one, flight(), seed=first_seed + k))) for k, one in enumerate(drawn)]


def counted(before: list[Judgement], after: list[Judgement], figure: str, each: int) -> Counter[str]:
    """Return over PAIRS draws how many say a change, how many show the figure, how many figures were looked at."""
    random, count = np.random.default_rng(SEED), Counter[str]()
    for _ in range(PAIRS):
        if before is after:
            at = random.choice(len(before), 2 * each, replace=False)
            sides = [before[k] for k in at[:each]], [before[k] for k in at[each:]]
        else:
            sides = tuple([heap[k] for k in random.choice(len(heap), each, replace=False)] for heap in (before, after))
        told = compare(MACHINE, *sides)
        moved = [change for change in told.changes if change.said in MOVED]
        count["some figure said to have changed"] += bool(moved)
        count["figures said"] += len(moved)
        count["figures"] += sum(change.chance is not None for change in told.changes)
        count["found"] += any(change.figure == figure for change in moved)
    return count


def main() -> None:
    """Print the table."""
    base, days = heap(Drive(), SEED, FLIGHTS), heap(Drive(), SEED + FLIGHTS, FLIGHTS, DAYS_SHARE)
    print("| changed | flights a side | draws | some figure said to have changed | the figure is found |")
    print("| --- | --- | --- | --- | --- |")
    print_rows("nothing, days 5 % apart", days, days, "")
    for number, (words, numbers, figure) in enumerate(CHANGES, start=1):
        other = heap(Drive(**{**vars(Drive()), **numbers}), 1000 * number, CHANGED_FLIGHTS) if numbers else base
        print_rows(words, base, other, figure)


def print_rows(words: str, base: list[Judgement], other: list[Judgement], figure: str) -> None:
    """Print what is counted with one, two and three flights a side."""
    for each in (1, 2, 3):
        count = counted(base, other, figure, each)
        found = f"{count['found']}" if figure else f"- ({count['figures said']} of {count['figures']} figures)"
        print(f"| {words} | {each} | {PAIRS} | {count['some figure said to have changed']} | {found} |", flush=True)


if __name__ == "__main__":
    main()
