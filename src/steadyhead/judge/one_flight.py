"""A flight that a logger parted into two files, as one: what it took, its extremes and its means."""

from collections.abc import Callable
from dataclasses import replace

from steadyhead.judge.result import FlightFigures, Heat

J_PER_WH = 3600.0


def as_one(first: FlightFigures, second: FlightFigures, twice_s: float, twice_wh: float) -> FlightFigures:
    """Return the figures of both parts of a flight; the second repeats so many seconds and Wh of the first.

    A resistance is that of the part that tells it best; a duty in hover the mean by the time driven.

    Valid: the second part goes on where the first ends, flying.
    """
    energy_wh = _sum(first.energy_wh, second.energy_wh)
    energy_wh = None if energy_wh is None else energy_wh - twice_wh
    driven_s = max(first.driven_s + second.driven_s - twice_s, 0.0)
    return replace(
        _best_resistance(first, second),
        flown=first.flown or second.flown,
        driven_s=driven_s,
        energy_wh=energy_wh,
        power_w=None if energy_wh is None or driven_s <= 0.0 else energy_wh * J_PER_WH / driven_s,
        charge_used_mah=_sum(first.charge_used_mah, second.charge_used_mah),
        pack_voltage_min_v=_worse(min, first.pack_voltage_min_v, second.pack_voltage_min_v),
        lowest_cell_v=_worse(min, first.lowest_cell_v, second.lowest_cell_v),
        pack_current_max_a=_worse(max, first.pack_current_max_a, second.pack_current_max_a),
        duty_max=_worse(max, first.duty_max, second.duty_max),
        hover_duty=_mean(first, second),
        steady_band_percent=_worse(max, first.steady_band_percent, second.steady_band_percent),
        climb_droop_percent=_worse(max, first.climb_droop_percent, second.climb_droop_percent),
        recovery_s=_worse(max, first.recovery_s, second.recovery_s),
        hunting_percent=_worse(max, first.hunting_percent, second.hunting_percent),
        heat=tuple(_hotter(one, second.heat) for one in first.heat),
    )


def _best_resistance(first: FlightFigures, second: FlightFigures) -> FlightFigures:
    """Return the first part with the resistance of the part whose interval is narrower."""
    widths = [
        float("inf") if one.pack_resistance_mohm_interval is None
        else one.pack_resistance_mohm_interval[1] - one.pack_resistance_mohm_interval[0]
        for one in (first, second)
    ]  # fmt: skip
    best = second if widths[1] < widths[0] else first
    return replace(
        first,
        pack_resistance_mohm=best.pack_resistance_mohm,
        pack_resistance_mohm_interval=best.pack_resistance_mohm_interval,
    )


def _mean(first: FlightFigures, second: FlightFigures) -> float | None:
    told = [(one.hover_duty, one.driven_s) for one in (first, second) if one.hover_duty is not None]
    weight = sum(driven_s for _, driven_s in told)
    if not told or weight <= 0.0:
        return None
    return sum(duty * driven_s for duty, driven_s in told) / weight


def _hotter(one: Heat, others: tuple[Heat, ...]) -> Heat:
    """Return a temperature of both parts: the end is that of the later one."""
    same = next((other for other in others if other.part == one.part), None)
    if same is None:
        return one
    return replace(same, start_c=one.start_c, hottest_c=max(one.hottest_c, same.hottest_c))


def _sum(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else one + other


def _worse(pick: Callable[[float, float], float], one: float | None, other: float | None) -> float | None:
    if one is None or other is None:
        return other if one is None else one
    return pick(one, other)
