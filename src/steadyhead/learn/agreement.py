"""Whether what logs say and what the machine file says can be of one machine."""

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from steadyhead.judge.plausible import AGREE_SHARE, head_over_motor
from steadyhead.learn.result import GovernorSeen, Parameter
from steadyhead.learn.rows import Evidence
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome, Verdict

CHECK = "logs_and_file_agree"
WIDER = 2.0
"""Intervals that do not meet even so many times as wide contradict each other for certain; own choice."""
WHOLE_SHARE = 0.02
"""How near to a whole number a count of teeth or poles must come to be named; own choice."""
GAINS = ("governor.gain", "governor.integral_time")


class Both(NamedTuple):
    """One number as the logs and as the file say it."""

    key: str
    unit: str
    logs: tuple[float, float]
    file: tuple[float, float]
    origin: str


def agreement(
    machine: Machine, parameters: Sequence[Parameter], governors: Sequence[GovernorSeen], found: Sequence[Evidence]
) -> Verdict | None:
    """Judge whether every number that the logs tell and the file states lies where both can be right.

    None where the file states none of them: a typical number is no statement, and cannot contradict.
    Valid: pass when the two 90 % intervals of every number meet; fail when those of one do not meet even twice as wide.
    """
    known = [*_stated(parameters), *_gains(machine, governors)]
    if not known:
        return None
    apart = [both for both in known if not meets(both, 1.0)]
    if not apart:
        names = ", ".join(both.key for both in known)
        return Verdict(check=CHECK, verdict=Outcome.PASS, reason=f"logs and file can both be right: {names}")
    far = [both for both in apart if not meets(both, WIDER)]
    says = "; ".join(_says(both) for both in (far or apart))
    what = (
        "these logs are of another machine or build, or the file is wrong: take nothing over before you know which"
        if far
        else "a part may have changed or aged, a number in the file may be wrong, or it is chance (one in ten of such "
        "intervals misses)"
    )
    speeds = [_speeds(machine, both, found) for both in apart if both.key == "motor.kv"]
    return Verdict(
        check=CHECK,
        verdict=Outcome.FAIL if far else Outcome.UNKNOWN,
        reason="; ".join((says, what, *speeds)),
        figure=float(len(apart)),
        unit="numbers apart",
        limit=0.0,
        limit_text="<= 0 numbers apart",
        limit_origin="the two intervals of every number meet",
        needs=tuple(both.key for both in apart),
    )


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


def _says(both: Both) -> str:
    unit = f" {both.unit}" if both.unit else ""
    logs, file = (f"{ends[0]:.4g} to {ends[1]:.4g}{unit}" for ends in (both.logs, both.file))
    return f"{both.key}: the logs say {logs}, the file says {file} ({both.origin})"


def _speeds(machine: Machine, both: Both, found: Sequence[Evidence]) -> str:
    """Return what the logged speeds say of teeth and poles, since a wrong count looks like another Kv."""
    ratios = [ratio for one in found if (ratio := head_over_motor(one.found)) is not None]
    if ratios:
        ratio = sorted(ratios)[len(ratios) // 2]
        if abs(ratio - 1.0) <= AGREE_SHARE:
            return "head speed and motor speed fit each other, so teeth and poles in the file are right"
        return f"the head reads {ratio:.3f} times the motor side: teeth or poles in the file are wrong"
    times = math.sqrt(both.logs[0] * both.logs[1] / (both.file[0] * both.file[1]))
    return "the log has one speed alone, so a wrong count of teeth or poles would look the same: " + "; ".join(
        (f"Kv comes out {times:.3f} times the file's", *_counts(machine, times, found))
    )


def _counts(machine: Machine, times: float, found: Sequence[Evidence]) -> Iterator[str]:
    """Name the whole count of teeth or pole pairs that would explain the Kv, where there is one."""
    head = any(one.found.signals.speed_is_head and one.found.signals.motor_rpm is None for one in found)
    stated = machine.gears.pinion_teeth.number if head else machine.pole_pairs
    if not stated:
        return
    right = float(stated) * times
    near = round(right)
    if near >= 1 and abs(right - near) <= WHOLE_SHARE * right and near != stated:
        what = "a pinion of {} teeth where the file says {}" if head else "{} pole pairs where the file says {}"
        yield what.format(near, int(stated)) + " would do that"
