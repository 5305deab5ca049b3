"""What the machine file says and these logs cannot show: agreement on it rests on who measured it."""

from collections.abc import Container, Iterable, Iterator, Sequence

import numpy as np

from steadyhead.judge.plausible import AGREE_SHARE, head_over_motor
from steadyhead.learn.kv_counts import KV, PINION, POLES, Claimed, other_pole_pairs, other_teeth
from steadyhead.learn.rows import FEWEST_WINDOWS, RAD_S, Evidence
from steadyhead.machine.description import Machine
from steadyhead.words.value import Origin

RADIUS = "rotor.radius"
THROUGH_THE_GEARS = ("rotor.inertia", "rotor.hub_inertia", "rotor.drag_factor", "gears.drag_torque")
"""Numbers that come out wrong with a wrong gear ratio."""
APART_S = 0.1
"""By so much two speed sensors may lag apart; common practice, no source."""
WHAT = {RADIUS: "blade length", PINION: "the count of the pinion's teeth", POLES: "the count of the motor's poles"}
HOW = {
    RADIUS: "measure it with a ruler, from the shaft to the blade tip",
    PINION: "count them, or log head speed and motor speed both, the motor's as it turns and not divided by the logger",
    POLES: "count its magnets, or log head speed too",
}
MOTOR_SIDE = "motor_side_speed_rpm"


def not_shown(
    machine: Machine, known: Sequence[Claimed], found: Sequence[Evidence], told: Container[str] = ()
) -> tuple[str, ...]:
    """Return the keys of the file that play a part in these logs and that they cannot show.

    `told` are all keys that the logs tell, those that the file calls typical too.
    Valid: blade length plays a part where blades turned; teeth where a number that was told comes through the gears.
    """
    return (*_blades(machine, found), *_teeth(machine, known, found, told), *_poles(machine, known, found, told))


def rests_on_the_file(machine: Machine, keys: Iterable[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return of some keys those that the file calls measured, and the others."""
    every = tuple(keys)
    measured = tuple(key for key in every if (value := machine.value(key)) and value.origin is Origin.MEASURED)
    return measured, tuple(key for key in every if key not in measured)


def says(key: str) -> str:
    """Say of a key that the logs do not show it, and what would."""
    return f'{WHAT[key]} ({key}) is not shown by this log; {HOW[key]}, and write from = "measured"'


def gear_is_shown(found: Sequence[Evidence]) -> bool:
    """Whether a head speed and a motor speed as the motor turns fit each other through teeth and poles of the file.

    Valid: a motor speed that the logger itself divided by a ratio fits the head whatever the file says: it shows none.
    """
    return ratio_off(found) is None and bool(ratios([one for one in found if undivided(one)]))


def undivided(one: Evidence) -> bool:
    """Whether a log holds its motor speed as the motor turns, so that the file's own teeth and poles divided it."""
    return any(column.channel == MOTOR_SIDE and column.divided_by != 1.0 for column in one.trace.columns)


def kv_rests_on(machine: Machine, kv: Claimed, found: Sequence[Evidence]) -> tuple[str, ...]:
    """Return which counts that nobody measured and no log shows may as well make the Kv of logs another one."""
    keys = (*_teeth_of_kv(machine, kv, found), *_poles(machine, [kv], found, (KV,)))
    return rests_on_the_file(machine, keys)[1]


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
    """Yield the pinion where a number that was told comes through the gears and another count would do as well."""
    if gear_is_shown(found):
        return
    kv = next((one for one in known if one.key == KV), None)
    geared = any(one.key in THROUGH_THE_GEARS for one in known) or any(key in told for key in THROUGH_THE_GEARS)
    heads = _by_the_head(found)
    if geared and (kv is None or not all(heads)):
        yield PINION
    elif kv is not None or (KV in told and any(heads)):
        yield from _teeth_of_kv(machine, kv, found)


def _teeth_of_kv(machine: Machine, kv: Claimed | None, found: Sequence[Evidence]) -> Iterator[str]:
    """Yield the pinion where one tooth more or fewer would explain the Kv as well.

    A head speed, and a motor speed that the logger divided, show Kv times the ratio of the file.
    """
    heads = _by_the_head(found)
    if not gear_is_shown(found) and any(heads) and other_teeth(machine, kv):
        yield PINION


def _poles(
    machine: Machine, known: Sequence[Claimed], found: Sequence[Evidence], told: Container[str]
) -> Iterator[str]:
    """Yield the poles where the Kv comes from a motor speed alone and another pair would explain it as well."""
    kv = next((one for one in known if one.key == KV), None)
    motors = [one for one in found if one.driven is not None and undivided(one)]
    if KV in told and motors and not gear_is_shown(found) and other_pole_pairs(machine, kv):
        yield POLES


def _by_the_head(found: Sequence[Evidence]) -> list[bool]:
    """Return of each log that shows Kv whether it does so by a speed in which the teeth of the file play a part."""
    return [not undivided(one) for one in found if one.driven is not None]
