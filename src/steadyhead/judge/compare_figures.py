"""Which figures of judged logs are compared before and after a change, and how they are gathered."""

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from steadyhead.judge.result import FlightFigures, Judgement, LoadEvent, SteadyWindow

ALIKE_SHARE = 0.03
"""Set speeds nearer together than this belong to one flight mode."""
SAME_MODE_SHARE = 0.08
SAME_POSITION_PERCENT = 1.5

AIR = "air density"
START = "pack voltage at rest before the start"
HOVER_VOLTS = "pack voltage in hover"
PACK_HEAT = "pack temperature at the start"
OTHER_HEAT = "controller temperature at the start"
CLIMB_PITCH = "pitch of the climbs"
CLIMB_LOAD = "power of the climbs"
AT_HEAD = "speed measured at the head"
ROWS = "time between two rows"
LAG = "lag of the logged speed"
NOISE = "noise of the logged speed"
PITCH_SEEN = "collective logged"
SENSING = (AT_HEAD, ROWS, LAG, NOISE, PITCH_SEEN)
"""How the logs were taken: what is no matter of the machine at all."""
BROUGHT_ALONG = (HOVER_VOLTS,)
"""What a change of the machine itself moves, another pack or pinion: it names a cause and excuses nothing."""
ELECTRIC = (START, HOVER_VOLTS)
LOADED = (AIR, *ELECTRIC, PACK_HEAT, CLIMB_PITCH, CLIMB_LOAD, PITCH_SEEN)
"""What moves a climb, or where it is seen to begin and to end: without a collective that is told by the current."""
PEAKS = (ROWS, LAG)
"""What a slow sensor or few rows flatten."""
OF_THE_SPEED = (AT_HEAD, ROWS, LAG, NOISE)
FED = ("hover_duty", "hover_power_w", "load_duty_max", "load_current_max_a")
"""Figures that even a slightly other head speed moves."""


class Sample(NamedTuple):
    """One value: which flight of its side it is from, and the set speed it belongs to, if to one."""

    flight: int
    set_rpm: float | None
    value: float
    doubt: float | None = None
    """Half width of its own 90 % interval, where it has one."""


class Compared(NamedTuple):
    """One figure: key, unit, how finely a log shows it, whether less is better, and what else could move it."""

    figure: str
    unit: str
    step: float
    less_is_better: bool | None
    moved_by: tuple[str, ...]


class Side:
    """The judged logs of one side with their flights numbered through."""

    def __init__(self, logs: Sequence[Judgement]) -> None:
        self.logs = tuple(logs)
        self.flights: list[tuple[Judgement, FlightFigures]] = [(log, f) for log in self.logs for f in log.flights]

    def samples(self, figure: str) -> list[Sample]:
        """Return every value of a figure on this side."""
        read = READ[figure]
        return [
            Sample(number, set_rpm, value, doubt)
            for number, (log, flight) in enumerate(self.flights)
            for set_rpm, value, doubt in read(log, flight)
            if value is not None
        ]

    def modes(self) -> dict[float, float | None]:
        """Return each set speed of this side with the channel percent that asks for it, if that was logged."""
        found: dict[float, float | None] = {}
        windows = [(w.set_rpm, w.channel_percent) for log in self.logs for w in log.steady]
        loads = [(event.set_rpm, None) for log in self.logs for event in log.events]
        for set_rpm, percent in sorted((*windows, *loads), key=lambda one: (one[0], one[1] is None)):
            if not any(abs(set_rpm - known) <= ALIKE_SHARE * known for known in found):
                found[set_rpm] = percent
        return found


def paired_modes(before: Side, after: Side) -> list[tuple[float | None, float | None]]:
    """Return set speeds before and after that belong together: by channel position, else by nearness.

    None stands where one side has no partner.
    """
    left = dict(after.modes())
    pairs: list[tuple[float | None, float | None]] = []
    for rpm, percent in before.modes().items():
        partner = _partner(rpm, percent, left)
        if partner is not None:
            left.pop(partner)
        pairs.append((rpm, partner))
    return [*pairs, *((None, rpm) for rpm in left)]


def _partner(rpm: float, percent: float | None, others: dict[float, float | None]) -> float | None:
    if percent is not None:
        by_channel = [
            (abs(percent - other), at)
            for at, other in others.items()
            if other is not None and abs(percent - other) <= SAME_POSITION_PERCENT
        ]
        if by_channel:
            return min(by_channel)[1]
    near = [
        (abs(at - rpm), at)
        for at, other in others.items()
        if abs(at - rpm) <= SAME_MODE_SHARE * rpm and (other is None or percent is None)
    ]
    return min(near)[1] if near else None


Values = Iterator[tuple[float | None, float | None, float | None]]
"""Set speed, value, and half width of its own interval."""
Reader = Callable[[Judgement, FlightFigures], Values]


def _windows(
    read: Callable[[SteadyWindow], float | None], *, hover: bool
) -> Callable[[Judgement, FlightFigures], Values]:
    def values(log: Judgement, flight: FlightFigures) -> Values:
        for window in log.steady:
            if flight.start_s <= window.start_s < flight.end_s and (window.hover or not hover):
                yield window.set_rpm, read(window), None

    return values


def _climbs(read: Callable[[LoadEvent], float | None]) -> Reader:
    def values(log: Judgement, flight: FlightFigures) -> Values:
        for event in log.events:
            if flight.start_s <= event.start_s < flight.end_s and event.kind == "climb":
                yield event.set_rpm, read(event), None

    return values


def climb_pitches(side: Side) -> list[float]:
    """Return the collective of each climb of a side, degrees: what was held for a tenth of it or more."""
    found = []
    for log in side.logs:
        pitch = log.trace.get("collective_deg")
        for event in log.events if pitch is not None else ():
            rows = slice(*np.searchsorted(log.trace.time_s, (event.start_s, event.end_s)))
            held = pitch[rows] if pitch is not None else np.empty(0)
            held = held[np.isfinite(held)]
            if event.kind == "climb" and held.size:
                found.append(float(np.percentile(held, 90)))
    return found


def climb_powers(side: Side) -> list[float]:
    """Return the most that each climb of a side took from the pack, W: highest current times lowest voltage."""
    return [
        event.pack_current_max_a * event.pack_voltage_min_v
        for log in side.logs
        for event in log.events
        if event.kind == "climb" and event.pack_current_max_a is not None and event.pack_voltage_min_v is not None
    ]


def _flight(read: Callable[[FlightFigures], float | None]) -> Reader:
    def values(_: Judgement, flight: FlightFigures) -> Values:
        yield None, read(flight), None

    return values


def _resistance(_: Judgement, flight: FlightFigures) -> Values:
    span = flight.pack_resistance_mohm_interval
    yield None, flight.pack_resistance_mohm, None if span is None else 0.5 * (span[1] - span[0])


def _soft_starts(log: Judgement, flight: FlightFigures) -> Values:
    for before, spool in pairwise(log.segments):
        from_rest = spool.kind == "soft_spool" and before.kind in ("rest", "stopped")
        if from_rest and spool.set_rpm is not None and flight.start_s <= spool.start_s < flight.end_s:
            yield spool.set_rpm, spool.end_s - spool.start_s, None


def _bail_outs(log: Judgement, flight: FlightFigures) -> Values:
    for bail_out in log.bail_outs:
        if flight.start_s <= bail_out.start_s < flight.end_s:
            yield None, bail_out.to_set_speed_s, None


def _height(log: Judgement, flight: FlightFigures) -> Values:
    for bail_out in log.bail_outs:
        if flight.start_s <= bail_out.start_s < flight.end_s:
            yield None, bail_out.height_lost_m, None


def hottest(part: str) -> Callable[[FlightFigures], float | None]:
    """Return how to read the hottest temperature of a part."""
    return lambda flight: next((h.hottest_c for h in flight.heat if h.part == part), None)


def _power(window: SteadyWindow) -> float | None:
    if window.pack_voltage_mean_v is None or window.pack_current_mean_a is None:
        return None
    return window.pack_voltage_mean_v * window.pack_current_mean_a


FIGURES = (
    Compared("head_speed_rpm", "rpm", 1.0, None, (AT_HEAD,)),
    Compared("steady_band_percent", "%", 0.05, True, (AIR, *SENSING)),
    Compared("hunting_percent", "%", 0.02, True, (AIR, *SENSING)),
    Compared("hover_duty", "", 0.01, None, (AIR, *ELECTRIC, PITCH_SEEN)),
    Compared("hover_power_w", "W", 1.0, True, (AIR, PITCH_SEEN)),
    Compared("climb_droop_percent", "%", 0.05, True, (*LOADED, AT_HEAD)),
    Compared("undershoot_percent", "%", 0.05, True, (*LOADED, *OF_THE_SPEED)),
    Compared("overshoot_percent", "%", 0.05, True, (*LOADED, *OF_THE_SPEED)),
    Compared("load_recovery_s", "s", 0.02, True, (*LOADED, *OF_THE_SPEED)),
    Compared("unload_recovery_s", "s", 0.02, True, (*LOADED, *OF_THE_SPEED)),
    Compared("load_duty_max", "", 0.01, True, (*LOADED, *PEAKS)),
    Compared("load_current_max_a", "A", 0.5, None, (*LOADED, *PEAKS)),
    Compared("load_voltage_min_v", "V", 0.1, False, (*LOADED, *PEAKS)),
    Compared("soft_start_s", "s", 0.1, None, (AT_HEAD, NOISE)),
    Compared("bail_out_s", "s", 0.05, True, (*ELECTRIC, PACK_HEAT, *OF_THE_SPEED)),
    Compared("bail_out_height_lost_m", "m", 0.5, True, (AIR,)),
    Compared("pack_resistance_mohm", "mohm", 0.5, True, (PACK_HEAT, START, *PEAKS)),
    Compared("controller_hottest_c", "°C", 1.0, True, (AIR, OTHER_HEAT)),
    Compared("motor_hottest_c", "°C", 1.0, True, (AIR, OTHER_HEAT)),
    Compared("pack_hottest_c", "°C", 1.0, True, (AIR, PACK_HEAT)),
)
READ: dict[str, Reader] = {
    "head_speed_rpm": _windows(lambda w: w.mean_rpm, hover=False),
    "steady_band_percent": _windows(lambda w: w.band_half_width_percent, hover=True),
    "hunting_percent": _windows(lambda w: w.hunting_percent, hover=True),
    "hover_duty": _windows(lambda w: w.duty_mean, hover=True),
    "hover_power_w": _windows(_power, hover=True),
    "climb_droop_percent": _climbs(lambda e: e.droop_percent),
    "undershoot_percent": _climbs(lambda e: e.undershoot_percent),
    "overshoot_percent": _climbs(lambda e: e.overshoot_percent),
    "load_recovery_s": _climbs(lambda e: e.load_recovery_s),
    "unload_recovery_s": _climbs(lambda e: e.unload_recovery_s),
    "load_duty_max": _climbs(lambda e: e.duty_max),
    "load_current_max_a": _climbs(lambda e: e.pack_current_max_a),
    "load_voltage_min_v": _climbs(lambda e: e.pack_voltage_min_v),
    "soft_start_s": _soft_starts,
    "bail_out_s": _bail_outs,
    "bail_out_height_lost_m": _height,
    "pack_resistance_mohm": _resistance,
    "controller_hottest_c": _flight(hottest("controller")),
    "motor_hottest_c": _flight(hottest("motor")),
    "pack_hottest_c": _flight(hottest("pack")),
}
