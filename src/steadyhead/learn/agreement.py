"""Whether what logs say and what the machine file says can be of one machine."""

import math
from collections.abc import Container, Iterable, Iterator, Sequence
from typing import NamedTuple

from steadyhead.learn.doubt import Doubt
from steadyhead.learn.kv_counts import KV, PINION, POLES, Claimed, withheld, would_do_as_well
from steadyhead.learn.not_shown import (
    RADIUS,
    gear_is_shown,
    kv_rests_on,
    not_shown,
    ratio_off,
    rests_on_the_file,
    says,
    undivided,
)
from steadyhead.learn.result import GovernorSeen, Parameter
from steadyhead.learn.rows import Evidence
from steadyhead.learn.teeth import named_pinion, named_pole_pairs
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome, Verdict

CHECK = "logs_and_file_agree"
WIDER = 2.0
"""Intervals that do not meet even so many times as wide contradict each other for certain; own choice."""
WHOLE_SHARE = 0.02
"""How near to a whole number a count of teeth or poles must come to be named; own choice."""
ANOTHER = "these logs are of another machine or build, or the file is wrong: take nothing over before you know which"
CHANGED = (
    "a part may have changed or aged, a number in the file may be wrong, or it is chance (one in ten of such intervals "
    "misses)"
)
GAINS = ("governor.gain", "governor.integral_time")
HOVERS = (
    "the blade length is that of hovers at the stated mass: a log does not say that its steady stretches were hovers, "
    "and forward flight makes blades look longer; measure it with a ruler"
)


class Both(NamedTuple):
    """One number as the logs and as the file say it."""

    key: str
    unit: str
    logs: tuple[float, float]
    file: tuple[float, float]
    origin: str


def agreement(
    machine: Machine,
    parameters: Sequence[Parameter],
    governors: Sequence[GovernorSeen],
    found: Sequence[Evidence],
    radius_m: tuple[float, float] | None = None,
    doubts: Sequence[Doubt] = (),
) -> Verdict | None:
    """Judge whether every number that the logs tell and the file states lies where both can be right.

    `radius_m` is the 90 % interval of the rotor's radius that hovers show; `doubts` are what else stands against logs
    and file. None where the file states none of the told numbers and nothing stands against it: a typical number is no
    statement, and cannot contradict.
    Valid: pass when the two 90 % intervals of every number meet and what the logs cannot show is measured; fail when
    those of one do not meet even twice as wide. The radius never fails: a log does not say that a hover was one.
    """
    known = [*_stated(parameters), *_gains(machine, governors)]
    against = [doubt for doubt in doubts if doubt.verdict is not None]
    if not known and not against:
        return None
    apart = [both for both in (*known, *_radius(machine, radius_m)) if not meets(both, 1.0)]
    if not apart and not against:
        return _met(machine, known, found, frozenset(one.key for one in parameters if one.told))
    far = [both for both in apart if both.key != RADIUS and not meets(both, WIDER)]
    counts = [_speeds(machine, both, found) for both in apart if both.key == KV and ratio_off(found) is None]
    hovers = [HOVERS] if any(both.key == RADIUS for both in apart) else []
    cause = [ANOTHER if far else CHANGED] if apart else []
    fails = bool(far) or any(doubt.verdict is Outcome.FAIL for doubt in against)
    return Verdict(
        check=CHECK,
        verdict=Outcome.FAIL if fails else Outcome.UNKNOWN,
        reason="; ".join((*map(_says, far or apart), *(doubt.says for doubt in against), *cause, *counts, *hovers)),
        figure=float(len(apart) + len(against)),
        unit="apart",
        limit=0.0,
        limit_text="none apart",
        limit_origin="the two intervals of every number meet",
        needs=tuple(dict.fromkeys((*(both.key for both in apart), *(key for one in against for key in one.needs)))),
    )


def _met(machine: Machine, known: Sequence[Both], found: Sequence[Evidence], told: Container[str]) -> Verdict:
    """Judge logs and a file whose numbers all meet: on what the logs cannot show it must be measured."""
    names = ", ".join(both.key for both in known)
    said = f"logs and file can both be right: {names}"
    claimed = [Claimed(both.key, both.logs, both.file) for both in known]
    hidden = not_shown(machine, claimed, found, told)
    measured, open_ones = rests_on_the_file(machine, hidden)
    rests = f"{' and '.join(measured)}: not shown by these logs, taken as measured in the file" if measured else ""
    if open_ones:
        kv = next((one for one in claimed if one.key == KV), None)
        counts = [would_do_as_well(machine, kv, key) for key in kv_rests_on(machine, kv, found)] if kv else []
        reason = "; ".join(part for part in (said, *map(says, open_ones), *counts, rests) if part)
        return Verdict.unknown(CHECK, reason, needs=open_ones)
    return Verdict(check=CHECK, verdict=Outcome.PASS, reason="; ".join(part for part in (said, rests) if part))


def kv_may_be_a_count(agreed: Verdict | None, found: Sequence[Evidence]) -> bool:
    """Whether the Kv of logs may be that of a wrong count of teeth or poles: unknown for one of them, one speed alone.

    Two speeds that fit each other clear both counts.
    """
    if agreed is None or agreed.verdict is not Outcome.UNKNOWN or gear_is_shown(found):
        return False
    return any(key in agreed.needs for key in (KV, PINION, POLES))


def without_open_kv(
    machine: Machine, parameters: Sequence[Parameter], found: Sequence[Evidence]
) -> tuple[Parameter, ...]:
    """Return the numbers of the logs, less a Kv that another count of teeth or poles would explain as well."""
    kept = []
    for one in parameters:
        counts: tuple[str, ...] = ()
        if one.key == KV and one.told and one.value_interval:
            kv = Claimed(KV, one.value_interval, one.file_value_interval or one.value_interval)
            counts = kv_rests_on(machine, kv, found)
        kept.append(withheld(machine, one, kv, counts) if counts else one)
    return tuple(kept)


def meets(both: Both, wider: float) -> bool:
    """Whether the two intervals of a number meet, each made wider about its middle."""
    (low, high), (other_low, other_high) = (_widened(ends, wider) for ends in (both.logs, both.file))
    return low <= other_high and other_low <= high


def _widened(ends: tuple[float, float], wider: float) -> tuple[float, float]:
    middle, half = 0.5 * (ends[0] + ends[1]), 0.5 * (ends[1] - ends[0])
    return middle - wider * half, middle + wider * half


def _stated(parameters: Iterable[Parameter]) -> Iterator[Both]:
    for one in parameters:
        if (
            one.told
            and one.value_interval
            and one.file_value_interval
            and one.file_origin not in ("typical", "unknown")
        ):
            yield Both(one.key, one.unit, one.value_interval, one.file_value_interval, one.file_origin)


def _gains(machine: Machine, governors: Iterable[GovernorSeen]) -> Iterator[Both]:
    for seen in governors:
        for key, logs in zip(GAINS, (seen.gain_interval, seen.integral_time_s_interval), strict=True):
            value = machine.value(key)
            if seen.told and logs and value is not None and not value.is_typical:
                ends = (value.si - value.spread_si, value.si + value.spread_si)
                yield Both(key, "s" if key == GAINS[1] else "", logs, ends, str(value.origin))


def _radius(machine: Machine, seen_m: tuple[float, float] | None) -> Iterator[Both]:
    value = machine.value(RADIUS)
    if seen_m is not None and value is not None and not value.is_typical:
        yield Both(RADIUS, "m", seen_m, (value.si - value.spread_si, value.si + value.spread_si), str(value.origin))


def _says(both: Both) -> str:
    unit = f" {both.unit}" if both.unit else ""
    logs, file = (f"{ends[0]:.4g} to {ends[1]:.4g}{unit}" for ends in (both.logs, both.file))
    return f"{both.key}: the logs say {logs}, the file says {file} ({both.origin})"


def _speeds(machine: Machine, both: Both, found: Sequence[Evidence]) -> str:
    """Return what the logged speeds say of teeth and poles, since a wrong count looks like another Kv."""
    if gear_is_shown(found):
        return "head speed and motor speed fit each other, so teeth and poles in the file are right"
    times = math.sqrt(both.logs[0] * both.logs[1] / (both.file[0] * both.file[1]))
    return (
        "the log has no head speed and motor speed both, the motor's not divided by the logger, so a wrong count of "
        "teeth or poles would look the same: "
        + "; ".join((f"Kv comes out {times:.3f} times the file's", *_counts(machine, times, found)))
    )


def _counts(machine: Machine, times: float, found: Sequence[Evidence]) -> Iterator[str]:
    """Name the whole count of teeth or pole pairs that would explain the Kv, where there is one."""
    if not all(map(undivided, found)):
        pinion = named_pinion(machine, times, WHOLE_SHARE)
        yield from [pinion] if pinion else []
    if any(undivided(one) or not one.found.signals.speed_is_head for one in found):
        pairs = named_pole_pairs(machine, times, WHOLE_SHARE)
        yield from [pairs] if pairs else []
