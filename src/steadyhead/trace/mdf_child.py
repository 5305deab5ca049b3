"""The program that takes MDF files apart for the reader, in a process of its own: a damaged file may end it.

Run by `steadyhead.trace.mdf_apart` only. Each line it is given names a file and a folder. The columns are written into
that folder some rows at a time, and `found.json` says last what they are. Where the system can, each file is read by a
copy of this process with limits of its own, so that nothing a file did outlives it.
"""

import json
import os
import shutil
import struct
import sys
import zlib
from collections.abc import Iterator
from contextlib import ExitStack
from importlib import import_module
from io import BufferedRandom, BufferedReader
from pathlib import Path
from typing import Any, BinaryIO, NamedTuple

import numpy as np

from steadyhead.trace.mdf_request import CELL_LIMIT, FOUND, ROW_LIMIT, Request
from steadyhead.trace.opening import GROWTH_FROM, GROWTH_LIMIT, MIB
from steadyhead.words.errors import InputError, in_short

GROUP_LIMIT = 1000
CHANNEL_LIMIT = 2000
WINDOW_BYTES = 16 * MIB
BEYOND_BYTES = 2048 * MIB
"""Addresses that reading one file may take beyond what the process has before."""
_UNFINISHED, _COPY = b"UnFinMF ", "finished"
_BROKEN = (
    ValueError, KeyError, IndexError, TypeError, AttributeError, OverflowError, RuntimeError, OSError, EOFError,
    ArithmeticError, AssertionError, NotImplementedError, MemoryError, struct.error, zlib.error,
)  # fmt: skip
"""What the library was seen to raise on files that are damaged at random: they are all the file's fault."""


def main() -> None:
    """Take one file apart for each line of input, and answer with a number: how the reading ended."""
    answers = os.fdopen(os.dup(1), "w", encoding="ascii")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    import_module("asammdf")
    for line in sys.stdin:
        request = Request(**json.loads(line))
        answers.write(f"{_by_a_copy(request) if hasattr(os, 'fork') else _take_apart(request)}\n")
        answers.flush()
        if not hasattr(os, "fork"):
            return


def _by_a_copy(request: Request) -> int:
    """Return how a copy of this process ended: 0, an exit code, or a signal as a negative number."""
    copy = os.fork()
    if copy:
        return os.waitstatus_to_exitcode(os.waitpid(copy, 0)[1])
    code = 1
    try:
        _limit(request.limit_s)
        code = _take_apart(request)
    finally:
        os._exit(code)


def _limit(limit_s: int) -> None:
    import resource

    status = Path("/proc/self/statm")
    taken = int(status.read_text("ascii").split()[0]) * resource.getpagesize() if status.exists() else 2048 * MIB
    for kind, most in (
        (resource.RLIMIT_AS, taken + BEYOND_BYTES),
        (resource.RLIMIT_CPU, limit_s),
        (resource.RLIMIT_CORE, 0),
    ):
        hard = resource.getrlimit(kind)[1]
        resource.setrlimit(kind, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))


def _take_apart(request: Request) -> int:
    from asammdf import MDF
    from asammdf.blocks.utils import MdfException

    folder, path = Path(request.folder), Path(request.path)
    broken: tuple[type[Exception], ...] = (*_BROKEN, *_unpacking_errors(), MdfException)
    try:
        with _opened(path, folder) as opened, MDF(opened) as file:
            _refuse_large(file, request)
            _refuse_lies(file, path.stat().st_size)
            if request.only_count:
                return _say(folder, {"numbers": _numbers_of_the_table(file)})
            columns = [
                column
                for number in range(len(file.groups))
                for column in _group(file, number, folder, words=not request.large)
            ]
            found: dict[str, Any] = {"version": str(file.version), "columns": columns}
    except InputError as error:
        found = {"read": error.read, "right": error.right}
    except broken as error:
        said = in_short(error)
        for place in (path, folder.joinpath(_COPY)):
            said = said.replace(f"'{place}'", "it").replace(str(place), "it")
        found = {"read": f"a broken MDF file ({said})", "right": "a whole MDF file"}
    return _say(folder, found)


def _opened(path: Path, folder: Path) -> BufferedReader | BufferedRandom:
    """Open a file; of one that its logger did not finish a copy, which the library finishes in its place."""
    with path.open("rb") as file:
        finished = file.read(len(_UNFINISHED)) != _UNFINISHED
    if finished:
        return path.open("rb")
    copy = folder.joinpath(_COPY)
    shutil.copyfile(path, copy)
    return copy.open("r+b")


def _say(folder: Path, found: dict[str, Any]) -> int:
    folder.joinpath(FOUND).write_text(json.dumps(found), "utf-8")
    return 0


def _numbers(file: Any) -> int:
    return sum(int(group.channel_group.cycles_nr) * len(group.channels) for group in file.groups)


def _numbers_of_the_table(file: Any) -> int:
    rows = max((int(group.channel_group.cycles_nr) for group in file.groups), default=0)
    return rows * sum(len(group.channels) for group in file.groups)


def _unpacking_errors() -> tuple[type[Exception], ...]:
    """Return what the library's unpacker raises: an error class of its own where the quick one is installed."""
    try:
        unpacker = import_module("isal.igzip_lib")
    except ImportError:
        return ()
    return (unpacker.IsalError,)


def _refuse_large(file: Any, request: Request) -> None:
    rows = [int(group.channel_group.cycles_nr) for group in file.groups]
    cells = _numbers(file)
    channels = sum(len(group.channels) for group in file.groups)
    if len(rows) > GROUP_LIMIT or channels > CHANNEL_LIMIT:
        raise InputError("", read=f"{channels} channels in {len(rows)} groups", right=f"at most {CHANNEL_LIMIT}")
    if not request.large and (max(rows, default=0) > ROW_LIMIT or cells > CELL_LIMIT):
        right = f"at most {ROW_LIMIT} rows and {CELL_LIMIT} numbers (the size limit)"
        raise InputError("", read=f"{max(rows)} rows, {cells} numbers", right=right)
    free = shutil.disk_usage(request.folder).free
    if cells * 8 > free:
        right = f"a disk with room for {cells * 8 // MIB} MiB of its columns (now {free // MIB} MiB)"
        raise InputError("", read=f"{max(rows)} rows, {cells} numbers", right=right)


def _refuse_lies(file: Any, size: int) -> None:
    """Refuse a file that promises more than it can hold, before room is made for it."""
    promised = 0
    for group in file.groups:
        about = group.channel_group
        promised += int(about.cycles_nr) * (
            int(about.samples_byte_nr) + int(getattr(about, "invalidation_bytes_nr", 0))
        )
        blocks = [*getattr(group, "data_blocks", ()), *getattr(group, "signal_data", ())]
        promised += sum(int(getattr(block, "original_size", 0) or 0) for block in blocks)
    if promised > max(GROWTH_FROM, GROWTH_LIMIT * size):
        raise InputError("", read=f"{size} bytes that promise {promised} bytes of values", right="a whole MDF file")


class _Piece(NamedTuple):
    """Some rows of one channel. Shapes: stamps (n,), samples (n,)."""

    name: str
    unit: str
    stamps: Any
    samples: Any


class _Column:
    """One channel on its way to the disk: its values, and its times where they are not those of its group."""

    def __init__(self, folder: Path, group: int, at: int, kept: ExitStack, *, words: bool) -> None:
        self.folder, self.key, self.group, self.kept, self.words = folder, f"{group}-{at}", group, kept, words
        self.about: dict[str, Any] = {}
        self.values: BinaryIO | None = None
        self.times: BinaryIO | None = None
        self.rows = 0

    def add(self, piece: _Piece, group_stamps: Any, group_rows: int) -> None:
        """Append some rows; `group_rows` stand in the times of the group already."""
        is_number = piece.samples.dtype.kind in "biuf"
        if not self.about:
            self.about = {"name": piece.name, "unit": piece.unit, "group": self.group, "is_number": is_number}
            self.values = self._opened("values")
        if not self.values or self.about["is_number"] != is_number:
            raise ValueError(f"channel {piece.name} changes its kind")
        same = self.rows == group_rows and np.array_equal(piece.stamps, group_stamps, equal_nan=True)
        if self.times is None and not same:
            self.times = self._opened("times")
            with self.folder.joinpath(f"{self.group}.times").open("rb") as group_times:
                self.times.write(group_times.read(8 * self.rows))
        if self.times:
            self.times.write(piece.stamps.tobytes())
        if is_number or self.words:
            self.values.write(piece.samples.astype(np.float64).tobytes() if is_number else _lines(piece.samples))
        self.rows += piece.stamps.size

    def _opened(self, ending: str) -> BinaryIO:
        return self.kept.enter_context(self.folder.joinpath(f"{self.key}.{ending}").open("wb"))

    def found(self) -> dict[str, Any]:
        """Return what this column is and where it lies."""
        times = f"{self.key}.times" if self.times else f"{self.group}.times"
        return {**self.about, "rows": self.rows, "values": f"{self.key}.values", "times": times}


def _lines(samples: Any) -> bytes:
    cells = (cell.decode("utf-8", "replace") if isinstance(cell, bytes) else str(cell) for cell in samples.tolist())
    return b"".join(json.dumps(cell).encode() + b"\n" for cell in cells)


def _group(file: Any, number: int, folder: Path, *, words: bool) -> list[dict[str, Any]]:
    """Write every channel of a group that holds one value a sample, but no time channel, and say what they are."""
    group = file.groups[number]
    master, rows = file.masters_db.get(number), int(group.channel_group.cycles_nr)
    if not rows:
        return []
    window = max(1000, WINDOW_BYTES // max(int(group.channel_group.samples_byte_nr), 1))
    wanted = [at for at in range(len(group.channels)) if at != master]
    with ExitStack() as kept:
        times = kept.enter_context(folder.joinpath(f"{number}.times").open("wb"))
        columns = {at: _Column(folder, number, at, kept, words=words) for at in wanted}
        for first in range(0, rows, window):
            part = {} if rows <= window else {"record_offset": first, "record_count": min(window, rows - first)}
            stamps, written = None, times.tell() // 8
            for at, piece in _pieces(file, number, wanted, part):
                stamps = piece.stamps if stamps is None else stamps
                columns[at].add(piece, stamps, written)
            if stamps is not None:
                times.write(stamps.tobytes())
                times.flush()
    return [column.found() for column in columns.values() if column.rows]


def _pieces(file: Any, number: int, wanted: list[int], part: dict[str, int]) -> Iterator[tuple[int, _Piece]]:
    for at in wanted:
        signal = file.get(group=number, index=at, **part)
        samples, stamps = np.asarray(signal.samples), np.asarray(signal.timestamps, dtype=np.float64)
        if samples.ndim == 1 and samples.dtype.names is None and samples.size == stamps.size:
            yield at, _Piece(str(signal.name), str(signal.unit or ""), stamps, samples)


if __name__ == "__main__":
    main()
