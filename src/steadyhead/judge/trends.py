"""How figures move from flight to flight, and whether that is more than noise."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from steadyhead.judge.noise import beyond_noise, slope_of
from steadyhead.judge.result import FlightFigures, Trend

FEWEST = 3
Figure = Callable[[FlightFigures], float | None]


class Kept(NamedTuple):
    """One figure followed over flights.

    `step` is how finely a log usually shows it, common practice, no source: figures that agree by accident of their
    steps are not known better than that. `only_flown` leaves bench runs out.
    """

    figure: str
    unit: str
    step: float
    read: Figure
    only_flown: bool = False


def _hottest(part: str) -> Figure:
    return lambda flight: next((h.hottest_c for h in flight.heat if h.part == part), None)


FOLLOWED = (
    Kept("pack_resistance_mohm", "mohm", 0.5, lambda f: f.pack_resistance_mohm),
    Kept("power_w", "W", 1.0, lambda f: f.power_w, only_flown=True),
    Kept("energy_wh", "Wh", 0.1, lambda f: f.energy_wh, only_flown=True),
    Kept("hover_duty", "", 0.01, lambda f: f.hover_duty, only_flown=True),
    Kept("duty_max", "", 0.01, lambda f: f.duty_max, only_flown=True),
    Kept("lowest_cell_v", "V", 0.01, lambda f: f.lowest_cell_v),
    Kept("pack_voltage_min_v", "V", 0.1, lambda f: f.pack_voltage_min_v, only_flown=True),
    Kept("climb_droop_percent", "%", 0.05, lambda f: f.climb_droop_percent),
    Kept("steady_band_percent", "%", 0.05, lambda f: f.steady_band_percent),
    Kept("recovery_s", "s", 0.02, lambda f: f.recovery_s),
    Kept("hunting_percent", "%", 0.02, lambda f: f.hunting_percent),
    Kept("controller_hottest_c", "°C", 1.0, _hottest("controller")),
    Kept("motor_hottest_c", "°C", 1.0, _hottest("motor")),
    Kept("pack_hottest_c", "°C", 1.0, _hottest("pack")),
)


def trends(flights: Sequence[FlightFigures]) -> tuple[Trend, ...]:
    """Return the trend of each figure that three flights or more show; flights count by their place in the row.

    Valid: the flights are alike and in the order in which they were flown; heat and air that changed are in it.
    """
    if len(flights) < FEWEST:
        return ()
    series = [(kept, _series(kept, flights)) for kept in FOLLOWED]
    shown = [(kept, x, y) for kept, (x, y) in series if x.size >= FEWEST]
    if not shown:
        return ()
    lines = [slope_of(x, y, kept.step) for kept, x, y in shown]
    moves = beyond_noise([line.chance for line in lines])
    return tuple(
        Trend(
            figure=kept.figure,
            unit=kept.unit,
            count=int(y.size),
            first=float(y[0]),
            last=float(y[-1]),
            per_flight=line.slope,
            per_flight_interval=(line.slope - line.doubt, line.slope + line.doubt),
            said=("rises" if line.slope > 0.0 else "falls") if moving else "not beyond noise",
        )
        for (kept, _, y), line, moving in zip(shown, lines, moves, strict=True)
    )


def _series(kept: Kept, flights: Sequence[FlightFigures]) -> tuple[np.ndarray, np.ndarray]:
    seen = [
        (k, value)
        for k, flight in enumerate(flights)
        if (value := kept.read(flight)) is not None and (flight.flown or not kept.only_flown)
    ]
    return np.array([k for k, _ in seen], np.float64), np.array([value for _, value in seen], np.float64)
