"""The one decorator that compiles a kernel, and where its compiled form is kept.

numba keeps compiled code by the file of the function alone: after an edit to a kernel in another file, a stale caller
would go on with the old numbers. So the cache folder carries a digest of every kernel source and of the versions used.
"""

import atexit
import hashlib
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")

PREFIX = "kernels-"
KEPT_DAYS = 30.0


def sources_digest(*folders: Path) -> str:
    """Return a digest of all kernel sources in `folders` and of the interpreter and numba versions."""
    from importlib.metadata import version

    digest = hashlib.sha256(f"{sys.version} {version('numba')} {version('numpy')}".encode())
    for number, folder in enumerate(folders):
        for path in sorted(folder.glob("*.py")):
            source = path.read_bytes()
            # Beside the first folder only files with kernels of their own count: the others hold nothing compiled.
            if number == 0 or b"@kernel" in source:
                digest.update(path.name.encode())
                digest.update(source)
    return digest.hexdigest()[:16]


def cache_folder(*sources: Path) -> Path:
    """Return the folder that compiled kernels of exactly these sources are kept in; it exists and can be written.

    Where the user's cache cannot be written, a folder of this process alone stands in: slower, never wrong.
    """
    base = os.environ.get("STEADYHEAD_CACHE") or os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache")
    folder = Path(base) / "steadyhead" / f"{PREFIX}{sources_digest(*sources)}"
    is_new = not folder.is_dir()
    if not can_be_written(folder):
        stand_in = tempfile.mkdtemp(prefix="steadyhead-kernels-")
        atexit.register(shutil.rmtree, stand_in, ignore_errors=True)
        return Path(stand_in)
    if is_new:
        prune(folder)
    return folder


def can_be_written(folder: Path) -> bool:
    """Whether a file can be made in `folder`, which is made if need be."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


def prune(current: Path) -> None:
    """Remove folders of other sources that nobody has touched for a month; one in use elsewhere is left alone."""
    oldest = time.time() - KEPT_DAYS * 86400.0
    for other in current.parent.glob(f"{PREFIX}*"):
        if other == current or other.is_symlink() or not other.is_dir():
            continue
        try:
            untouched = all(path.stat().st_mtime < oldest for path in (other, *other.iterdir()))
        except OSError:
            continue
        if untouched:
            shutil.rmtree(other, ignore_errors=True)


KERNEL_FOLDERS = (Path(__file__).parent, Path(__file__).parents[1] / "flight")
"""Every folder that holds kernels: the leaf equations, and the loop in time."""
CACHE_FOLDER = cache_folder(*KERNEL_FOLDERS)
os.environ["NUMBA_CACHE_DIR"] = str(CACHE_FOLDER)

import numba  # noqa: E402

vars(numba.config)["CACHE_DIR"] = str(CACHE_FOLDER)


def kernel(function: Callable[P, R]) -> Callable[P, R]:
    """Compile a scalar function of SI floats; the flags keep NaN checks right (stack traps, measured)."""
    compiled: Callable[P, R] = numba.njit(
        cache=True, nogil=True, error_model="numpy", fastmath={"contract", "reassoc", "nsz", "arcp"}
    )(function)
    return compiled


def inlined_kernel(function: Callable[P, R]) -> Callable[P, R]:
    """Compile as `kernel` does, and lay the function into every kernel that calls it.

    For the few kernels that run a million times in a flight: a call that hands over a whole machine costs more than
    what it computes.
    """
    compiled: Callable[P, R] = numba.njit(
        cache=True, nogil=True, error_model="numpy", fastmath={"contract", "reassoc", "nsz", "arcp"}, inline="always"
    )(function)
    return compiled
