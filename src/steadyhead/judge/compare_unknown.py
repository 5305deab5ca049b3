"""How much a condition that nobody knows can do to a figure, and what would make it known."""

import math
from collections.abc import Iterable, Sequence

from steadyhead.judge.air_logged import ZERO_CELSIUS_K
from steadyhead.judge.compare_figures import AIR, BROUGHT_ALONG, CLIMB_LOAD, CLIMB_PITCH, OTHER_HEAT, PACK_HEAT, START
from steadyhead.judge.compare_result import MOVED, Change, Condition
from steadyhead.physics.pack import temperature_factor

RESISTANCE = "pack_resistance_mohm"
FALLS_WITH_LOAD = "load_voltage_min_v"
ANY = math.inf
AIR_DAYS = 0.1
"""How far the air's density may differ between two days at one place, as a share: 30 °C. Common practice, no source."""
AIR_MOST = {"hover_power_w": AIR_DAYS, "climb_droop_percent": ANY}
AIR_MOST_ELSE = 2.0 * AIR_DAYS
"""Of the power one part goes with the density and one against its root; what a load or the governor does moves at most
by twice the density's share; a droop begins at once where the duty meets its stop. Own choice."""
PACK_MOST = {
    RESISTANCE: 1.0, "undershoot_percent": 0.6, "overshoot_percent": 0.6, "load_duty_max": 0.1,
    "load_voltage_min_v": 0.1,
}  # fmt: skip
"""A cold pack has about twice the resistance of a warm one (common practice, no source). Flown so on an invented drive
dips and overshoots grew by half, peak duty and lowest voltage moved by 4 %, and recovery took twice as long."""
SAME_PACK = 0.25
"""Logs that leave no more of a change of the pack's resistance than this share show the same pack, as warm: it then
makes a dip at most an eighth larger. Own choice."""
BESIDE_K = 2.0
"""By so much more than their sensor shows two packs may differ within; common practice, no source."""
WOULD_TELL = {
    AIR: "the air density of both sides: state it, or log air pressure and the temperature outside",
    START: "logs that begin before the start",
    PACK_HEAT: "the pack's temperature, logged on both sides",
    OTHER_HEAT: "the controller's temperature, logged on both sides",
    CLIMB_PITCH: "the collective, logged on both sides",
    CLIMB_LOAD: "pack voltage and current, logged on both sides",
}


def differences(conditions: Sequence[Condition], changes: Iterable[Change]) -> dict[str, bool | None]:
    """Return of every condition whether it differs; None where it is not known.

    A pack whose temperature nobody logged was alike where the logs show that its resistance was.
    """
    known = {one.condition: one.differs for one in conditions}
    if known.get(PACK_HEAT) is None and any(_same_pack(change) for change in changes):
        known[PACK_HEAT] = False
    return known


def _same_pack(change: Change) -> bool:
    ends = change.change_interval
    if change.figure != RESISTANCE or change.said in MOVED or ends is None or not change.before:
        return False
    return max(abs(ends[0]), abs(ends[1])) <= SAME_PACK * change.before


def warmth_could_do_it(change: Change, heat: Condition) -> bool:
    """Whether a pack as warm as logged on both sides, its sensor a little beside its cells, explains its resistance.

    |ln(after / before)| <= |ln f(t_before)/f(t_after)|, the two temperatures BESIDE_K farther apart
    Valid: the pack's resistance and temperatures of both sides; false for any other figure.
    Source: `pack.temperature_factor`.
    """
    if change.figure != RESISTANCE or not change.before or not change.after or heat.before is None:
        return False
    if heat.after is None:
        return False
    cold, warm = sorted((heat.before, heat.after))
    ends = (cold + ZERO_CELSIUS_K, warm + BESIDE_K + ZERO_CELSIUS_K)
    most = math.log(temperature_factor(ends[0]) / temperature_factor(ends[1]))
    return abs(math.log(change.after / change.before)) <= most


def load_could_do_it(change: Change, load: Condition) -> bool:
    """Whether harder or easier climbs explain a change, if only as much of it as lies beyond noise.

    after / before of the figure <= (after / before of the climbs' power)^2, both the same way
    Valid: figures that grow with the load, and the least voltage, which falls with it. A climb takes about twice what
    a hover takes (common practice, no source), so its step grows by twice the share of its power; own choice.
    """
    ends, before = change.change_interval, change.before
    if not load.before or not load.after or ends is None or not before or before <= 0.0:
        return False
    harder = load.after > load.before
    if ((change.change or 0.0) > 0.0) is (harder is (change.figure == FALLS_WITH_LOAD)):
        return False
    least = min(ends, key=abs) if ends[0] * ends[1] > 0.0 else 0.0
    ratio = max((before + least) / before, 1e-9)
    return abs(math.log(ratio)) <= 2.0 * abs(math.log(load.after / load.before))


def could_do_it(change: Change, condition: str) -> bool:
    """Whether a condition that is not known on both sides may have made as large a change by itself.

    |ln(after / before)| <= ln(1 + most share)
    Valid: figures above zero; what begins at nought may be the work of anything.
    """
    if condition in BROUGHT_ALONG:
        return False
    most = _most(change.figure, condition)
    before, after = change.before or 0.0, change.after or 0.0
    if before <= 0.0 or after <= 0.0:
        return True
    return abs(math.log(after / before)) <= math.log1p(most)


def _most(figure: str, condition: str) -> float:
    """Return by what share of itself a figure may move; without bound where nothing is known of it."""
    if condition == AIR:
        return AIR_MOST.get(figure, AIR_MOST_ELSE)
    return PACK_MOST.get(figure, ANY) if condition == PACK_HEAT else ANY
