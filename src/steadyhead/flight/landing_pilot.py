"""A landing without motor as a practised pilot can fly it: a schedule fitted to the machine, late and misjudged."""

import itertools
import math
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight import bail_out_columns, landing_flight
from steadyhead.flight.bail_out_case import Ready
from steadyhead.flight.landing_flight import CASE, ROWS, TOLD, Schedule, landing, landings, trims_of

WORKERS = 2
REACTION_S, HEIGHT_SEEN_SHARE = 0.7, 0.15
"""Middle of the reaction; half width of nine tenths of how far a height is misjudged; common practice, no source."""
FLARES_M = (0.0, 3.0, 5.0, 8.0, 12.0, 16.0)
TILTS_RAD = (0.2, 0.35, 0.5, 0.7)
LEVELS_M = (1.0, 2.0, 3.0)
PULLS_S = (0.2, 0.3, 0.4, 0.55, 0.7, 0.9, 1.2)
DROPPED = 1e3
HIGH_ENOUGH_M = 60.0
GLIDES_M_S = (0.0, 4.0, 8.0, 12.0)
TRIED = ((1.0, 0.0), (0.9, 0.2), (1.1, -0.2))
"""A schedule has to do with heights seen right, too low and too high, and with quicker and slower reactions."""

Floats = NDArray[np.float64]
Plan = tuple[float, Schedule]
"""Glide speed, m/s, and the schedule that goes with it."""


def landing_case(own: Ready, height_m: float, forward_m_s: float, *, glide_m_s: float) -> Floats:
    """Return the case of the machine as described, in level flight as the motor goes. Shapes: -> (18,)"""
    case, body = np.zeros(len(CASE)), own.craft.body
    case[landing_flight.MASS], case[landing_flight.DRAG_AREA] = body.mass_kg, body.drag_area_m2
    case[landing_flight.HEAD_INERTIA], case[landing_flight.HEAD_DRAG] = body.head_kg_m2, body.head_drag_nm
    case[landing_flight.DENSITY], case[landing_flight.LIFT], case[landing_flight.DRAG] = own.grade
    case[landing_flight.HEIGHT], case[landing_flight.FORWARD] = height_m, forward_m_s
    case[landing_flight.HEAD], case[landing_flight.GLIDE_HEAD] = own.set_rad_s, own.glide_rad_s
    case[landing_flight.REACTION], case[landing_flight.SEEN] = REACTION_S, 1.0
    case[landing_flight.GLIDE_SPEED] = glide_m_s
    case[landing_flight.SERVO] = own.setting.servo_lag_s
    case[landing_flight.LOW], case[landing_flight.HIGH] = own.setting.pilot.low_rad, own.setting.pilot.high_rad
    return case


def drawn_landings(own: Ready, base: Floats, drawn: Floats, random: np.random.Generator) -> Floats:
    """Return landings of machines, airs and reactions drawn for bail-outs, each with its own misjudged height.

    Shapes: base (18,), drawn (n, 33) as `bail_out_columns.CASE` -> (n, 18).
    """
    cases = np.tile(base, (drawn.shape[0], 1))
    for mine, theirs in (
        (landing_flight.MASS, bail_out_columns.MASS), (landing_flight.DRAG_AREA, bail_out_columns.DRAG_AREA),
        (landing_flight.HEAD_INERTIA, bail_out_columns.HEAD_INERTIA),
        (landing_flight.DENSITY, bail_out_columns.DENSITY),
        (landing_flight.LIFT, bail_out_columns.LIFT), (landing_flight.DRAG, bail_out_columns.DRAG),
        (landing_flight.REACTION, bail_out_columns.REACTION), (landing_flight.AIR_UP, bail_out_columns.AIR_UP),
        (landing_flight.SERVO, bail_out_columns.SERVO),
    ):  # fmt: skip
        cases[:, mine] = drawn[:, theirs]
    cases[:, landing_flight.HEAD_DRAG] *= drawn[:, bail_out_columns.GEAR_DRAG]
    z = random.standard_normal(drawn.shape[0]) / 1.645
    cases[:, landing_flight.SEEN] = np.exp(z * math.log1p(HEIGHT_SEEN_SHARE))
    return cases


def landed(own: Ready, schedule: Schedule, cases: Floats) -> Floats:
    """Return what every landing tells. Shapes: cases (n, 18) -> (n, 8) as `landing_flight.TOLD`."""
    told = np.zeros((cases.shape[0], len(TOLD)))
    landings(own.craft, own.map, schedule, cases, told)
    return told


def landing_record(own: Ready, schedule: Schedule, case: Floats) -> tuple[Floats, Floats]:
    """Return what one landing tells and its rows. Shapes: -> (8,), (n, 8) as `landing_flight.ROWS`."""
    told, record, trims = np.zeros(len(TOLD)), np.zeros((8000, len(ROWS))), np.zeros(3)
    trims_of(own.craft, own.map, case, trims)
    rows = landing(own.craft, own.map, schedule, case, trims, told, record)
    return told, record[:rows]


def cost(told: Floats) -> Floats:
    """Return how hard landings are: speed of touchdown squared, sink counted twice. Shapes: (n, 8) -> (n,)"""
    hard = 2.0 * told[:, landing_flight.SINK] ** 2 + told[:, landing_flight.AHEAD] ** 2
    return np.where(told[:, landing_flight.CODE] == landing_flight.TOUCHED, hard, DROPPED)


def fitted_schedule(own: Ready, glide_m_s: float) -> Schedule:
    """Return the schedule whose worst of a few tries lands most gently, from a glide out of HIGH_ENOUGH_M.

    Every schedule of the lists is flown; a pilot who glides straight down does not flare.
    """
    cases = tries(own, glide_m_s)
    flares = (
        itertools.product(FLARES_M, TILTS_RAD, LEVELS_M)
        if glide_m_s > 0.0
        else [(0.0, 0.0, level) for level in LEVELS_M]
    )
    tried = [Schedule(flare, tilt, level, pull) for (flare, tilt, level), pull in itertools.product(flares, PULLS_S)]
    with ThreadPoolExecutor(WORKERS) as pool:
        worst = list(pool.map(lambda one: float(np.max(cost(landed(own, one, cases)))), tried))
    return tried[int(np.argmin(worst))]


def fitted_plan(own: Ready) -> Plan:
    """Return the glide speed, m/s, and the schedule that land most gently among GLIDES_M_S."""
    plans = [(glide_m_s, fitted_schedule(own, glide_m_s)) for glide_m_s in GLIDES_M_S]
    return min(plans, key=lambda plan: worst_cost(own, *plan))


def worst_cost(own: Ready, glide_m_s: float, schedule: Schedule) -> float:
    """Return the cost of the hardest landing of a schedule over TRIED."""
    return float(np.max(cost(landed(own, schedule, tries(own, glide_m_s)))))


def tries(own: Ready, glide_m_s: float) -> Floats:
    """Return the landings that a schedule is fitted to. Shapes: -> (3, 18)"""
    base = landing_case(own, HIGH_ENOUGH_M, glide_m_s, glide_m_s=glide_m_s)
    cases = np.tile(base, (len(TRIED), 1))
    for case, (seen, later_s) in zip(cases, TRIED, strict=True):
        case[landing_flight.SEEN], case[landing_flight.REACTION] = seen, REACTION_S + later_s
    return cases
