"""Spool-up and quick ramp: current, heat, tooth and one-way bearing against ramp time, and the shortest ramp."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.governor_case import FULL, Bench
from steadyhead.flight.governor_result import Interval, Ramp, RampPoint
from steadyhead.flight.linear_point import Point
from steadyhead.flight.ramp_limits import LIMITS, RampLimit, followed, known_limits, verdict_on
from steadyhead.machine import si
from steadyhead.physics.conditions import Drive
from steadyhead.physics.gears import Gears
from steadyhead.physics.heat import Warmth
from steadyhead.physics.lewis import Mesh
from steadyhead.physics.ramp import COLUMNS, RampLoad, RampPack, ramp_peaks
from steadyhead.physics.rotor import axial_loads
from steadyhead.physics.tail_curve import tail_torque
from steadyhead.words.verdict import Limit, Outcome, Verdict, worst

QUICK, SOFT = "quick", "soft"
TODAY = {QUICK: "governor.quick_spool", SOFT: "governor.soft_spool"}
CURVE_S = {QUICK: (0.2, 12.0), SOFT: (1.0, 60.0)}
CURVE_POINTS = 41
HALVINGS = 12
ZERO_CELSIUS_K = 273.15

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class RampSetting:
    """What `ramp_peaks` needs of one machine in one flight mode."""

    drive: Drive
    load: RampLoad
    mesh: Mesh
    pack: RampPack

    def peaks(self, ramps_s: Floats) -> Floats:
        """Return the worst of each ramp. Shapes: ramps_s (r,) -> (r, 13) as `ramp.COLUMNS`."""
        out = np.empty((ramps_s.size, len(COLUMNS)))
        ramp_peaks(self.drive, self.load, self.mesh, self.pack, np.ascontiguousarray(ramps_s), out)
        return out


def ramp_setting(ready: Bench, kind: str, hover: Point) -> RampSetting:
    """Return the setting of a spool-up: soft at flat pitch, quick at the pitch of a hover.

    Both count the whole way from rest: for a quick ramp that is the worst, since the head still turns.
    """
    machine, craft, speed = ready.machine, ready.rig.craft, hover.speed_rad_s
    body, air_k = craft.body, craft.body.air_k
    play, stiffness = machine.value("gears.one_way_play"), machine.value("gears.train_stiffness")
    rotor_nm, tail_nm = hover.loads.torque_nm, hover.loads.tail_nm
    start, charge = Warmth(hover.frozen.winding_k, hover.frozen.case_k, hover.frozen.controller_k), ready.ambit.reserve
    if kind == SOFT:
        rotor_nm = axial_loads(craft.rotor, craft.section, craft.air, speed, 0.0, 0.0).torque_nm
        tail_nm = tail_torque(craft.tail, speed, rotor_nm)
        start, charge = Warmth(air_k, air_k, air_k), FULL
    gears = Gears(craft.gears.ratio, craft.gears.efficiency, craft.gears.drag_torque_nm)
    return RampSetting(
        drive=Drive(craft.motor, craft.controller, craft.pack, gears, craft.heats),
        load=RampLoad(
            speed_rad_s=speed, from_rad_s=0.0, rotor_nm=float(rotor_nm), tail_nm=float(tail_nm),
            head_kg_m2=body.head_kg_m2, motor_kg_m2=body.motor_kg_m2, head_drag_nm=body.head_drag_nm,
            tail_on_head=body.tail_on_head, one_way_play_rad=play.si if play else math.nan,
            stiffness_nm_rad=stiffness.si if stiffness else math.nan, catches_up=1.0 if kind == QUICK else 0.0,
        ),
        mesh=si.mesh(machine),
        pack=RampPack(charge, body.pack_k, air_k, start),
    )  # fmt: skip


def ramp(ready: Bench, kind: str, hover: Point, mode: str, drawn: Sequence[RampSetting]) -> Ramp:
    """Return one kind of spool-up in one flight mode: curve, today's ramp judged, the shortest within known limits."""
    setting, known = ramp_setting(ready, kind, hover), known_limits(ready.machine)
    times = np.geomspace(*CURVE_S[kind], CURVE_POINTS)
    rows = setting.peaks(times)
    shortest, set_by = shortest_ramp(setting, known, times)
    today = ready.machine.value(TODAY[kind])
    checks: tuple[Verdict, ...] = ()
    point = None
    if today is not None:
        now = np.array([today.si])
        row = setting.peaks(now)[0]
        point = ramp_point(today.si, row, known)
        stated, spread = {key for key, _ in ready.machine.values()}, _spread(drawn, now)
        checks = (
            followed(row, spread),
            *(verdict_on(item, row, spread, known.get(item.check), stated) for item in LIMITS),
        )
    else:
        checks = (Verdict.unknown(f"{kind}_ramp", f"today's {kind} spool-up time is not known", needs=(TODAY[kind],)),)
    ends = [shortest_ramp(one, known, times)[0] for one in drawn]
    missing = [item.key for item in LIMITS if item.check not in known]
    missing += [key for item in LIMITS if math.isnan(item.figure(rows[-1])) for key in item.needs]
    missing = [key for key in dict.fromkeys(missing) if ready.machine.value(key) is None]
    return Ramp(
        kind=kind, mode=mode, today_s=today.si if today else None, shortest_s=shortest,
        shortest_s_interval=_interval(shortest, ends), set_by=set_by, unknown_limits=tuple(missing), today=point,
        checks=checks, curve=tuple(ramp_point(float(t), r, known) for t, r in zip(times, rows, strict=True)),
        verdict=worst(check.verdict for check in checks),
        reasons=tuple(check.reason for check in checks if check.verdict is not Outcome.PASS),
    )  # fmt: skip


def shortest_ramp(setting: RampSetting, known: dict[str, Limit], times: Floats) -> tuple[float | None, str]:
    """Return the shortest ramp that keeps every known limit, s, and the check that a shorter one would break.

    None where no ramp looked at keeps them. What the governor's own swing may add is counted in, and full duty has to
    follow the ramp.
    """
    names: tuple[str, ...] = ()
    for at, high in enumerate(times):  # a long ramp takes long to run: none is run beyond the first that holds
        tried = _breaks(setting.peaks(np.array([high]))[0], known)
        if not tried:
            return _halved(setting, known, (float(times[at - 1]), float(high)), names) if at else (float(high), "")
        names = tried
    return None, names[0]


def _halved(
    setting: RampSetting, known: dict[str, Limit], ends: tuple[float, float], names: tuple[str, ...]
) -> tuple[float, str]:
    """Return the shortest ramp between one that breaks a limit, by `names`, and one that breaks none, s, and which."""
    low, high = ends
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        tried = _breaks(setting.peaks(np.array([middle]))[0], known)
        if tried:
            low, names = middle, tried
        else:
            high = middle
    return high, names[0]


def ramp_point(ramp_s: float, row: Floats, known: dict[str, Limit]) -> RampPoint:
    """Return one ramp as told."""
    figures = dict(zip(COLUMNS, (float(value) for value in row), strict=True))
    return RampPoint(
        ramp_s=ramp_s,
        reached=figures["code"] <= 1.0,
        duty=figures["duty"],
        motor_current_a=figures["motor_current_a"],
        pack_current_a=figures["pack_current_a"],
        pack_voltage_v=figures["pack_voltage_v"],
        winding_temperature_c=figures["winding_k"] - ZERO_CELSIUS_K,
        pinion_torque_nm=figures["pinion_nm"],
        pinion_stress_mpa=_maybe(figures["pinion_stress_pa"], 1e-6),
        main_gear_stress_mpa=_maybe(figures["gear_stress_pa"], 1e-6),
        pinion_stress_peak_mpa=_maybe(figures["pinion_peak_pa"], 1e-6),
        main_gear_stress_peak_mpa=_maybe(figures["gear_peak_pa"], 1e-6),
        bearing_torque_nm=figures["bearing_nm"],
        bearing_peak_nm=_maybe(figures["bearing_peak_nm"], 1.0),
        keeps_known_limits=not _breaks(row, known),
    )


def _breaks(row: Floats, known: dict[str, Limit]) -> tuple[str, ...]:
    """Return the checks that a ramp breaks, the governor's own swing counted in, the drive's own end first."""
    names = ["reached"] if row[0] > 1.0 else []
    for item in LIMITS:
        limit, figure = known.get(item.check), item.least(row)
        if limit is not None and item.with_governor(figure) > limit.value:
            names.append(item.check)
    return tuple(names)


def _spread(drawn: Sequence[RampSetting], now: Floats) -> Floats:
    return np.array([one.peaks(now)[0] for one in drawn]) if drawn else np.empty((0, len(COLUMNS)))


def _interval(shortest: float | None, ends: list[float | None]) -> Interval | None:
    found = [end for end in ends if end is not None]
    if shortest is None or not found or len(found) < len(ends):
        return None
    return min(shortest, *found), max(shortest, *found)


def _maybe(value: float, factor: float) -> float | None:
    return None if math.isnan(value) else value * factor


__all__ = ["QUICK", "SOFT", "TODAY", "RampLimit", "RampSetting", "ramp", "ramp_point", "ramp_setting", "shortest_ramp"]
