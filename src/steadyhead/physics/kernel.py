"""The one decorator that compiles a kernel, and where its compiled form is kept.

numba keeps compiled code by the file of the function alone: after an edit to a kernel in another file, a stale caller
would go on with the old numbers. So the cache folder carries a digest of every kernel source and of the versions used.
"""

import atexit
import builtins
import hashlib
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from functools import cache
from pathlib import Path
from types import FunctionType
from typing import Any, ParamSpec, TypeVar, cast

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


FLAGS: dict[str, Any] = {
    "cache": True, "nogil": True, "error_model": "numpy", "fastmath": {"contract", "reassoc", "nsz", "arcp"},
}  # fmt: skip
"""What every kernel is compiled with; the four flags keep NaN checks right (stack traps, measured)."""
ARRAY_MAKERS = frozenset(
    ("empty", "zeros", "ones", "full", "copy", "array", "arange", "linspace", "empty_like", "zeros_like")
)
"""Names by which a kernel shows that it makes arrays; one that makes them in another way does not compile."""
INSIDE = "_inside"


def compiled(function: Callable[P, R], *, lone: bool = False, **more: Any) -> Callable[P, R]:
    """Compile a function twice over, each when first asked for: for Python, and for the kernels that call it.

    What is called by kernels alone needs no door to Python; for a function that takes a whole machine that door is
    most of its code, and half of the time that compiling takes. References are counted only where arrays are made:
    the arrays of a machine live in its caller, and counting them took a quarter of a flight. So no kernel returns one.
    """
    njit: Any = numba.njit
    plain = cast("FunctionType", function)
    options = {**FLAGS, **more, "_nrt": bool(ARRAY_MAKERS & set(plain.__code__.co_names))}
    outside = njit(**options)(function)
    if vars(numba.config)["DISABLE_JIT"]:
        return cast("Callable[P, R]", outside)
    copy = FunctionType(plain.__code__, plain.__globals__, plain.__name__, plain.__defaults__, plain.__closure__)
    # The name tells the two apart in the cache on disk.
    copy.__qualname__, copy.__module__ = plain.__qualname__ + INSIDE, plain.__module__
    inside = njit(no_cpython_wrapper=True, no_cfunc_wrapper=True, **options)(copy)
    if lone:
        outside._compiler._customize_flags = inside._compiler._customize_flags = without_overlap
    outside.get_call_template, outside.get_overload = inside.get_call_template, inside.get_overload
    return cast("Callable[P, R]", outside)


def without_overlap(flags: Any) -> Any:
    """Return compiler flags with the promise that arrays do not overlap; numba has no option of its own for it."""
    flags.noalias = True
    return flags


def kernel(function: Callable[P, R]) -> Callable[P, R]:
    """Compile a scalar function of SI floats; it may read, write and make arrays, but not return one."""
    return compiled(function)


def inlined_kernel(function: Callable[P, R]) -> Callable[P, R]:
    """Compile as `kernel` does, and lay the function into the machine code of every kernel that calls it.

    For the few kernels that run a million times in a flight: a call that hands over a whole machine costs more than
    what it computes.
    """
    return compiled(function, forceinline=True)


def wide_kernel(function: Callable[P, R]) -> Callable[P, R]:
    """Compile as `kernel` does, on the promise that the arrays it takes do not lie over one another.

    For loops over rings: only with that promise may the compiler work out several rings in one instruction.
    """
    return compiled(function, lone=True)


def inlined_wide_kernel(function: Callable[P, R]) -> Callable[P, R]:
    """Compile as `wide_kernel` does, and lay the function into the machine code of every kernel that calls it."""
    return compiled(function, lone=True, forceinline=True)


def source_of(function: Callable[P, R]) -> Callable[P, R]:
    """Return the Python function behind a kernel: for one call that is not worth compiling, or another compiler."""
    return cast("Callable[P, R]", getattr(function, "py_func", function))


def is_kernel(held: object) -> bool:
    """Whether what a name stands for is a kernel."""
    return hasattr(held, "py_func")


def with_names(function: Callable[..., Any], chosen: Callable[[Any], Any], **more: Any) -> FunctionType:
    """Return a copy of a function in which each kernel that it names is what `chosen` makes of it."""
    plain = cast("FunctionType", function)
    seen = {name: plain.__globals__[name] for name in plain.__code__.co_names if name in plain.__globals__}
    names = {name: chosen(held) if is_kernel(held) else held for name, held in seen.items()}
    whole = {**names, **more, "__builtins__": builtins}
    return FunctionType(plain.__code__, whole, plain.__name__, plain.__defaults__, plain.__closure__)


@cache
def interpreted(function: Callable[P, R]) -> Callable[P, R]:
    """Return the Python function behind a kernel in which every kernel that it calls is interpreted, too.

    For a few calls in a short command: they are over long before the compiler's library is ready, a third of a second.
    A division by zero raises here.
    """
    return cast("Callable[P, R]", with_names(source_of(function), interpreted))


def at_hand(function: Callable[P, R]) -> Callable[P, R]:
    """Return a kernel as it is where its compiled form has been loaded already, else interpreted."""
    return function if getattr(function, "signatures", None) else interpreted(function)
