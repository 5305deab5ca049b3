"""Bail-out: the height it takes with a chance, the ramp that suits, and what no quick restart would cost, in metres."""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out_case import Ready, base_case
from steadyhead.flight.bail_out_drawn import drawn_cases
from steadyhead.flight.bail_out_height import RPM, flown, granted, height_lost, heights, least_height, with_ramp
from steadyhead.flight.bail_out_loads import load_checks, ramp_height, unknown_limits
from steadyhead.flight.bail_out_result import BailOut, HeightLost, RampHeight
from steadyhead.words.verdict import Outcome, Verdict, worst

STRAIGHT_DOWN, GLIDE = "straight down", "glide"
TODAY, GRANTED, SOFT = "as set up today", "quick restart granted", "no quick restart: soft start"
CHANCE = 0.95
DRAWS, SOFT_DRAWS, RAMP_DRAWS, LOAD_DRAWS = 1000, 100, 100, 19
RAMPS_S = np.geomspace(0.3, 8.0, 12)
ALIKE_M = 1.0
"""Ramps whose heights differ by less count as alike: the gentlest of them is best."""
RESTS_ON = (
    "run_logic.permission", "run_logic.governed_before", "run_logic.quick_restart_window", "channel.cut_off",
    "channel.start", "channel.autorotation", "channel.ramp_rate", "governor.quick_spool", "run_logic.start_delay",
    "governor.gain", "governor.integral_time", "governor.rate",
)  # fmt: skip

Floats = NDArray[np.float64]


def bail_out(own: Ready, way: str, forward_m_s: float, chance: float, draws: int) -> BailOut:
    """Return the bail-out from one steady descent.

    Raises: SolveError when there is no such descent.
    """
    base = base_case(own, forward_m_s)
    cases = drawn_cases(own, base, draws)
    is_quick = flown(own, base[None, :])[0, columns.RUN_TAKEN] == columns.QUICK_RUN
    today, told, spread = height_lost(own, TODAY, base, cases if is_quick else cases[:SOFT_DRAWS], chance)
    quick = today
    if not is_quick:
        quick, told, spread = height_lost(own, GRANTED, granted(own, base), granted(own, cases), chance)
    slow = own.setting.rules.soft_spool_s
    soft, _, _ = height_lost(
        own, SOFT, with_ramp(granted(own, base), slow), with_ramp(granted(own, cases[:SOFT_DRAWS]), slow), chance
    )
    ramps = ramps_flown(own, base, cases[:RAMP_DRAWS], chance)
    best = best_ramp(ramps)
    checks = (height_check(own, today), ramp_check(own, is_quick), *load_checks(own, told, spread[:LOAD_DRAWS]))
    return BailOut(
        mode=own.rig.modes[own.mode],
        way=way,
        forward_speed_m_s=forward_m_s,
        sink_m_s=float(base[columns.SINK]),
        head_speed_rpm=float(base[columns.HEAD]) * RPM,
        today=today,
        granted=quick,
        soft=soft,
        saved_m=_difference(soft.least_height_m, quick.least_height_m),
        ramps=ramps,
        best_ramp_s=best.ramp_s if best else None,
        best_set_by=_set_by(ramps, best),
        unknown_limits=unknown_limits(own),
        checks=checks,
        verdict=worst(check.verdict for check in checks),
    )


def height_checks(own: Ready, chance: float = CHANCE, draws: int = RAMP_DRAWS) -> tuple[Verdict, ...]:
    """Return whether the bail-out straight down as set up today keeps its height, and takes the quick ramp.

    Raises: SolveError when there is no such descent.
    """
    base = base_case(own, 0.0)
    is_quick = flown(own, base[None, :])[0, columns.RUN_TAKEN] == columns.QUICK_RUN
    today, _, _ = height_lost(own, TODAY, base, drawn_cases(own, base, draws), chance)
    return height_check(own, today), ramp_check(own, is_quick)


def ramps_flown(own: Ready, base: Floats, cases: Floats, chance: float) -> tuple[RampHeight, ...]:
    """Return height and loads against ramp time, every ramp flown by the same machines, pilots and airs."""
    told = []
    for ramp_s in RAMPS_S:
        nominal = with_ramp(granted(own, base), float(ramp_s))
        spread = flown(own, np.vstack([nominal, with_ramp(granted(own, cases), float(ramp_s))]))
        value, _ = least_height(heights(spread[1:]), chance)
        told.append(ramp_height(own, float(ramp_s), spread[0], spread[1 : 1 + LOAD_DRAWS], value))
    return tuple(told)


def best_ramp(ramps: tuple[RampHeight, ...]) -> RampHeight | None:
    """Return the gentlest ramp among those that keep every known limit and take the least height within ALIKE_M."""
    able = [one for one in ramps if one.keeps_known_limits and one.least_height_m is not None]
    if not able:
        return None
    least = min(one.least_height_m or math.inf for one in able)
    return max((one for one in able if (one.least_height_m or math.inf) <= least + ALIKE_M), key=lambda one: one.ramp_s)


def height_check(own: Ready, today: HeightLost) -> Verdict:
    """Judge the height that a bail-out takes against the one that the flyer begins from, which only he can say.

    With settings that are typical or stand-ins it never passes.
    """
    check = "bail_out_height"
    share = f"the height that {today.chance:.0%} of the drawn bail-outs keep"
    if today.least_height_m is None:
        return Verdict(
            check=check, verdict=Outcome.FAIL, unit="m",
            reason=f"{share} is not known: {today.never_level} of {today.drawn} never came level",
        )  # fmt: skip
    limit = own.machine.limit("limits.bail_out_height")
    judged = Verdict.at_most(check, today.least_height_m, limit, what=share, interval=today.least_height_m_interval)
    weak = not_its_own(own)
    needs = weak if limit is not None else ("limits.bail_out_height", *weak)
    says = f"{judged.reason}; an estimate, never a permission"
    if weak:
        says = f"{says}; {', '.join(weak)} {'is' if len(weak) == 1 else 'are'} not this machine's own"
    passed = judged.verdict is Outcome.PASS
    return replace(
        judged, verdict=Outcome.UNKNOWN if weak and passed else judged.verdict, reason=says, needs=needs, unit="m"
    )


def not_its_own(own: Ready) -> tuple[str, ...]:
    """Return the settings that decide the height and are typical or stand-ins."""
    gone = {told.key for told in own.rig.assumptions} | set(own.machine.typical())
    return tuple(key for key in RESTS_ON if key in gone)


def height_outcomes(own: Ready, lost_m: Floats) -> list[Outcome]:
    """Return how the height that each of many bail-outs lost is judged by itself; infinite where it never came level.

    Shapes: lost_m (n,).
    """
    limit, best = own.machine.limit("limits.bail_out_height"), Outcome.PASS
    if limit is None or not_its_own(own):
        best = Outcome.UNKNOWN
    most_m = math.inf if limit is None else limit.value
    kept = (np.isfinite(lost_m) & (lost_m <= most_m)).tolist()
    return [best if one else Outcome.FAIL for one in kept]


def ramp_check(own: Ready, is_quick: bool) -> Verdict:
    """Judge whether the run logic brings the motor back by the quick ramp in this bail-out."""
    check, gone = "bail_out_ramp", {told.key for told in own.rig.assumptions}
    weak = [key for key in RESTS_ON if key in gone]
    if not is_quick:
        return Verdict(
            check=check, verdict=Outcome.FAIL, needs=("channel.autorotation",),
            reason="with today's channel values the motor does not come back by the quick ramp: see the run logic",
        )  # fmt: skip
    if weak:
        return Verdict.unknown(check, f"{', '.join(weak)} is not known, so neither is the ramp taken", needs=weak)
    return Verdict(check=check, verdict=Outcome.PASS, reason="the motor comes back by the quick ramp")


def _set_by(ramps: tuple[RampHeight, ...], best: RampHeight | None) -> tuple[str, ...]:
    """Return what the next quicker ramp would break; without a best ramp what the slowest breaks."""
    if best is None:
        return ramps[-1].breaks
    quicker = [one for one in ramps if one.ramp_s < best.ramp_s and not one.keeps_known_limits]
    return quicker[-1].breaks if quicker else ()


def _difference(more: float | None, less: float | None) -> float | None:
    return None if more is None or less is None else more - less
