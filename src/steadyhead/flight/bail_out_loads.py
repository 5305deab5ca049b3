"""What a bail-out asks of motor, pack, teeth and one-way bearing, held against the limits that somebody stated."""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out_case import Ready
from steadyhead.flight.bail_out_height import RPM
from steadyhead.flight.bail_out_result import RampHeight
from steadyhead.flight.ramp_limits import LIMITS, RampLimit, known_limits, verdict_on
from steadyhead.machine import si
from steadyhead.physics.lewis import mesh_stresses
from steadyhead.physics.ramp import COLUMNS
from steadyhead.words.verdict import Limit, Verdict

ZERO_CELSIUS_K = 273.15
LIMITS_HERE = tuple(replace(item, adds=0.0) for item in LIMITS)
"""As for a bare ramp, but the governor's own swing is flown here and need not be added."""
PACK_VOLTAGE = "bail_out_pack_voltage"

Floats = NDArray[np.float64]


def loads_row(own: Ready, told: Floats) -> Floats:
    """Return what one bail-out asked as a row of `ramp.COLUMNS`.

    Shapes: told (19,) -> (13,).
    """
    mesh, gears = si.mesh(own.machine), own.craft.gears
    pinion, speed = float(told[columns.PINION]), float(told[columns.PINION_SPEED])
    stress = mesh_stresses(mesh, pinion, speed)
    caught = (told[columns.BEARING_PEAK] - told[columns.BEARING_NM]) / (gears.ratio * gears.efficiency)
    peak = mesh_stresses(mesh, pinion + float(caught), speed)
    figures = {
        "code": 0.0, "motor_current_a": told[columns.MOTOR_A], "pack_current_a": told[columns.PACK_A],
        "pack_voltage_v": told[columns.PACK_V], "duty": told[columns.DUTY], "winding_k": told[columns.WINDING_K],
        "pinion_stress_pa": stress[0], "gear_stress_pa": stress[1], "bearing_nm": told[columns.BEARING_NM],
        "bearing_peak_nm": told[columns.BEARING_PEAK], "pinion_nm": pinion,
        "pinion_peak_pa": peak[0] if not math.isnan(caught) else math.nan,
        "gear_peak_pa": peak[1] if not math.isnan(caught) else math.nan,
    }  # fmt: skip
    return np.array([figures[name] for name in COLUMNS])


def load_checks(own: Ready, told: Floats, spread: Floats) -> tuple[Verdict, ...]:
    """Return every load of today's ramp, judged; a limit that nobody stated is unknown.

    Shapes: told (19,), spread (n, 19).
    """
    machine = own.machine
    known, stated = known_limits(machine), {key for key, _ in machine.values()}
    row, rows = loads_row(own, told), np.array([loads_row(own, one) for one in spread])
    return (
        *(verdict_on(item, row, rows, known.get(item.check), stated) for item in LIMITS_HERE),
        pack_voltage(own, told, spread),
    )


def pack_voltage(own: Ready, told: Floats, spread: Floats) -> Verdict:
    """Return whether the pack's voltage under load stays above the least that a cell may have.

    Shapes: told (19,), spread (n, 19).
    """
    cell, cells = own.machine.limit("pack.cell_voltage_min"), own.craft.pack.cells
    lows = [float(told[columns.PACK_V]), *(float(one) for one in spread[:, columns.PACK_V])]
    limit = Limit(value=cell.value, unit="V", origin=cell.origin) if cell else None
    return Verdict.at_least(
        PACK_VOLTAGE, lows[0] / cells, limit, what="lowest cell voltage under load",
        interval=(min(lows) / cells, max(lows) / cells),
    )  # fmt: skip


def broken(own: Ready, told: Floats, spread: Floats) -> tuple[str, ...]:
    """Return the checks that a ramp breaks on the machine described or on any drawn one; the unknown break nothing.

    Shapes: told (19,), spread (n, 19).
    """
    known = known_limits(own.machine)
    rows = [loads_row(own, one) for one in (told, *spread)]
    names = [item.check for item in LIMITS_HERE if any(_over(item, row, known) for row in rows)]
    cell = own.machine.limit("pack.cell_voltage_min")
    lowest = min(float(told[columns.PACK_V]), float(np.min(spread[:, columns.PACK_V])))
    if cell is not None and lowest < cell.value * own.craft.pack.cells:
        names.append(PACK_VOLTAGE)
    return tuple(names)


def _over(item: RampLimit, row: Floats, known: dict[str, Limit]) -> bool:
    limit, figure = known.get(item.check), item.least(row)
    return limit is not None and not math.isnan(figure) and figure > limit.value


def ramp_height(own: Ready, ramp_s: float, told: Floats, spread: Floats, least_height_m: float | None) -> RampHeight:
    """Return one ramp as told. Shapes: told (19,), spread (n, 19)."""
    row = dict(zip(COLUMNS, (float(value) for value in loads_row(own, told)), strict=True))
    breaks = broken(own, told, spread)
    level = told[columns.CODE] == columns.LEVEL_REACHED
    return RampHeight(
        ramp_s=ramp_s,
        height_lost_m=float(told[columns.LOST]) if level else None,
        least_height_m=least_height_m,
        motor_current_a=row["motor_current_a"],
        pack_current_a=row["pack_current_a"],
        pack_voltage_v=row["pack_voltage_v"],
        duty=row["duty"],
        winding_temperature_c=row["winding_k"] - ZERO_CELSIUS_K,
        pinion_torque_nm=row["pinion_nm"],
        pinion_stress_mpa=_maybe(row["pinion_stress_pa"] * 1e-6),
        bearing_torque_nm=row["bearing_nm"],
        bearing_peak_nm=_maybe(row["bearing_peak_nm"]),
        head_speed_low_rpm=float(told[columns.HEAD_LOW]) * RPM,
        keeps_known_limits=not breaks,
        breaks=breaks,
    )


def unknown_limits(own: Ready) -> tuple[str, ...]:
    """Return the keys of the limits that nobody stated."""
    known = known_limits(own.machine)
    return tuple(item.key for item in LIMITS_HERE if item.check not in known)


def _maybe(value: float) -> float | None:
    return None if math.isnan(value) else value
