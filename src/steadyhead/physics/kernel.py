"""The one decorator that compiles a kernel, and where its compiled form is kept.

numba keeps compiled code by the file of the function alone: after an edit to a kernel in another file, a stale caller
would go on with the old numbers. So the cache folder carries a digest of every kernel source and of the versions used.
"""

import hashlib
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")

FLAGS = {"cache": True, "nogil": True, "error_model": "numpy", "fastmath": {"contract", "reassoc", "nsz", "arcp"}}


def sources_digest(folder: Path) -> str:
    """Return a digest of all kernel sources in `folder` and of the interpreter and numba versions."""
    from importlib.metadata import version

    digest = hashlib.sha256(f"{sys.version} {version('numba')} {version('numpy')}".encode())
    for path in sorted(folder.glob("*.py")):
        digest.update(path.name.encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def cache_folder() -> Path:
    """Return the folder that compiled kernels of exactly these sources are kept in."""
    base = os.environ.get("STEADYHEAD_CACHE") or os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "steadyhead" / f"kernels-{sources_digest(Path(__file__).parent)}"


os.environ["NUMBA_CACHE_DIR"] = str(cache_folder())

import numba  # noqa: E402

numba.config.CACHE_DIR = os.environ["NUMBA_CACHE_DIR"]


def kernel(function: Callable[P, R]) -> Callable[P, R]:
    """Compile a scalar function of SI floats; the flags keep NaN checks right (stack traps, measured)."""
    compiled: Callable[P, R] = numba.njit(**FLAGS)(function)
    return compiled
