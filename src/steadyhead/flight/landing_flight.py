"""One landing without motor: a fixed schedule of a pilot who reacts late and misjudges heights, down to touchdown."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.craft import GRAVITY_M_S2, Body, Craft
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.point_mass import Moving, ahead_rate, level_flight, plane_held, slower_glide
from steadyhead.physics.rotor_map import Grade, RotorMap
from steadyhead.physics.servo import lag_left, lagged, slewed
from steadyhead.physics.tail_curve import tail_torque

CASE = (
    "mass_kg", "drag_area_m2", "head_kg_m2", "density_kg_m3", "lift_scale", "drag_scale", "head_drag_nm",
    "height_m", "forward_m_s", "head_rad_s", "reaction_s", "air_up_m_s", "height_seen", "glide_m_s", "servo_lag_s",
    "low_rad", "high_rad", "glide_head_rad_s",
)  # fmt: skip
(
    MASS, DRAG_AREA, HEAD_INERTIA, DENSITY, LIFT, DRAG, HEAD_DRAG, HEIGHT, FORWARD, HEAD, REACTION, AIR_UP, SEEN,
    GLIDE_SPEED, SERVO, LOW, HIGH, GLIDE_HEAD,
) = range(18)  # fmt: skip
"""Columns of a case: the machine as drawn, where and how fast it loses its motor, and what the pilot does."""

TOLD = ("code", "sink_m_s", "forward_m_s", "head_rad_s", "tilt_rad", "time_s", "head_low_rad_s", "gap_share")
CODE, SINK, AHEAD, HEAD_LEFT, TILT, TIME, HEAD_LOW, GAP = range(8)
"""What a landing tells at touchdown; `gap_share` is what the books of energy do not close by, over the energy at the
start."""
TOUCHED, STILL_ALOFT, HEAD_TOO_SLOW = 0, 1, 2
ENDS = {
    TOUCHED: "touched down",
    STILL_ALOFT: "still in the air when the time looked at was over",
    HEAD_TOO_SLOW: "the head fell below a third of its speed in the air: the machine drops",
}
ROWS = ("time_s", "height_m", "forward_m_s", "climb_m_s", "head_rad_s", "collective_rad", "tilt_rad", "energy_j")
STEP_S, LONGEST_S = 0.01, 60.0
SLOWEST_HEAD = 0.33
HAND_RAD_S, DISC_RAD_S = 1.0, 1.5
TILT_GAIN_RAD_S_M, TILT_MOST_RAD = 0.06, 0.35
PULL_GAIN_RAD_S_M = 0.06
TOUCH_M_S, AIM_M = 0.3, 0.5
SLOW_ENOUGH_M_S = 1.5
LOW_HOVER_M = 2.0
"""From so low the pilot only cushions; these numbers of the pilot are common practice, no source."""


class Schedule(NamedTuple):
    """What the pilot does at which height. SI; the pull begins as the ground is `pull_s` away at the present sink."""

    flare_m: float
    flare_rad: float
    level_m: float
    pull_s: float


class Falling(NamedTuple):
    """Where and how fast. SI."""

    height_m: float
    forward_m_s: float
    climb_m_s: float
    head_rad_s: float


class Hand(NamedTuple):
    """Collective and disc as they are, and where the pull began (no number before)."""

    collective_rad: float
    tilt_rad: float
    pull_m: float
    pull_sink_m_s: float


@inlined_kernel
def falling_rates(
    craft: Craft, rotor_map: RotorMap, grade: Grade, now: Falling, hand: Hand, air_up_m_s: float
) -> tuple[float, float, float, float, float]:
    """Rates of height m/s, forward and climb speed m/s2, head speed rad/s2, and the power that leaves the machine, W.

    Valid: as `point_mass.plane_held`; motor undriven, one-way bearing without drag of its own.
    Source: Newton's law; power left to the air is torque times speed less what the forces do on the machine.
    """
    moving = Moving(now.forward_m_s, now.climb_m_s - air_up_m_s, hand.tilt_rad, now.head_rad_s, hand.collective_rad)
    tail = craft.body.tail_on_head * tail_torque(craft.tail, now.head_rad_s, 0.0)
    held = plane_held(craft, rotor_map, grade, moving, tail)
    taken = held.torque_nm + tail + craft.body.head_drag_nm
    up = (held.lift_n - held.drag_up_n) / craft.body.mass_kg - GRAVITY_M_S2
    ahead = ahead_rate(craft, held)
    mass = craft.body.mass_kg
    power = taken * now.head_rad_s - mass * ((up + GRAVITY_M_S2) * now.climb_m_s + ahead * now.forward_m_s)
    return now.climb_m_s, ahead, up, -taken / craft.body.head_kg_m2, power


@inlined_kernel
def moved_on(now: Falling, rates: tuple[float, float, float, float, float], step_s: float) -> Falling:
    """Where the machine is after a step of steady rates, s.

    Valid: any step.
    Source: definition.
    """
    return Falling(
        now.height_m + step_s * rates[0], now.forward_m_s + step_s * rates[1], now.climb_m_s + step_s * rates[2],
        max(now.head_rad_s + step_s * rates[3], 1.0),
    )  # fmt: skip


@inlined_kernel
def energy_of(craft: Craft, now: Falling) -> float:
    """Kinetic energy of flight and head, and potential energy, J.

    Valid: any.
    Source: definition.
    """
    moving = now.forward_m_s * now.forward_m_s + now.climb_m_s * now.climb_m_s
    turning = craft.body.head_kg_m2 * now.head_rad_s * now.head_rad_s
    return craft.body.mass_kg * (GRAVITY_M_S2 * now.height_m + 0.5 * moving) + 0.5 * turning


@inlined_kernel
def asked_of(
    case: NDArray[np.float64], schedule: Schedule, now: Falling, hand: Hand, glide_rad: float, level_rad: float
) -> tuple[float, float, float, float]:
    """Collective and tilt that the pilot asks for after his reaction, rad, and where his pull began, m and m/s.

    Shapes: case (18,) as CASE.
    Valid: entry, glide, flare, level, pull, one after the other; what he sees of the height is off by a share.
    Source: fixed schedule of a practised pilot; common practice, no source.
    """
    seen, sink = case[SEEN] * max(now.height_m, 0.0), -now.climb_m_s
    pull, pull_sink = hand.pull_m, hand.pull_sink_m_s
    if math.isnan(pull) and seen <= max(schedule.pull_s * sink, min(LOW_HOVER_M, schedule.level_m)):
        pull, pull_sink = max(seen, 0.05), max(sink, 0.0)
    tilt = min(max(TILT_GAIN_RAD_S_M * (case[GLIDE_SPEED] - now.forward_m_s), -TILT_MOST_RAD), TILT_MOST_RAD)
    if seen <= schedule.flare_m and now.forward_m_s > SLOW_ENOUGH_M_S:
        tilt = -schedule.flare_rad
    if seen <= schedule.level_m or (seen <= schedule.flare_m and now.forward_m_s <= SLOW_ENOUGH_M_S):
        tilt = 0.0
    asked = glide_rad
    if not math.isnan(pull):
        wanted = max(TOUCH_M_S, pull_sink * math.sqrt(max(seen - AIM_M, 0.0) / max(pull - AIM_M, 0.05)))
        share = min(wanted / max(pull_sink, TOUCH_M_S), 1.0)
        asked = level_rad + (glide_rad - level_rad) * share + PULL_GAIN_RAD_S_M * (sink - wanted)
    return asked, tilt, pull, pull_sink


@inlined_kernel
def landed_craft(craft: Craft, case: NDArray[np.float64]) -> tuple[Craft, Grade]:
    """The machine of one case.

    Shapes: case (18,) as CASE.
    Valid: what a case does not hold is the machine's own.
    Source: definition.
    """
    body = craft.body
    drawn = Body(
        case[MASS], case[DRAG_AREA], case[HEAD_INERTIA], body.motor_kg_m2, case[HEAD_DRAG], body.blades_on,
        body.tail_on_head, body.pack_k, body.air_k,
    )  # fmt: skip
    whole = Craft(
        craft.motor, craft.controller, craft.pack, craft.gears, craft.heats, craft.rotor, craft.section, craft.air,
        craft.tail, drawn,
    )  # fmt: skip
    return whole, Grade(case[DENSITY], case[LIFT], case[DRAG])


@kernel
def landing(
    craft: Craft, rotor_map: RotorMap, schedule: Schedule, case: NDArray[np.float64], trims: NDArray[np.float64],
    told: NDArray[np.float64], record: NDArray[np.float64],
) -> int:  # fmt: skip
    """Fly one landing and write what it tells; returns the number of rows written.

    Shapes: case (18,) as CASE, trims (3,) collective and tilt of level flight and collective of the glide, rad,
    told (8,) as TOLD, record (n, 8) as ROWS, one row a step as far as it reaches.
    Valid: inflow settled; no ground effect, which would soften the last half metre.
    Source: explicit midpoint rule; `asked_of`.
    """
    craft, grade = landed_craft(craft, case)
    now = Falling(case[HEIGHT], case[FORWARD], 0.0, case[HEAD])
    hand = Hand(trims[0], trims[1], math.nan, 0.0)
    asked, rows, left = trims[0], 0, lag_left(case[SERVO], STEP_S)
    start_j, gone_j, lowest = energy_of(craft, now), 0.0, now.head_rad_s
    told[CODE], time_s = STILL_ALOFT, 0.0
    for number in range(int(LONGEST_S / STEP_S)):
        time_s = number * STEP_S
        tilt, pull, pull_sink = hand.tilt_rad, hand.pull_m, hand.pull_sink_m_s
        if time_s >= case[REACTION]:
            wanted, tilt_wanted, pull, pull_sink = asked_of(case, schedule, now, hand, trims[2], trims[0])
            wanted = min(max(wanted, case[LOW]), case[HIGH])
            asked = slewed(asked, wanted, HAND_RAD_S, STEP_S)
            tilt = slewed(hand.tilt_rad, tilt_wanted, DISC_RAD_S, STEP_S)
        hand = Hand(lagged(hand.collective_rad, asked, left), tilt, pull, pull_sink)
        first = falling_rates(craft, rotor_map, grade, now, hand, case[AIR_UP])
        middle = moved_on(now, first, 0.5 * STEP_S)
        rates = falling_rates(craft, rotor_map, grade, middle, hand, case[AIR_UP])
        if rows < record.shape[0]:
            out = record[rows]
            out[0], out[1], out[2], out[3] = time_s, now.height_m, now.forward_m_s, now.climb_m_s
            out[4], out[5], out[6], out[7] = now.head_rad_s, hand.collective_rad, tilt, energy_of(craft, now) + gone_j
            rows += 1
        before = now
        now = moved_on(now, rates, STEP_S)
        gone_j += STEP_S * rates[4]
        lowest = min(lowest, now.head_rad_s)
        if now.head_rad_s < SLOWEST_HEAD * case[HEAD]:
            told[CODE] = HEAD_TOO_SLOW
            break
        if now.height_m <= 0.0:
            share = before.height_m / max(before.height_m - now.height_m, 1e-9)
            now = Falling(
                0.0, before.forward_m_s + share * (now.forward_m_s - before.forward_m_s),
                before.climb_m_s + share * (now.climb_m_s - before.climb_m_s),
                before.head_rad_s + share * (now.head_rad_s - before.head_rad_s),
            )  # fmt: skip
            told[CODE], gone_j = TOUCHED, gone_j - (1.0 - share) * STEP_S * rates[4]
            break
    told[SINK], told[AHEAD], told[HEAD_LEFT], told[TILT] = (
        -now.climb_m_s,
        now.forward_m_s,
        now.head_rad_s,
        hand.tilt_rad,
    )
    told[TIME], told[HEAD_LOW] = time_s, lowest
    told[GAP] = (energy_of(craft, now) + gone_j - start_j) / start_j
    return rows


@kernel
def trims_of(craft: Craft, rotor_map: RotorMap, case: NDArray[np.float64], trims: NDArray[np.float64]) -> int:
    """Write collective and tilt of the level flight that a case starts from, and the collective of its glide, rad.

    Returns 0 where both exist.
    Shapes: case (18,) as CASE, trims (3,).
    Valid: as `point_mass.slower_glide`.
    Source: `point_mass.level_flight`, `point_mass.slower_glide`.
    """
    craft, grade = landed_craft(craft, case)
    level = level_flight(craft, rotor_map, grade, case[HEAD], case[FORWARD])
    tail = craft.body.tail_on_head * tail_torque(craft.tail, case[GLIDE_HEAD], 0.0)
    taken = craft.body.head_drag_nm + tail
    glide, _ = slower_glide(craft, rotor_map, grade, case[GLIDE_HEAD], case[GLIDE_SPEED], taken)
    trims[0], trims[1], trims[2] = level.collective_rad, level.tilt_rad, glide.collective_rad
    return level.code + glide.code


@inlined_kernel
def is_gentle(told: NDArray[np.float64], sink_end_m_s: float, ahead_end_m_s: float) -> bool:
    """Whether a landing touched down within a sink and a forward speed, m/s.

    Shapes: told (8,) as TOLD.
    Valid: any landing.
    Source: definition.
    """
    return bool(told[CODE] == 0.0 and told[SINK] <= sink_end_m_s and abs(told[AHEAD]) <= ahead_end_m_s)


@kernel
def avoided(
    craft: Craft, rotor_map: RotorMap, schedule: Schedule, case: NDArray[np.float64], heights_m: NDArray[np.float64],
    ends_m_s: NDArray[np.float64], scratch: NDArray[np.float64], none: NDArray[np.float64],
) -> tuple[float, float]:  # fmt: skip
    """Lowest and highest height from which no gentle landing follows a loss of the motor, m; no number where none.

    Looks at every height of the list, then halves between neighbours. The highest is infinite where even the top fails.
    Shapes: case (18,) as CASE, heights_m (n,) rising, ends_m_s (2,) sink and forward speed of a gentle touchdown,
    scratch (29,), none (0, 8).
    Valid: as `landing`; a failure narrower than two neighbours of the list is not seen.
    Source: `landing`.
    """
    told, trims, own = scratch[:8], scratch[8:11], scratch[11:29]
    for column in range(own.shape[0]):
        own[column] = case[column]
    if trims_of(craft, rotor_map, own, trims) != 0:
        return 0.0, math.inf
    lowest = highest = -1
    for number in range(heights_m.shape[0]):
        own[HEIGHT] = heights_m[number]
        landing(craft, rotor_map, schedule, own, trims, told, none)
        if not is_gentle(told, ends_m_s[0], ends_m_s[1]):
            lowest = number if lowest < 0 else lowest
            highest = number
    if lowest < 0:
        return math.nan, math.nan
    ends = (0.0, math.inf)
    for side in range(2):
        at = lowest - 1 if side == 0 else highest + 1
        bad, good = heights_m[lowest if side == 0 else highest], 0.0
        if 0 <= at < heights_m.shape[0]:
            good = heights_m[at]
            for _ in range(6):
                own[HEIGHT] = math.sqrt(bad * good)
                landing(craft, rotor_map, schedule, own, trims, told, none)
                if is_gentle(told, ends_m_s[0], ends_m_s[1]):
                    good = own[HEIGHT]
                else:
                    bad = own[HEIGHT]
            ends = (bad, ends[1]) if side == 0 else (ends[0], bad)
    return ends


@kernel
def avoided_all(
    craft: Craft, rotor_map: RotorMap, schedule: Schedule, cases: NDArray[np.float64], heights_m: NDArray[np.float64],
    ends_m_s: NDArray[np.float64], out: NDArray[np.float64],
) -> None:  # fmt: skip
    """Write lowest and highest height to be avoided for every case, m.

    Shapes: cases (n, 18), heights_m (h,), ends_m_s (2,), out (n, 2).
    Valid: as `avoided`.
    Source: `avoided`.
    """
    scratch, none = np.zeros(29), np.zeros((0, 8))
    for number in range(cases.shape[0]):
        out[number, 0], out[number, 1] = avoided(
            craft, rotor_map, schedule, cases[number], heights_m, ends_m_s, scratch, none
        )


@kernel
def landings(
    craft: Craft, rotor_map: RotorMap, schedule: Schedule, cases: NDArray[np.float64], told: NDArray[np.float64]
) -> None:
    """Fly one landing for every case; where a case has no level flight or no glide the code says that it drops.

    Shapes: cases (n, 18) as CASE, told (n, 8) as TOLD.
    Valid: as `landing`.
    Source: `landing`.
    """
    trims, none = np.zeros(3), np.zeros((0, 8))
    for number in range(cases.shape[0]):
        if trims_of(craft, rotor_map, cases[number], trims) != 0:
            told[number, CODE] = HEAD_TOO_SLOW
            continue
        landing(craft, rotor_map, schedule, cases[number], trims, told[number], none)
