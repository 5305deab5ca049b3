"""Measures every return of the motor out of an autorotation."""

import itertools
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from steadyhead.judge.commands import Command, held_between, touched_until_s
from steadyhead.judge.motor_state import settled
from steadyhead.judge.parts import rows_where
from steadyhead.judge.result import BailOut
from steadyhead.judge.segments import DRIVEN, Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.transient import NOISE_OF_PEAK, row_noise

LOOK_S = 15.0
SINK_ENDS_S = 4.0
BEFORE_S = 0.5
FALLEN_SHARE = 0.9
"""A head that falls below this share of its set speed is not there yet: its motor does not carry it; own choice."""
STILL_FALLS_S = 3.0
"""A fall that comes later than this after the motor was seen to carry the head is a load's; own choice."""
HELD_SHARE = 0.99
"""A head that stays above this share once the motor carries it was brought back, be it more than 1 % above."""
NOISE_S = 3.0
"""Rows of so long tell the noise of the speed; own choice."""
TAKEN_BACK_S = 3.0
"""The slowest quick start; a motor called off sooner, short of its set speed, may have been on any; common practice."""


@dataclass(frozen=True, kw_only=True)
class Restart:
    """A bail-out with what else the checks must know of it."""

    figures: BailOut
    out_of_hold: bool
    """Throttle hold lay between the flight and the restart: then a soft start is right."""
    start_seen: bool
    kind_told: bool
    """Whether the log can tell a quick start from a soft one."""
    least_to_set_speed_s: float | None
    """How soon it may have been there, by rounding and noise; one that took long, when it was held there or above."""
    hidden_s: float
    """Longest stretch, from before the switch until the set speed, in which the speed shows nothing."""
    ramp_s: float | None
    """From the motor's start until it carried the head near its set speed; None where that was not seen."""
    head_was_up: bool
    """The air had kept the head at its set speed or above: then its speed tells little of the ramp."""


def restarts(
    signals: Signals, stretches: tuple[Stretch, ...], asked: tuple[Command, ...], hold_percent: float | None
) -> tuple[Restart, ...]:
    """Return the bail-outs of a log in order."""
    found = []
    for k, (before, called) in enumerate(itertools.pairwise(stretches), start=1):
        if before.kind != "autorotation" or called.kind not in ("quick_spool", "soft_spool", "governed"):
            continue
        if before.cut is not None:
            continue  # nobody called the motor off: what it did after tells nothing of a bail-out
        left_s = touched_until_s(signals, before.start_s, max(called.asked_s, called.start_s), hold_percent)
        # a channel that went on at once asks for running only from then on
        spool = called if left_s is None else replace(called, asked_s=max(called.asked_s, left_s))
        driven_s = _driven_until(signals, stretches[k:])
        end_s = min(spool.asked_s + LOOK_S, driven_s)
        back = _taken_back(signals, spool, driven_s)
        arrived = None if back else _arrived(signals, spool, end_s)
        figures = _figures(signals, spool, arrived, end_s, taken_back=back)
        until_s = figures.start_s + (figures.to_set_speed_s or spool.end_s - figures.start_s)
        found.append(
            Restart(
                figures=figures,
                least_to_set_speed_s=_least_s(signals, spool, figures, end_s),
                hidden_s=signals.hidden_s(figures.start_s - BEFORE_S, until_s),
                out_of_hold=left_s is not None or held_between(asked, before.start_s, spool.asked_s, hold_percent),
                start_seen=spool.start_seen,
                kind_told=spool.kind_told,
                ramp_s=spool.ramp_s,
                head_was_up=arrived is not None and arrived.was_up,
            )
        )
    return tuple(found)


def _driven_until(signals: Signals, stretches: tuple[Stretch, ...]) -> float:
    """Return until when the motor drove at the speed of the first stretch, s."""
    end_s = signals.end_s
    for stretch in stretches:
        if stretch.kind not in DRIVEN or stretch.set_rpm != stretches[0].set_rpm:
            break
        end_s = stretch.end_s
    return end_s


def _taken_back(signals: Signals, spool: Stretch, driven_s: float) -> bool:
    """Whether the motor was called off again before it could show how it comes back."""
    if driven_s >= signals.end_s or driven_s - spool.asked_s >= TAKEN_BACK_S:
        return False
    return not (spool.reached_set or spool.kind == "governed") or not spool.kind_told


def _figures(signals: Signals, spool: Stretch, arrived: "Arrived | None", end_s: float, *, taken_back: bool) -> BailOut:
    begin = spool.asked_s
    there = None if arrived is None else arrived.at_s
    part = signals.within(begin, there if there is not None else max(spool.end_s, end_s))
    least = None
    if signals.speed_rpm is not None and signals.speed_is_head and part.stop > part.start:
        least = float(signals.speed_rpm[part].min())
    quick = spool.kind != "soft_spool"
    return BailOut(
        start_s=begin,
        motor_started_after_s=max(spool.start_s - begin, 0.0) if spool.start_seen else None,
        quick=quick,
        to_set_speed_s=there - begin if there is not None and (quick or not spool.kind_told) else None,
        height_lost_m=_height_lost(signals, begin, there) if quick and there is not None else None,
        least_rpm=least,
        taken_back=taken_back,
    )


class Arrived(NamedTuple):
    """When the motor had the head at its set speed to stay, and whether the air had kept it there or above."""

    at_s: float
    was_up: bool


def _arrived(signals: Signals, spool: Stretch, end_s: float, doubt_rpm: float = 0.0) -> Arrived | None:
    """Return when the head was within 1 % of its set speed for 0.3 s, carried by the motor and not to fall again.

    A head that comes from below is there when it comes within the 1 %; one that the air had kept there, or above, when
    the motor carries it.
    Shapes: end_s, until when the motor drove at that speed.
    """
    speed, set_rpm = signals.speed_rpm, spool.set_rpm
    if speed is None or set_rpm is None:
        return None
    begin_s = spool.asked_s
    carried_s = spool.end_s if spool.reached_set else begin_s
    soon = signals.within(begin_s, min(carried_s + STILL_FALLS_S, end_s) if spool.kind_told else end_s)
    low = rows_where(speed[soon] < FALLEN_SHARE * set_rpm)
    if low.size:
        carried_s = max(carried_s, float(signals.time_s[soon.start + int(low[-1])]))
    at_s = settled(signals, set_rpm, carried_s, end_s, doubt_rpm=doubt_rpm)
    if at_s is None:
        return None
    part = signals.within(begin_s, at_s)
    away = rows_where(np.abs(speed[part] - set_rpm) > 0.01 * set_rpm + doubt_rpm)
    if not away.size or speed[part.start + int(away[-1])] > set_rpm:
        return Arrived(at_s, True)
    return Arrived(float(signals.time_s[min(part.start + int(away[-1]) + 1, signals.time_s.size - 1)]), False)


def _least_s(signals: Signals, spool: Stretch, figures: BailOut, end_s: float) -> float | None:
    """Return how soon the head may have been there: rounding and noise taken off.

    One that took longer than any quick start counts from where the motor held it there or above.
    """
    speed, set_rpm = signals.speed_rpm, spool.set_rpm
    if figures.to_set_speed_s is None or speed is None or set_rpm is None:
        return None
    at_s = figures.start_s + figures.to_set_speed_s
    noise = row_noise(speed[signals.within(at_s, at_s + NOISE_S)])
    soonest = _arrived(signals, spool, end_s, 0.5 * signals.speed_step_rpm + NOISE_OF_PEAK * noise)
    least_s = figures.to_set_speed_s if soonest is None else soonest.at_s - spool.asked_s
    held = speed[signals.within(spool.end_s, at_s)]
    long = figures.to_set_speed_s > TAKEN_BACK_S and spool.reached_set
    if long and held.size and float(held.min()) >= HELD_SHARE * set_rpm:
        least_s = min(least_s, spool.end_s - spool.asked_s)
    return least_s


def _height_lost(signals: Signals, begin_s: float, end_s: float) -> float | None:
    part = signals.within(begin_s, end_s + SINK_ENDS_S)
    if signals.height_m is None or part.stop - part.start < 3:
        return None
    height = signals.height_m[part]
    return max(float(height[0] - np.min(height)), 0.0)
