"""Where a table of text is parted so that it fits, and how wide its columns are: a figure is never cut."""

from collections.abc import Sequence
from itertools import takewhile
from typing import NamedTuple

GAP = 2
"""Blanks between two columns."""
LONGEST_WORD = 24
"""A longer word, such as a path, is broken where there is no room."""


class Size(NamedTuple):
    """A column: its least width, that of its longest word, its greatest, and what it holds."""

    least: int
    most: int
    figures: bool
    """Whether it holds figures, which are never broken."""
    belongs: bool
    """Whether it stays with the column before it, as an interval with its figure."""


Part = list[tuple[int, int]]
"""Numbers of columns with the width of each."""


def inside(room: int, mark: str) -> int:
    """Return how many letters are left beside a mark at the beginning of a line, 20 at least."""
    return max(20, room - len(mark))


def parts_of(sizes: Sequence[Size], room: int, repeated: int = 0) -> list[Part]:
    """Return the parts of a table that fit into so many letters, each beginning with the first `repeated` columns.

    Those are the columns of words in front, where nothing is said.
    """
    repeated = repeated or len(list(takewhile(lambda size: not size.figures, sizes[:-1]))) or 1
    left, parts = _groups(sizes), list[list[int]]()
    while left:
        part = [*(_kept(sizes, room, list(range(repeated)), left[0]) if parts else ()), *left.pop(0)]
        while left and _width(sizes, [*part, *left[0]]) <= room:
            part += left.pop(0)
        parts.append(part)
    return [list(zip(part, _widths(sizes, part, room), strict=True)) for part in parts]


def _groups(sizes: Sequence[Size]) -> list[list[int]]:
    groups: list[list[int]] = []
    for number, size in enumerate(sizes):
        if groups and size.belongs:
            groups[-1].append(number)
        else:
            groups.append([number])
    return groups


def _kept(sizes: Sequence[Size], room: int, first: list[int], next_ones: list[int]) -> list[int]:
    """Return as many of the first columns as there is room for beside the next ones."""
    while first and _width(sizes, [*first, *next_ones]) > room:
        first = first[:-1]
    return first


def _least(size: Size) -> int:
    return size.most if size.figures else min(size.least, LONGEST_WORD)


def _width(sizes: Sequence[Size], part: list[int]) -> int:
    return sum(_least(sizes[number]) for number in part) + GAP * (len(part) - 1)


def _widths(sizes: Sequence[Size], part: list[int], room: int) -> list[int]:
    """Share the room that is left between the columns: alike, but to none more than it needs."""
    widths, rest = {number: _least(sizes[number]) for number in part}, max(room - _width(sizes, part), 0)
    waiting = sorted(part, key=lambda number: sizes[number].most - widths[number])
    for done, number in enumerate(waiting):
        more = min(sizes[number].most - widths[number], rest // (len(waiting) - done))
        widths[number] += more
        rest -= more
    return [widths[number] for number in part]
