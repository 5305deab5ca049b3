"""Times bail-outs, height-velocity diagram and optimal landing, each beside the same question through scipy alone.

Run by hand from the root of the repository: python speed/descent_speed.py [part ...]
Parts: bail_outs, heights, optimum (all when none is named). Both sides of a part are timed in one run, turn by turn,
after a warm-up. The peers are written as one would with scipy: `solve_ivp` over the same rates, which are our compiled
kernels (a peer in plain Python would be slower still), and `minimize` with SLSQP over the same discretisation. They fly
fewer than we do, and their time is counted up to the same number; each line says so.
"""

import math
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from scipy.integrate import solve_ivp
from scipy.optimize import NonlinearConstraint, minimize

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight import landing_flight, landing_optimal
from steadyhead.flight.bail_out_case import Ready, base_case, ready
from steadyhead.flight.bail_out_drawn import drawn_cases
from steadyhead.flight.bail_out_height import flown, granted
from steadyhead.flight.height_velocity import height_velocity
from steadyhead.flight.landing_flight import Falling, Hand, asked_of, falling_rates
from steadyhead.flight.landing_optimal import optimal_landing, start_of
from steadyhead.flight.landing_pilot import REACTION_S, fitted_plan, landing_case, landing_record
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.at_duty import point_at_duty
from steadyhead.physics.craft import Acting, State
from steadyhead.physics.flight_step import slow_resistance, source_now
from steadyhead.physics.kernel import kernel
from steadyhead.physics.point_mass import Moving, plane_held
from steadyhead.physics.shaft import free_head_rate, free_motor_rate, locked_rate

BAIL_OUTS, PEER_FLIGHTS, PEER_LANDINGS = 10_000, 6, 20
HEIGHT_FLIGHTS = 30 * 20 * 42
"""Landings in one diagram: thirty speeds, twenty machines, thirty heights and twice six halvings."""


def timed(call: Callable[[], object]) -> float:
    """Wall time of a call, s."""
    begin = time.perf_counter()
    call()
    return time.perf_counter() - begin


@kernel
def bail_out_rates(craft, chart, grade, state, acting, locked):
    """Rates of head, motor, climb, height, slow voltage for scipy.

    Valid: the peer of this script.
    Source: the kernels of the engine.
    """
    moving = Moving(0.0, state.climb_m_s, 0.0, state.head_rad_s, acting.collective_rad)
    held = plane_held(craft, chart, grade, moving, 0.0)
    source = source_now(craft, state.charge, state.slow_v)
    point = point_at_duty(craft.motor, craft.controller, source, acting.duty, state.motor_rad_s, state.winding_k)
    up = (held.lift_n - held.drag_up_n) / craft.body.mass_kg - 9.80665
    slow = (point.pack_current_a * slow_resistance(craft, state.charge) - state.slow_v) / craft.pack.slow_time_s
    if locked:
        rate = locked_rate(craft, source, acting, held, state, state.head_rad_s)
        return rate, rate * craft.gears.ratio, up, state.climb_m_s, slow
    motor = free_motor_rate(craft, source, acting, held, state, state.motor_rad_s)
    return free_head_rate(craft, held), motor, up, state.climb_m_s, slow


def scipy_bail_out(own: Ready, case: np.ndarray) -> float:
    """Height lost by `solve_ivp` (LSODA), governor and hands continuous, restarted where the train catches the head."""
    craft, ratio, goal = own.craft, own.craft.gears.ratio, own.set_rad_s
    governor, air_k = own.setting.governor, craft.body.air_k + 30.0
    pull_s, sink = math.inf, case[columns.SINK]

    def hands(now: float) -> float:
        if now < pull_s:
            return float(case[columns.WAIT])
        share = max(1.0 - (now - pull_s) * case[columns.ARREST] / sink, 0.0)
        return float(case[columns.LEVEL] + (case[columns.WAIT] - case[columns.LEVEL]) * share)

    def rates(now: float, y: np.ndarray, locked: bool) -> list[float]:
        asked = min(max(now - case[columns.REACTION], 0.0) / case[columns.SPOOL], 1.0) * goal
        error = (asked - y[1] / ratio) / goal
        duty = min(max(y[5] + governor.gain * error, 0.0), 1.0) if asked > 0.0 else own.setting.idle_duty
        state = State(y[0], y[1], 0.0, y[2], case[columns.CHARGE], y[4], air_k, air_k, air_k, float(locked))
        acting = Acting(duty, hands(now), 0.0, 0.0, 1.0, 0.0, math.nan)
        got = bail_out_rates(craft, own.map, own.grade, state, acting, locked)
        return [got[0], got[1], got[2], got[3], got[4], governor.gain_per_s * error]

    def caught(now: float, y: np.ndarray, locked: bool) -> float:
        return float(y[1] - y[0] * ratio)

    def level(now: float, y: np.ndarray, locked: bool) -> float:
        return float(y[2] if now > pull_s else -1.0)

    caught.terminal = level.terminal = True  # type: ignore[attr-defined]
    caught.direction = 1.0  # type: ignore[attr-defined]
    start = [case[columns.HEAD], case[columns.MOTOR], -sink, 0.0, 0.0, 0.0]
    pull_s = float(case[columns.REACTION] + case[columns.SPOOL] + case[columns.RECOGNITION])
    first = solve_ivp(rates, (0.0, 20.0), start, "LSODA", rtol=1e-6, atol=1e-6, args=(False,), events=(caught, level))
    if first.t_events[1].size:
        return -float(first.y[3, -1])
    rest = solve_ivp(
        rates, (first.t[-1], 20.0), first.y[:, -1], "LSODA", rtol=1e-6, atol=1e-6, args=(True,), events=(level,)
    )
    return -float(rest.y[3].min())


def scipy_landing(own: Ready, schedule: landing_flight.Schedule, case: np.ndarray, trims: np.ndarray) -> float:
    """Sink at touchdown by `solve_ivp` (RK45) over our rates, the hand held for a twentieth of a second."""
    hand = Hand(trims[0], trims[1], math.nan, 0.0)
    now = np.array([case[landing_flight.HEIGHT], case[landing_flight.FORWARD], 0.0, case[landing_flight.HEAD]])
    asked, time_s = trims[0], 0.0
    craft, grade = landing_flight.landed_craft(own.craft, case)
    while now[0] > 0.0 and time_s < 30.0:
        tilt, pull, at = hand.tilt_rad, hand.pull_m, hand.pull_sink_m_s
        if time_s >= REACTION_S:
            asked, tilt, pull, at = asked_of(case, schedule, Falling(*now), hand, trims[2], trims[0])
        hand = Hand(min(max(asked, case[landing_flight.LOW]), case[landing_flight.HIGH]), tilt, pull, at)
        span = 0.05

        def rates(_: float, y: np.ndarray, held: Hand = hand) -> tuple[float, ...]:
            return falling_rates(craft, own.map, grade, Falling(*y), held, 0.0)[:4]

        now = solve_ivp(rates, (0.0, span), now, "RK45", rtol=1e-5, atol=1e-5).y[:, -1]
        time_s += span
    return float(-now[2])


def scipy_optimum(own: Ready, start: np.ndarray, rows: np.ndarray) -> tuple[float, str]:
    """The same discretisation by SLSQP: trapezoids over the map, derivatives by differences. Cost, and how it ended."""
    count = landing_optimal.INTERVALS
    grade = own.grade
    scale = np.array([10.0, 5.0, 5.0, own.set_rad_s, 0.1, 0.3])
    places = np.linspace(rows[0, 0], rows[-1, 0], count + 1)
    guess = np.array([np.interp(places, rows[:, 0], rows[:, column]) for column in (1, 2, 3, 4, 5, 6)]).T

    def unpacked(z: np.ndarray) -> tuple[np.ndarray, float]:
        return z[:-1].reshape(count + 1, 6) * scale, float(z[-1])

    def gaps(z: np.ndarray) -> np.ndarray:
        x, end_s = unpacked(z)
        slopes = np.array([
            falling_rates(own.craft, own.map, grade, Falling(*row[:4]), Hand(row[4], row[5], math.nan, 0.0), 0.0)[:4]
            for row in x
        ])  # fmt: skip
        step = end_s / count
        moved = (x[1:, :4] - x[:-1, :4] - 0.5 * step * (slopes[1:] + slopes[:-1])) / scale[:4]
        return np.concatenate([moved.ravel(), (x[0] - start) / scale, [x[-1, 0] / 10.0]])

    def fast(z: np.ndarray) -> np.ndarray:
        x, end_s = unpacked(z)
        return (np.diff(x[:, 4:], axis=0) / (end_s / count)).ravel()

    def hard(z: np.ndarray) -> float:
        x, _ = unpacked(z)
        return float(2.0 * x[-1, 2] ** 2 + x[-1, 1] ** 2)

    first = np.concatenate([(guess / scale).ravel(), [places[-1] - places[0]]])
    held = NonlinearConstraint(gaps, 0.0, 0.0)
    hands = NonlinearConstraint(fast, -1.5, 1.5)
    found = minimize(hard, first, method="SLSQP", constraints=[held, hands], options={"maxiter": 60})
    return float(found.fun), str(found.message)


def bail_outs(own: Ready) -> None:
    """Ten thousand bail-outs, drawing included."""
    base = granted(own, base_case(own, 0.0))
    flown(own, drawn_cases(own, base, 100))
    scipy_bail_out(own, base)
    ours = timed(lambda: flown(own, drawn_cases(own, base, BAIL_OUTS)))
    lost: list[float] = []
    each = timed(lambda: lost.extend(scipy_bail_out(own, base) for _ in range(PEER_FLIGHTS))) / PEER_FLIGHTS
    quick = flown(own, base[None, :])[0, columns.LOST]
    print(f"{BAIL_OUTS} bail-outs, drawn and flown on two threads: {ours:.2f} s")
    print(f"  scipy solve_ivp, {PEER_FLIGHTS} flown: {each:.3f} s each, {each * BAIL_OUTS / ours:.0f} times ours")
    print(f"  height lost {quick:.1f} m, scipy with its continuous governor and ramp-timed pilot {lost[-1]:.1f} m")


def heights(own: Ready) -> None:
    """The whole diagram, sixty edges with intervals and bail-outs."""
    plan = fitted_plan(own)
    height_velocity(own, speeds=2, plan=plan)
    ours = timed(lambda: height_velocity(own))
    case, trims = landing_case(own, 20.0, plan[0], glide_m_s=plan[0]), np.zeros(3)
    landing_flight.trims_of(own.craft, own.map, case, trims)
    scipy_landing(own, plan[1], case, trims)
    each = timed(lambda: [scipy_landing(own, plan[1], case, trims) for _ in range(PEER_LANDINGS)]) / PEER_LANDINGS
    print(f"height-velocity diagram, 60 edges with intervals, schedule fitted: {ours:.2f} s")
    print(f"  scipy solve_ivp, {PEER_LANDINGS} landings of 20 m: {each:.3f} s each, for {HEIGHT_FLIGHTS} of them "
          f"{each * HEIGHT_FLIGHTS / ours:.0f} times ours")  # fmt: skip


def optimum(own: Ready) -> None:
    """The best landing from 30 m at 8 m/s."""
    schedule = landing_flight.Schedule(6.0, 0.5, 1.0, 0.8)
    _, rows = landing_record(own, schedule, landing_case(own, 30.0, 8.0, glide_m_s=8.0))
    start, later = start_of(rows, REACTION_S), rows[int(REACTION_S / landing_flight.STEP_S) :]
    optimal_landing(own, start, later)
    ours = timed(lambda: optimal_landing(own, start, later))
    best = optimal_landing(own, start, later)
    told: list[tuple[float, str]] = []
    peer = timed(lambda: told.append(scipy_optimum(own, start, later)))
    print(f"optimal landing: {ours:.2f} s, sink {best.sink_m_s:.4f} m/s, {best.ended}")
    print(f"  scipy SLSQP, at most 60 turns: {peer:.1f} s, {peer / ours:.0f} times ours; cost {told[0][0]:.3g}, "
          f"{told[0][1]}")  # fmt: skip


PARTS = {"bail_outs": bail_outs, "heights": heights, "optimum": optimum}

if __name__ == "__main__":
    machine = ready(read_machine(bundled("fox600")), 1)
    for name in sys.argv[1:] or PARTS:
        PARTS[name](machine)
