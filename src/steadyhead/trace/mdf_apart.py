"""Has an MDF file taken apart by another process, which a damaged file may end without ending this one.

The process is started at the first file and kept for the next, since loading the library takes longer than reading.
"""

import atexit
import json
import os
import signal
import subprocess
import sys
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from threading import Event, Lock, Timer
from typing import Any, ClassVar

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.mdf_request import FOUND, Request
from steadyhead.trace.opening import MIB
from steadyhead.trace.trace import Series
from steadyhead.words.errors import InputError

LIMIT_S = 60
"""Processor time for a small file."""
LIMIT_S_PER_MIB = 2
WAITS = 4
"""How many times as long a busy machine may take."""


@dataclass(frozen=True, kw_only=True)
class Column:
    """One channel of the file, on the disk.

    Shapes: time_s (n,); number (n,), or text, n words.
    """

    name: str
    unit: str
    group: int
    time_s: Series
    number: Series | None
    text: NDArray[Any] | None


@dataclass(frozen=True, kw_only=True)
class Found:
    """What an MDF file holds."""

    version: str
    columns: tuple[Column, ...]


def taken_apart(name: str, path: Path, folder: Path, *, large: bool = False) -> Found:
    """Return the channels of an MDF file; their values lie in `folder` and are gone with it.

    Words of a large one are passed over.
    Raises: InputError when asammdf is not installed, or the file is broken, empty or too large.
    """
    found = _asked(name, path, folder, large=large)
    if not found["columns"]:
        raise InputError(name, read="an MDF file with no values", right="channels with values over time")
    columns = tuple(_column(folder, about, words=not large) for about in found["columns"])
    return Found(version=found["version"], columns=columns)


def counted(name: str, path: Path, folder: Path) -> int:
    """Return how many numbers an MDF file says it holds.

    Raises: InputError when asammdf is not installed, or the file is broken.
    """
    return int(_asked(name, path, folder, large=True, only_count=True)["numbers"])


def _asked(name: str, path: Path, folder: Path, *, large: bool, only_count: bool = False) -> dict[str, Any]:
    if find_spec("asammdf") is None:
        raise InputError(
            name,
            read="an MDF file, and the library that reads it is not installed",
            right="python -m pip install 'steadyhead[mdf]'",
        )
    limit_s = LIMIT_S + LIMIT_S_PER_MIB * (path.stat().st_size // MIB)
    ended = _Helper.ask(Request(str(path), str(folder), limit_s, large, only_count))
    there = folder.joinpath(FOUND)
    if ended != 0 or not there.exists():
        read = f"an MDF file on which the library that reads it {_ended(ended, limit_s)}"
        raise InputError(name, read=read, right="a whole MDF file; or the same log as CSV or Parquet")
    found: dict[str, Any] = json.loads(there.read_text("utf-8"))
    if "read" in found:
        raise InputError(name, read=found["read"], right=found["right"])
    return found


def _ended(code: int | None, limit_s: int) -> str:
    if code is None or code == -getattr(signal, "SIGXCPU", 0):
        return f"did not come to an end in {limit_s} s"
    if code < 0:
        return f"came to grief ({signal.Signals(-code).name})"
    return "stopped halfway"


def _column(folder: Path, about: dict[str, Any], *, words: bool) -> Column:
    values, rows = folder.joinpath(about["values"]), int(about["rows"])
    text = None
    if words and not about["is_number"]:
        with values.open("rb") as lines:
            text = np.array([json.loads(line) for line in lines], dtype=object)
    return Column(
        name=about["name"],
        unit=about["unit"],
        group=about["group"],
        time_s=np.memmap(folder.joinpath(about["times"]), np.float64, "r", shape=(rows,)),
        number=np.memmap(values, np.float64, "r", shape=(rows,)) if about["is_number"] else None,
        text=text,
    )


class _Helper:
    """The one process that takes files apart for this one."""

    running: ClassVar["subprocess.Popen[str] | None"] = None
    of: ClassVar[int] = 0
    """The process that started it: a copy of this one must not share it."""
    lock: ClassVar[Lock] = Lock()

    @classmethod
    def ask(cls, request: Request) -> int | None:
        """Return how the reading of one file ended: 0, a code, a signal as a negative number, or None: too late."""
        with cls.lock:
            helper = cls._started()
            if helper.stdin is None or helper.stdout is None:
                return 1
            late = Event()
            timer = Timer(WAITS * request.limit_s, _kill_late, (helper, late))
            timer.start()
            try:
                helper.stdin.write(json.dumps(request._asdict()) + "\n")
                helper.stdin.flush()
                answer = helper.stdout.readline().strip()
            except BrokenPipeError:
                answer = ""
            except BaseException:
                cls.forget(helper)
                raise
            finally:
                timer.cancel()
            if answer and hasattr(os, "fork"):
                return int(answer)
            code = cls.forget(helper)
            return None if late.is_set() else int(answer or code or 1)

    @classmethod
    def _started(cls) -> "subprocess.Popen[str]":
        if cls.running is not None and cls.of == os.getpid() and cls.running.poll() is not None:
            cls.forget(cls.running)
        if cls.running is None or cls.of != os.getpid():
            paths = os.pathsep.join(path for path in sys.path if path)
            cls.of = os.getpid()
            cls.running = subprocess.Popen(
                [sys.executable, "-P", "-m", "steadyhead.trace.mdf_child"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env={**os.environ, "PYTHONPATH": paths},
                start_new_session=True,  # a Ctrl-C is for this process, which then ends that one
                text=True,
            )
        return cls.running

    @classmethod
    def forget(cls, helper: "subprocess.Popen[str]") -> int:
        """End the process and return its code."""
        cls.running = None
        _kill(helper)
        for pipe in (helper.stdin, helper.stdout):
            if pipe:
                pipe.close()
        return helper.wait()


def helper() -> "subprocess.Popen[str] | None":
    """Return the process that takes files apart for this one, while there is one."""
    return _Helper.running if _Helper.of == os.getpid() else None


def stop() -> None:
    """End that process; the next file starts another."""
    if _Helper.running is not None and _Helper.of == os.getpid():
        _Helper.forget(_Helper.running)


atexit.register(stop)


def _kill_late(helper: "subprocess.Popen[str]", late: Event) -> None:
    late.set()
    _kill(helper)


def _kill(helper: "subprocess.Popen[str]") -> None:
    """End the process, and with it the copy that reads."""
    if helper.poll() is not None:
        return
    if hasattr(os, "killpg"):
        os.killpg(helper.pid, signal.SIGKILL)
    else:
        helper.kill()
