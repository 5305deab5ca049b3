"""Whether logs can be of one machine: each fitted alone, and what they tell held against each other."""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations
from pathlib import Path
from typing import NamedTuple

from steadyhead.learn.doubt import Doubt
from steadyhead.learn.fit import Fitted
from steadyhead.learn.joint import alone, told
from steadyhead.learn.model import LogModel
from steadyhead.learn.not_shown import THROUGH_THE_GEARS
from steadyhead.learn.parameters import AT_25_C, pack_temperature, warmth
from steadyhead.machine.description import Machine
from steadyhead.machine.keys import Quantity
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome

OF_THE_MACHINE = ("motor.kv", "motor.resistance", "pack.resistance", "rotor.inertia", "rotor.hub_inertia")
"""Numbers that are the same in every log of one machine; drag goes with the day's air, and is left out."""
WIDER = 2.0
"""Intervals that do not meet even so many times as wide contradict each other for certain; own choice."""


class Told(NamedTuple):
    """The logarithm of a number as one log tells it, SI, and the half width of its 90 % interval."""

    middle: float
    half: float


def among_logs(machine: Machine, models: Sequence[LogModel], say: Say = silent) -> Doubt | None:
    """Return what some logs say against others; None where all can be of one machine.

    Valid: numbers that a log tells by itself; pack resistances at 25 C, with the doubt of the pack's temperature.
    """
    if len(models) < 2:
        return None
    each = []
    for model in models:
        say(f"fit {Path(model.evidence.log).name} alone")
        each.append((model, alone(machine, (model,))))
    apart = [line for key in OF_THE_MACHINE for line in _apart(machine, key, each, WIDER)]
    if not apart:
        return _perhaps(machine, each)
    says = "; ".join(apart)
    return Doubt(
        says=f"the logs contradict each other: {says}: they are of other machines, builds or packs; "
        "learn from the logs of one build at a time",
        verdict=Outcome.FAIL,
        needs=("logs of one build",),
    )


def _perhaps(machine: Machine, each: Sequence[tuple[LogModel, Fitted]]) -> Doubt | None:
    """Return the numbers whose intervals, as they stand, do not meet: no value of all logs together is theirs.

    Inertia and drag come from one balance: where one is apart, the others are not told either.
    """
    lines = {key: "; ".join(_apart(machine, key, each, 1.0)) for key in OF_THE_MACHINE}
    apart = {key: line for key, line in lines.items() if line}
    if not apart:
        return None
    through = frozenset(THROUGH_THE_GEARS) if apart.keys() & set(THROUGH_THE_GEARS) else frozenset()
    return Doubt(
        says=f"the logs do not agree among themselves: {'; '.join(apart.values())}: they may be of other machines, "
        "builds or packs; learn from the logs of one build at a time",
        verdict=Outcome.UNKNOWN,
        needs=tuple(apart),
        holds=frozenset(apart) | through,
    )


def _apart(machine: Machine, key: str, each: Sequence[tuple[LogModel, Fitted]], wider: float) -> Iterator[str]:
    """Say of a number which two logs lie farthest apart, where their intervals, so many times as wide, do not meet."""
    seen = [(model, _told(machine, key, model, fitted)) for model, fitted in each]
    known = [(model, one) for model, one in seen if one is not None]
    far = [pair for pair in combinations(known, 2) if _gap(pair[0][1], pair[1][1], wider) > 0.0]
    if far:
        (one, at), (other, there) = max(far, key=lambda pair: _gap(pair[0][1], pair[1][1], wider))
        yield f"{key} is {_says(machine, key, at)} in {_name(one)} and {_says(machine, key, there)} in {_name(other)}"


def _gap(one: Told, other: Told, wider: float) -> float:
    return abs(one.middle - other.middle) - wider * (one.half + other.half)


def _told(machine: Machine, key: str, model: LogModel, fitted: Fitted) -> Told | None:
    if key not in {unknown.name for unknown in fitted.unknowns} or not told(fitted, key):
        return None
    middle, half = math.log(fitted.numbers()[key]), fitted.half(key)
    if key not in AT_25_C:
        return Told(middle, half)
    warm = warmth(*pack_temperature(machine, (model,)))
    return Told(middle - warm.middle, math.hypot(half, warm.half))


def _says(machine: Machine, key: str, one: Told) -> str:
    declared, stated = machine.declared(key), machine.value(key)
    if not isinstance(declared, Quantity):
        raise TypeError(key)
    unit = stated.unit if stated else declared.kind.unit
    low, high = (declared.kind.number_in(math.exp(end), unit) for end in (one.middle - one.half, one.middle + one.half))
    return f"{low:.4g} to {high:.4g} {unit}"


def _name(model: LogModel) -> str:
    return Path(model.evidence.log).name
