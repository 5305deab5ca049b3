"""What the machine file says and these logs cannot show: agreement on it rests on who measured it."""

from collections.abc import Container, Iterable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from steadyhead.judge.plausible import AGREE_SHARE, head_over_motor
from steadyhead.learn.rows import FEWEST_WINDOWS, RAD_S, Evidence
from steadyhead.machine.description import Machine
from steadyhead.words.value import Origin

RADIUS, PINION, KV = "rotor.radius", "gears.pinion_teeth", "motor.kv"
THROUGH_THE_GEARS = ("rotor.inertia", "rotor.hub_inertia", "rotor.drag_factor", "gears.drag_torque")
"""Numbers that come out wrong with a wrong gear ratio."""
APART_S = 0.1
"""By so much two speed sensors may lag apart; common practice, no source."""
WHAT = {RADIUS: "blade length", PINION: "the count of the pinion's teeth"}
HOW = {
    RADIUS: "measure it with a ruler, from the shaft to the blade tip",
    PINION: "count them, or log head speed and motor speed both",
}


class Claimed(NamedTuple):
    """One number as logs and file say it: both 90 % intervals, in one unit."""

    key: str
    logs: tuple[float, float]
    file: tuple[float, float]


def not_shown(
    machine: Machine, known: Sequence[Claimed], found: Sequence[Evidence], told: Container[str] = ()
) -> tuple[str, ...]:
    """Return the keys of the file that play a part in these logs and that they cannot show.

    `told` are all keys that the logs tell, those that the file calls typical too.
    Valid: blade length plays a part where blades turned; teeth where a number that was told comes through the gears.
    """
    return (*_blades(machine, found), *_teeth(machine, known, found, told))


def rests_on_the_file(machine: Machine, keys: Iterable[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return of some keys those that the file calls measured, and the others."""
    every = tuple(keys)
    measured = tuple(key for key in every if (value := machine.value(key)) and value.origin is Origin.MEASURED)
    return measured, tuple(key for key in every if key not in measured)


def says(key: str) -> str:
    """Say of a key that the logs do not show it, and what would."""
    return f'{WHAT[key]} ({key}) is not shown by this log; {HOW[key]}, and write from = "measured"'


def ratio_off(found: Sequence[Evidence]) -> float | None:
    """Return head speed over motor speed where both are logged and do not fit the teeth and poles of the file."""
    off = [ratio for ratio in ratios(found) if abs(ratio - 1.0) > AGREE_SHARE]
    return off[len(off) // 2] if off else None


def ratios(found: Sequence[Evidence]) -> tuple[float, ...]:
    """Return head speed over motor speed in steady running, of every log that holds both, from the least."""
    each = (head_over_motor(one.found) or _while_driven(one) for one in found)
    return tuple(sorted(ratio for ratio in each if ratio is not None))


def _while_driven(one: Evidence) -> float | None:
    """Return head speed over motor speed while the motor drives at a nearly steady speed; None without both."""
    driven, signals = one.driven, one.found.signals
    if driven is None or signals.speed_rpm is None or signals.motor_rpm is None or not signals.speed_is_head:
        return None
    steady = np.abs(driven.head_rad_s2) * APART_S < AGREE_SHARE * driven.head_rad_s
    if int(steady.sum()) < FEWEST_WINDOWS:
        return None
    head = np.interp(driven.time_s[steady], signals.time_s, signals.speed_rpm) * RAD_S
    return float(np.median(head / driven.head_rad_s[steady]))


def _blades(machine: Machine, found: Sequence[Evidence]) -> Iterator[str]:
    value = machine.value(RADIUS)
    turned = any(one.blades_on and (one.driven is not None or one.coasts) for one in found)
    if turned and value is not None and not value.is_typical:
        yield RADIUS


def _teeth(
    machine: Machine, known: Sequence[Claimed], found: Sequence[Evidence], told: Container[str]
) -> Iterator[str]:
    """Yield the pinion where one tooth more or fewer would do as well.

    Two speeds show the ratio. One speed at the head shows Kv times the ratio: as well as the file knows Kv.
    """
    if ratios(found):
        return
    signals = [one.found.signals for one in found if one.driven is not None]
    alone = [one.speed_is_head and one.motor_rpm is None for one in signals]
    kv = next((one for one in known if one.key == KV), None)
    teeth = machine.gears.pinion_teeth.number
    geared = any(one.key in THROUGH_THE_GEARS for one in known) or any(key in told for key in THROUGH_THE_GEARS)
    if not (geared or (kv is not None and any(alone))):
        return
    if kv is None or not all(alone) or any(_would_do(kv, other / teeth) for other in (teeth - 1.0, teeth + 1.0)):
        yield PINION


def _would_do(kv: Claimed, times: float) -> bool:
    """Whether another count of teeth, so many times the file's, would let the two intervals of Kv meet, too.

    Kv seen with the file's ratio = Kv true * ratio of the file / true ratio = Kv true * true teeth / teeth of the file
    """
    low, high = (end * times for end in kv.file)
    return kv.logs[0] <= high and low <= kv.logs[1]
