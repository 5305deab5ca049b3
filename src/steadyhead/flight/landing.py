"""Landing without motor: the best that physics allows beside what a practised pilot does with it."""

import numpy as np

from steadyhead.flight import landing_flight
from steadyhead.flight.bail_out_case import Ready, base_case
from steadyhead.flight.bail_out_drawn import drawn_cases
from steadyhead.flight.bail_out_height import RPM, TENTHS, Floats
from steadyhead.flight.bail_out_result import Interval, Landing, LandingSchedule, Touchdown
from steadyhead.flight.landing_optimal import OptimalLanding, optimal_landing, start_of
from steadyhead.flight.landing_pilot import (
    HIGH_ENOUGH_M,
    REACTION_S,
    Plan,
    drawn_landings,
    fitted_plan,
    landed,
    landing_case,
    landing_record,
)
from steadyhead.words.verdict import Outcome, Verdict

DRAWS = 300
SEED = 20_261_129
DEGREES = 180.0 / np.pi


def landing_answer(own: Ready, height_m: float = HIGH_ENOUGH_M, plan: Plan | None = None) -> Landing:
    """Return both landings from one height, level flight at the glide speed as the motor goes.

    Raises: SolveError when there is no autorotation.
    """
    glide_m_s, schedule = plan or fitted_plan(own)
    case = landing_case(own, height_m, glide_m_s, glide_m_s=glide_m_s)
    told, rows = landing_record(own, schedule, case)
    drawn = drawn_cases(own, base_case(own, 0.0), DRAWS, SEED)
    spread = landed(own, schedule, drawn_landings(own, case, drawn, np.random.default_rng(SEED)))
    best = optimal_landing(own, start_of(rows, REACTION_S), rows[int(REACTION_S / landing_flight.STEP_S) :])
    gentle, check = _judged(own, told, spread)
    return Landing(
        mode=own.rig.modes[own.mode],
        from_height_m=height_m,
        from_speed_m_s=glide_m_s,
        schedule=LandingSchedule(
            glide_speed_m_s=glide_m_s,
            flare_height_m=schedule.flare_m,
            flare_deg=schedule.flare_rad * DEGREES,
            level_height_m=schedule.level_m,
            pull_before_ground_s=schedule.pull_s,
            reaction_s=REACTION_S,
        ),
        pilot=_flown(told, spread, height_m),
        best_possible=_best(own, best, height_m),
        gentle_share=gentle,
        check=check,
    )


def _judged(own: Ready, told: Floats, spread: Floats) -> tuple[float, Verdict]:
    """Return the share of gentle landings, and the sink at touchdown judged; the pilot is a stand-in for a real one."""
    sink, ahead = own.machine.limit("limits.touchdown_sink"), own.machine.limit("limits.touchdown_speed")
    within = spread[:, landing_flight.CODE] == landing_flight.TOUCHED
    if sink is not None and ahead is not None:
        within &= spread[:, landing_flight.SINK] <= sink.value
        within &= np.abs(spread[:, landing_flight.AHEAD]) <= ahead.value
    there = told[landing_flight.CODE] == landing_flight.TOUCHED
    figure = float(told[landing_flight.SINK]) if there else None
    interval = _interval(np.where(_touched(spread), spread[:, landing_flight.SINK], np.inf))
    check = Verdict.at_most("touchdown_sink", figure, sink, what="sink at touchdown", interval=interval)
    if check.verdict is Outcome.PASS and interval is None:
        check = Verdict.unknown("touchdown_sink", "some of the drawn landings never touch down in a known way")
    return float(np.mean(within)), check


def _flown(told: Floats, spread: Floats, height_m: float) -> Touchdown:
    there, good = told[landing_flight.CODE] == landing_flight.TOUCHED, spread[_touched(spread)]
    enough = good.shape[0] > 1

    def figure(column: int, factor: float = 1.0) -> float | None:
        return float(told[column]) * factor if there else None

    def interval(column: int, factor: float = 1.0) -> Interval | None:
        return _interval(good[:, column] * factor) if enough else None

    return Touchdown(
        by="practised pilot",
        sink_m_s=figure(landing_flight.SINK),
        sink_m_s_interval=interval(landing_flight.SINK),
        forward_speed_m_s=figure(landing_flight.AHEAD),
        forward_speed_m_s_interval=interval(landing_flight.AHEAD),
        head_speed_rpm=figure(landing_flight.HEAD_LEFT, RPM),
        head_speed_rpm_interval=interval(landing_flight.HEAD_LEFT, RPM),
        height_used_m=height_m if there else None,
        flight_s=figure(landing_flight.TIME),
        ended=landing_flight.ENDS[int(told[landing_flight.CODE])],
    )


def _best(own: Ready, best: OptimalLanding, height_m: float) -> Touchdown:
    return Touchdown(
        by="best possible",
        sink_m_s=best.sink_m_s,
        sink_m_s_interval=None,
        forward_speed_m_s=best.forward_m_s,
        forward_speed_m_s_interval=None,
        head_speed_rpm=best.head_share * own.set_rad_s * RPM if best.head_share is not None else None,
        head_speed_rpm_interval=None,
        height_used_m=height_m if best.solved else None,
        flight_s=best.flight_s + REACTION_S if best.flight_s is not None else None,
        ended="best path found" if best.solved else "best path not found",
    )


def _touched(told: Floats) -> "np.ndarray[tuple[int], np.dtype[np.bool_]]":
    there: np.ndarray[tuple[int], np.dtype[np.bool_]] = told[:, landing_flight.CODE] == landing_flight.TOUCHED
    return there


def _interval(values: Floats) -> Interval | None:
    low, high = np.quantile(values, [TENTHS, 1.0 - TENTHS], method="inverted_cdf")
    return (float(low), float(high)) if np.isfinite(high) else None
