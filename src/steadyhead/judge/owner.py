"""The few numbers of the machine file that the measuring needs, in the units of the judge."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import degrees, pi

from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Limit


@dataclass(frozen=True, kw_only=True)
class Owner:
    """Numbers of the machine; None where the owner does not know and no typical value exists."""

    radius_m: float | None
    radius_spread_m: float
    blade_area_m2: float | None
    inertia_kg_m2: float | None
    no_load_current_a: float
    collective_max_deg: float | None
    cells: int
    capacity_mah: float | None
    capacity_spread_mah: float
    new_resistance_ohm: float | None
    new_resistance_spread_ohm: float
    start_percent: float | None
    hold_percent: float | None
    """Throttle hold where the owner states it; the typical value says nothing of this machine."""
    off_below_percent: float | None
    """A channel below this is surely below the cut-off that the owner states, its doubt allowed for."""
    autorotation_percent: float | None
    restart_window_s: float | None
    modes: tuple[tuple[float, float], ...]
    """Channel percent and head speed in rpm of each flight mode whose curve value is written down."""
    recovery_band_share: float
    hunting_percent: float
    limit: Callable[[str], Limit | None]
    """`Machine.limit`, each key looked up once: a log of many flights asks for the same ones again and again."""


def owner(machine: Machine) -> Owner:
    """Return the numbers that the measuring needs."""

    def si(key: str) -> float | None:
        value = machine.value(key)
        return None if value is None else value.si

    def spread(key: str) -> float:
        value = machine.value(key)
        return 0.0 if value is None else value.spread_si

    def percent(key: str) -> float | None:
        share = si(key)
        return None if share is None else 100.0 * share

    radius, chord, blades = si("rotor.radius"), si("rotor.chord"), si("rotor.blades")
    collective, capacity = si("rotor.collective_max"), si("pack.capacity")
    hold, cut_off = machine.value("channel.hold"), machine.value("channel.cut_off")
    band, hunting = si("limits.recovery_band"), percent("limits.hunting")
    return Owner(
        radius_m=radius,
        radius_spread_m=spread("rotor.radius"),
        blade_area_m2=radius * chord * blades if radius and chord and blades else None,
        inertia_kg_m2=si("rotor.inertia"),
        no_load_current_a=si("motor.no_load_current") or 3.0,
        collective_max_deg=None if collective is None else degrees(collective),
        cells=machine.cells,
        capacity_mah=None if capacity is None else capacity / 3.6,
        capacity_spread_mah=spread("pack.capacity") / 3.6,
        new_resistance_ohm=si("pack.resistance_when_new"),
        new_resistance_spread_ohm=spread("pack.resistance_when_new"),
        start_percent=percent("channel.start"),
        hold_percent=None if hold is None or hold.is_typical else 100.0 * hold.si,
        off_below_percent=(None if cut_off is None or cut_off.is_typical else 100.0 * (cut_off.si - cut_off.spread_si)),
        autorotation_percent=percent("channel.autorotation"),
        restart_window_s=si("run_logic.quick_restart_window"),
        modes=tuple(
            (100.0 * mode.channel.si, mode.head_speed.si * 30.0 / pi)
            for mode in machine.flight_mode
            if mode.channel is not None
        ),
        recovery_band_share=band if band is not None else 0.01,
        hunting_percent=hunting if hunting is not None else 0.5,
        limit=cache(machine.limit),
    )
