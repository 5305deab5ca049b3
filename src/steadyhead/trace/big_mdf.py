"""A large MDF log as a row of blocks: taken apart onto the disk first, then some rows of its columns at a time."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from steadyhead.trace.mdf_apart import Column, counted, taken_apart
from steadyhead.trace.mdf_rows import first_of, nearest_rows, parts, rows_of, same_on_disk, some
from steadyhead.trace.trace import Series
from steadyhead.words.errors import InputError

COUNTED_FROM = 256 << 10
"""A smaller file cannot hold more numbers than memory: none may promise more than 200 times its size."""
ROOMY = Path("/var/tmp")
"""Where large temporary files belong (Filesystem Hierarchy Standard 3.0, 5.15): the usual place may lie in memory."""


def cells_of(path: Path) -> int:
    """Return how many numbers the table of an MDF file would have; 0 when it is small or broken: the reader says so."""
    if path.stat().st_size < COUNTED_FROM:
        return 0
    with _folder() as folder:
        try:
            return counted(path.name, path, folder)
        except InputError:
            return 0


@contextmanager
def _folder() -> Iterator[Path]:
    roomy = str(ROOMY) if "TMPDIR" not in os.environ and os.access(ROOMY, os.W_OK) else None
    with TemporaryDirectory(dir=roomy, ignore_cleanup_errors=True) as name:
        yield Path(name)


class Apart:
    """The columns of a large MDF log on one row of times, all of them on the disk; the first is the time."""

    def __init__(self, name: str, path: Path, folder: Path) -> None:
        channels = taken_apart(name, path, folder, large=True).columns
        base = max(channels, key=lambda channel: channel.time_s.size)
        self._times = _on_disk(folder, rows_of(base.time_s, channels))
        self._channels = channels
        self._whole = [_stands_as_it_is(channel, self._times) for channel in channels]
        self._doubled: dict[tuple[int, int], int] = {}
        self.headings = ("time", *(channel.name for channel in channels))
        self.units = ("s", *(channel.unit for channel in channels))
        self.is_text = (False, *(channel.number is None for channel in channels))
        self.rows = int(self._times.size)
        slower = [channel.time_s for channel, whole in zip(channels, self._whole, strict=True) if not whole]
        if slower and not all(_goes_forward(stamps) for stamps in (self._times, *slower)):
            raise InputError(
                name,
                read="several groups of channels in so large a log, and times that run backwards",
                right="times that go forward, or the log parted into smaller files",
            )

    def block(self, first: int, count: int) -> Series:
        """Return some rows of every column; those of words hold no number. Shapes: (columns, rows of the block)."""
        stop = min(first + count, self.rows)
        columns = [some(self._times, first, stop)]
        for at, channel in enumerate(self._channels):
            if channel.number is None:
                columns.append(np.full(stop - first, np.nan))
            elif self._whole[at]:
                columns.append(some(channel.number, first, stop))
            else:
                columns.append(self._spread(at, channel.time_s, channel.number, first, stop))
        return np.array(columns)

    def _spread(self, at: int, stamps: Series, number: Series, first: int, stop: int) -> Series:
        """Return a slower channel, its values in the rows nearest in time. Shapes: stamps, number (m,) -> (rows,)."""
        before, behind = max(first - 1, 0), min(stop + 1, self.rows)
        times = some(self._times, before, behind)
        begin = int(np.searchsorted(stamps, times[0], "left")) if before else 0
        end = int(np.searchsorted(stamps, times[-1], "right")) if behind < self.rows else stamps.size
        rows = nearest_rows(times, some(stamps, begin, end)) + before
        mine = np.flatnonzero((rows >= first) & (rows < stop))
        taken = first_of(rows[mine])
        there = taken >= 0
        self._doubled[at, first] = int(there.size - there.sum())
        out = np.full(stop - first, np.nan)
        out[taken[there] - first] = some(number, begin, end)[mine[there]]
        return out

    def doubled(self) -> tuple[str, ...]:
        """Return a note for each channel of which values of the blocks read so far found their row taken."""
        lost = [
            (channel.name, sum(count for (of, _), count in self._doubled.items() if of == at))
            for at, channel in enumerate(self._channels)
        ]
        return tuple(f"{n} values of {name} fall into a row that has one already: left out" for name, n in lost if n)


def _stands_as_it_is(channel: Column, times: Series) -> bool:
    if channel.number is None or same_on_disk(channel.time_s, times):
        return True
    pairs = ((some(channel.time_s, a, b), some(times, a, b)) for a, b in parts(times))
    return channel.time_s.size == times.size and all(np.array_equal(x, y, equal_nan=True) for x, y in pairs)


def _goes_forward(stamps: Series) -> bool:
    return all(bool((np.diff(some(stamps, max(a - 1, 0), b)) >= 0.0).all()) for a, b in parts(stamps))


def _on_disk(folder: Path, times: Series) -> Series:
    if isinstance(times, np.memmap):
        return times
    path = folder.joinpath("rows.times")
    times.tofile(path)
    return np.memmap(path, np.float64, "r", shape=times.shape)


@contextmanager
def apart(path: Path) -> Iterator[Apart]:
    """Take a large MDF log apart; what lies on the disk is gone afterwards.

    Raises: InputError when it is broken or empty, its times run backwards, or the disk has no room for its columns.
    """
    with _folder() as folder:
        yield Apart(path.name, path, folder)
