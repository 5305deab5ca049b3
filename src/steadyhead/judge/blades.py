"""Tells from a log on the ground whether blades were fitted: from the power and from how fast the head coasts down."""

import itertools

import numpy as np

from steadyhead.judge.owner import Owner
from steadyhead.judge.pieces import line, mean
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.steady import Calm

LEAST_DRAG = 0.0075
"""Profile drag coefficient that no model blade section undercuts at these Reynolds numbers; common practice."""
AIR_KG_M3 = 1.15
BARE_SHARE = 0.8
FITTED_SHARE = 1.8
BARE_COAST = 2.0
FITTED_COAST = (0.25, 1.3)


def blades_on(signals: Signals, owner: Owner, windows: tuple[Calm, ...], stretches: tuple[Stretch, ...]) -> bool | None:
    """Whether blades were fitted; None when nothing tells, or when the coast-down says so and the power cannot.

    The coast-down speaks first: a head that loses energy faster than the drive had put in cannot carry its blades. A
    bare head with much drag for its size may coast like one with blades: then its power is too small for them.
    """
    coast = _coast_share(signals, owner, stretches)
    shares = power_shares(signals, owner, windows)
    if coast is not None:
        if coast > BARE_COAST:
            return False
        if FITTED_COAST[0] < coast < FITTED_COAST[1]:
            return None if shares and min(shares) < BARE_SHARE else True
    if not shares:
        return None
    if min(shares) < BARE_SHARE:
        return False
    return True if min(shares) > FITTED_SHARE else None


def power_shares(signals: Signals, owner: Owner, windows: tuple[Calm, ...], full_v: float | None = None) -> list[float]:
    """Return, for each steady window that shows it, the power over the least that the blades take.

    `full_v` is the voltage of a full pack, taken where none was logged: the power is then an upper bound.
    """
    shares = (_power_share(signals, owner, window, full_v) for window in windows)
    return [share for share in shares if share is not None]


def _coast_share(signals: Signals, owner: Owner, stretches: tuple[Stretch, ...]) -> float | None:
    """Return the power lost in the first half second of coasting, for the inertia with blades, over the power before.

    Equation: J w dw/dt / (u i (w / w0)^3), since the power of blades falls with the cube of the speed
    """
    speed = signals.speed_rpm
    if speed is None or not signals.speed_is_head or owner.inertia_kg_m2 is None:
        return None
    if signals.voltage_v is None or signals.current_a is None:
        return None
    for before, coast in itertools.pairwise(stretches):
        if before.kind != "governed" or coast.kind != "coast":
            continue
        part = signals.within(coast.start_s + 0.1, min(coast.start_s + 0.5, coast.end_s))
        driven = signals.within(coast.start_s - 1.0, coast.start_s - 2.0 * signals.interval_s)
        if part.stop - part.start < 3 or driven.stop - driven.start < 3:
            continue
        rate = speed[part] * np.pi / 30.0
        slope = -line(signals.time_s[part], rate)[0]
        power = mean(signals.voltage_v[driven] * signals.current_a[driven])
        fallen = mean(rate) / max(mean(speed[driven]) * np.pi / 30.0, 1.0)
        if power > 0.0 and fallen > 0.0:
            return owner.inertia_kg_m2 * mean(rate) * slope / (power * fallen**3)
    return None


def _power_share(signals: Signals, owner: Owner, window: Calm, full_v: float | None) -> float | None:
    """Return the electrical power less the idle loss of the motor, over the least profile power of the blades.

    Equation: profile power = rho (blades chord radius) cd (w radius)^3 / 8
    """
    if (signals.voltage_v is None and full_v is None) or signals.current_a is None:
        return None
    if owner.blade_area_m2 is None or owner.radius_m is None:
        return None
    part = signals.within(window.start_s, window.end_s)
    volts_of = np.full(part.stop - part.start, full_v) if signals.voltage_v is None else signals.voltage_v[part]
    volts = mean(volts_of)
    power = mean(volts_of * signals.current_a[part])
    tip = window.mean_rpm * np.pi / 30.0 * owner.radius_m
    least = AIR_KG_M3 * owner.blade_area_m2 * LEAST_DRAG * tip**3 / 8.0
    return (power - 0.6 * owner.no_load_current_a * volts) / least if least > 0.0 else None
