"""Counts the floating-point operations of one step of a flight, by flying a few steps on numbers that count.

Run by hand from the root of the repository: NUMBA_DISABLE_JIT=1 python speed/flight_operations.py
Sums, products, quotients and roots count one each; comparisons, copies and look-ups count nothing. Exponentials and
the like of a library are shown beside.
"""

import math
import os
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

os.environ["NUMBA_DISABLE_JIT"] = "1"
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import numpy as np

from steadyhead.physics import polar_table
from tests.unit.flight.rigs import fox_rig

DONE: Counter[str] = Counter()
LOG_OPERATIONS = {"sum": 12, "product": 12, "quotient": 1}
"""Of `series.natural_log`, which reads bits and cannot be counted by itself."""
STEPS, STEP_S = 8, 1e-3


class Counted(float):
    """A float that counts what is done with it."""


def counting(name: str, kind: str) -> Callable[..., Any]:
    """A method of float that counts one operation of a kind and stays counted."""
    method = getattr(float, name)

    def done(*numbers: float) -> Any:
        found = method(*(float(number) for number in numbers))
        DONE[kind] += 1
        return Counted(found)

    return done


for kind, names in {
    "sum": ("add", "radd", "sub", "rsub"),
    "product": ("mul", "rmul"),
    "quotient": ("truediv", "rtruediv"),
}.items():
    for name in names:
        setattr(Counted, f"__{name}__", counting(f"__{name}__", kind))
Counted.__neg__ = lambda number: Counted(-float(number))  # type: ignore[assignment]
Counted.__abs__ = lambda number: Counted(abs(float(number)))  # type: ignore[assignment]


def watched(function: Callable[..., float], kind: str) -> Callable[..., float]:
    """A library function that counts its calls and gives counted numbers."""

    def called(*numbers: float) -> float:
        DONE[kind] += 1
        return Counted(function(*(float(number) for number in numbers)))

    return called


def logarithm(ratio: float) -> float:
    """Stands in for `series.natural_log`."""
    DONE.update(LOG_OPERATIONS)
    return Counted(math.log(float(ratio)))


def counted(value: Any) -> Any:
    """The same numbers, counting."""
    if isinstance(value, float):
        return Counted(value)
    if isinstance(value, tuple):
        parts = [counted(part) for part in value]
        return type(value)(*parts) if hasattr(value, "_fields") else tuple(parts)
    if isinstance(value, np.ndarray) and value.dtype == np.float64:
        made = np.empty(value.shape, dtype=object)
        for place in np.ndindex(value.shape):
            made[place] = Counted(value[place])
        return made
    return value


def main() -> None:
    """Fly a few steps of the invented Fox 600 in hover and print the operations of one."""
    from steadyhead.flight.begin import hovering
    from steadyhead.physics.craft import Acting
    from steadyhead.physics.flight_step import flight_step

    now, (flow, memory) = hovering(fox_rig(), mode=1, channel_percent=60.0, height_m=50.0, charge=0.9)
    craft, state, carried = counted(fox_rig().craft), counted(now.state), counted(now.carried)
    polar_table.natural_log = logarithm
    for word in ("exp", "expm1", "sin", "cos", "asin"):
        setattr(math, word, watched(getattr(math, word), "library"))
    math.sqrt = watched(math.sqrt, "root")
    math.copysign = watched(math.copysign, "sign")
    acting = counted(Acting(now.governor.duty, now.collective_rad, 0.0, 0.0, 1.0, 0.0, math.nan))
    moving, books = counted(flow), counted(memory)
    DONE.clear()
    for _ in range(STEPS):
        state, carried, _ = flight_step(craft, state, acting, carried, moving, books, Counted(STEP_S))
    for kind, times in DONE.most_common():
        print(f"{kind}: {times / STEPS:.0f} a step")
    whole = sum(DONE[kind] for kind in ("sum", "product", "quotient", "root")) / STEPS
    print(f"all but library calls: {whole:.0f} a step")


if __name__ == "__main__":
    main()
