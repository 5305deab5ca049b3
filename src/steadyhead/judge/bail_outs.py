"""Measures every return of the motor out of an autorotation."""

import itertools
from dataclasses import dataclass

import numpy as np

from steadyhead.judge.commands import Command, command_before, same_position
from steadyhead.judge.motor_state import settled
from steadyhead.judge.result import BailOut
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals

LOOK_S = 15.0
SINK_ENDS_S = 4.0
BEFORE_S = 0.5


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
    """How soon it may have been there behind the rounding of a speed in coarse steps."""
    hidden_s: float
    """Longest stretch, from before the switch until the set speed, in which the speed shows nothing."""


def restarts(
    signals: Signals, stretches: tuple[Stretch, ...], asked: tuple[Command, ...], hold_percent: float | None
) -> tuple[Restart, ...]:
    """Return the bail-outs of a log in order."""
    found = []
    for before, spool in itertools.pairwise(stretches):
        if before.kind != "autorotation" or spool.kind not in ("quick_spool", "soft_spool", "governed"):
            continue
        figures = _figures(signals, before, spool)
        until_s = figures.start_s + (figures.to_set_speed_s or spool.end_s - figures.start_s)
        found.append(
            Restart(
                figures=figures,
                least_to_set_speed_s=_least_s(signals, spool, figures),
                hidden_s=signals.hidden_s(figures.start_s - BEFORE_S, until_s),
                out_of_hold=_out_of_hold(asked, spool, hold_percent),
                start_seen=spool.start_seen,
                kind_told=spool.kind_told,
            )
        )
    return tuple(found)


def _figures(signals: Signals, before: Stretch, spool: Stretch) -> BailOut:
    begin = spool.asked_s
    there = None
    if spool.set_rpm is not None:
        there = settled(signals, spool.set_rpm, begin, min(begin + LOOK_S, signals.end_s))
    end = there if there is not None else spool.end_s
    part = signals.within(begin, end)
    least = None
    if signals.speed_rpm is not None and signals.speed_is_head and part.stop > part.start:
        least = float(signals.speed_rpm[part].min())
    quick = spool.kind != "soft_spool"
    return BailOut(
        start_s=begin,
        motor_started_after_s=max(spool.start_s - begin, 0.0) if spool.start_seen else None,
        quick=quick,
        to_set_speed_s=there - begin if there is not None and quick else None,
        height_lost_m=_height_lost(signals, begin, end) if quick and there is not None else None,
        least_rpm=least,
    )


def _least_s(signals: Signals, spool: Stretch, figures: BailOut) -> float | None:
    if figures.to_set_speed_s is None or spool.set_rpm is None:
        return None
    until_s = figures.start_s + figures.to_set_speed_s + 1.0
    soonest = settled(signals, spool.set_rpm, spool.asked_s, until_s, doubt_rpm=0.5 * signals.speed_step_rpm)
    return figures.to_set_speed_s if soonest is None else soonest - spool.asked_s


def _height_lost(signals: Signals, begin_s: float, end_s: float) -> float | None:
    part = signals.within(begin_s, end_s + SINK_ENDS_S)
    if signals.height_m is None or part.stop - part.start < 3:
        return None
    height = signals.height_m[part]
    return max(float(height[0] - np.min(height)), 0.0)


def _out_of_hold(asked: tuple[Command, ...], spool: Stretch, hold_percent: float | None) -> bool:
    earlier = command_before(asked, spool.asked_s)
    return earlier is not None and hold_percent is not None and same_position(earlier.percent, hold_percent)
