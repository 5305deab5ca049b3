"""Which other count of teeth or poles would explain the Kv that logs show, within what a Kv is really known to."""

from dataclasses import replace
from typing import NamedTuple

from steadyhead.learn.result import Parameter
from steadyhead.machine.description import Machine
from steadyhead.words.value import Origin

KV, PINION, POLES = "motor.kv", "gears.pinion_teeth", "motor.poles"
LABEL_SHARE = 0.1
"""How far a Kv that nobody measured may be off, as a share: of the motors of the bench in docs/physics-drive.md the
name reads 2.5 to 9.6 % high; taken either way, own choice."""


class Claimed(NamedTuple):
    """One number as logs and file say it: both 90 % intervals, in one unit."""

    key: str
    logs: tuple[float, float]
    file: tuple[float, float]


def other_teeth(machine: Machine, kv: Claimed | None) -> tuple[int, ...]:
    """Return the neighbouring counts of the pinion's teeth that would explain the Kv as well as the file's.

    `kv` is None where the file states no Kv: then every count would.
    """
    return _others(machine, kv, round(machine.gears.pinion_teeth.number))


def other_pole_pairs(machine: Machine, kv: Claimed | None) -> tuple[int, ...]:
    """Return the neighbouring counts of pole pairs that would explain the Kv as well as the file's."""
    return _others(machine, kv, round(machine.pole_pairs)) if machine.pole_pairs else ()


def would_do_as_well(machine: Machine, kv: Claimed, key: str) -> str:
    """Say which Kv each count of teeth, or of pole pairs, would make of what these logs show.

    Kv true = Kv seen with the file's count * count of the file / true count
    """
    if key == POLES:
        stated, others, name = round(machine.pole_pairs or 0.0), other_pole_pairs(machine, kv), "pole pairs"
    else:
        stated, others, name = round(machine.gears.pinion_teeth.number), other_teeth(machine, kv), "teeth"
    value = machine.value(KV)
    unit = value.unit if value is not None else "rpm/V"
    low, high = kv.logs
    each = (f"{n} {name} and {low * stated / n:.4g} to {high * stated / n:.4g} {unit}" for n in (stated, *others))
    return f"these logs fit {', or '.join(each)} equally well, since a Kv that nobody measured may be a tenth off"


def withheld(machine: Machine, one: Parameter, kv: Claimed, counts: tuple[str, ...]) -> Parameter:
    """Return a Kv that may as well be another count, as one that is not told; it says what each count would make."""
    each = "; ".join(would_do_as_well(machine, kv, key) for key in counts)
    needs = (
        'a count of teeth or poles that is counted (from = "measured"), or head speed and motor speed both, the '
        f"motor's as it turns: {each}"
    )
    return replace(one, told=False, value=None, value_interval=None, rests_on=(), remarks=(), needs=needs)


def _others(machine: Machine, kv: Claimed | None, count: int) -> tuple[int, ...]:
    """Return those counts beside one with which the two intervals of Kv meet.

    Kv seen with the file's count = Kv true * true count / count of the file
    """
    near = (count - 1, count + 1)
    return near if kv is None else tuple(n for n in near if n > 0 and _meet(machine, kv, n / count))


def _meet(machine: Machine, kv: Claimed, times: float) -> bool:
    low, high = kv.file
    value = machine.value(KV)
    if value is None or value.origin is not Origin.MEASURED:
        middle = 0.5 * (low + high)
        low, high = min(low, (1.0 - LABEL_SHARE) * middle), max(high, (1.0 + LABEL_SHARE) * middle)
    return kv.logs[0] <= high * times and low * times <= kv.logs[1]
