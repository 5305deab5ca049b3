"""What the peaks of a spool-up are held against; a limit that nobody stated is unknown, never pass."""

import math
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.machine.description import Machine
from steadyhead.physics.ramp import COLUMNS
from steadyhead.words.verdict import Limit, Outcome, Verdict

ZERO_CELSIUS_K = 273.15

GOVERNOR_ADDS = 0.12
"""How much the governor's own swing adds to the currents and torques of a ramp: the most seen when the engine flew
1 to 6 s ramps of the three bundled machines with a stiff governor. A governor near hunting adds more."""
CATCH_NEEDS = ("gears.one_way_play", "gears.train_stiffness")
MESH_NEEDS = ("gears.module", "gears.face_width", *CATCH_NEEDS)

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class RampLimit:
    """One peak of a ramp and the key of its limit; `least_column` is what it is at least, were it not known."""

    check: str
    what: str
    key: str
    unit: str
    column: str
    per_unit: float = 1.0
    offset: float = 0.0
    least_column: str = ""
    adds: float = GOVERNOR_ADDS
    needs: tuple[str, ...] = ()

    def figure(self, row: Floats) -> float:
        """Return the figure of a ramp in the limit's unit; no number where it is not known."""
        return float(row[COLUMNS.index(self.column)]) * self.per_unit + self.offset

    def least(self, row: Floats) -> float:
        """Return the figure, or what it is at least where it is not known; no number where neither is."""
        figure = self.figure(row)
        if math.isnan(figure) and self.least_column:
            return float(row[COLUMNS.index(self.least_column)]) * self.per_unit
        return figure

    def with_governor(self, figure: float) -> float:
        """Return the figure with what the governor's own swing may add to it."""
        return figure * (1.0 + self.adds)


LIMITS = (
    RampLimit(
        check="motor_current", what="motor current on the ramp", key="motor.current_max", unit="A",
        column="motor_current_a",
    ),
    RampLimit(
        check="controller_current", what="current through the controller on the ramp", key="controller.current_burst",
        unit="A", column="motor_current_a",
    ),
    RampLimit(
        check="pack_current", what="pack current on the ramp", key="pack.current_burst", unit="A",
        column="pack_current_a",
    ),
    RampLimit(
        check="winding_temperature", what="winding temperature at the ramp's end", key="motor.winding_temperature_max",
        unit="°C", column="winding_k", offset=-ZERO_CELSIUS_K, adds=0.0,
    ),
    RampLimit(
        check="pinion_tooth", what="bending stress at a pinion tooth", key="gears.pinion_stress_max", unit="MPa",
        column="pinion_peak_pa", per_unit=1e-6, least_column="pinion_stress_pa", needs=MESH_NEEDS,
    ),
    RampLimit(
        check="main_gear_tooth", what="bending stress at a tooth of the gear that the pinion drives",
        key="gears.main_gear_stress_max", unit="MPa", column="gear_peak_pa", per_unit=1e-6,
        least_column="gear_stress_pa", needs=MESH_NEEDS,
    ),
    RampLimit(
        check="one_way_torque", what="peak torque on the one-way bearing", key="gears.one_way_torque_max", unit="N m",
        column="bearing_peak_nm", least_column="bearing_nm", needs=CATCH_NEEDS,
    ),
)  # fmt: skip


def known_limits(machine: Machine) -> dict[str, Limit]:
    """Return the limits that somebody stated, by check."""
    found = {item.check: machine.limit(item.key) for item in LIMITS}
    return {check: limit for check, limit in found.items() if limit is not None}


def verdict_on(
    item: RampLimit, row: Floats, spread: Floats, limit: Limit | None, stated: Collection[str] = ()
) -> Verdict:
    """Return one peak of today's ramp, judged.

    Shapes: row (13,), spread (draws, 13) as `ramp.COLUMNS`.
    """
    figure, least = item.figure(row), item.least(row)
    if row[0] > 1.0 and limit is not None and least <= limit.value:
        why = f"full duty cannot follow the ramp: {item.what} is not known"
        return Verdict.unknown(item.check, why, needs=("a longer ramp",))
    if math.isnan(figure):
        return _unknown_figure(item, least, limit, [key for key in item.needs if key not in stated])
    ends = [figure, *(item.figure(one) for one in spread)]
    interval = (min(ends), item.with_governor(max(ends)))
    if limit is None:
        return Verdict(
            check=item.check, verdict=Outcome.UNKNOWN, figure=figure, figure_interval=interval, unit=item.unit,
            reason=f"{item.what} is {figure:.4g} {item.unit}, and nobody stated its limit: {item.key}",
            needs=(item.key,),
        )  # fmt: skip
    return Verdict.at_most(item.check, figure, limit, what=item.what, interval=interval)


def followed(row: Floats, spread: Floats) -> Verdict:
    """Return whether full duty can follow today's ramp.

    Shapes: row (13,), spread (draws, 13) as `ramp.COLUMNS`.
    """
    duty = COLUMNS.index("duty")
    ends = [float(row[duty]), *(float(one[duty]) for one in spread)]
    interval = (min(ends), max(ends)) if len(spread) else None
    limit = Limit(value=1.0, unit="", origin="full duty")
    return Verdict.at_most("ramp_followed", float(row[duty]), limit, what="duty that the ramp asks", interval=interval)


def _unknown_figure(item: RampLimit, least: float, limit: Limit | None, missing: list[str]) -> Verdict:
    needs = (*missing, *(() if limit else (item.key,)))
    said = f"{item.what} is not known"
    if needs:
        said = f"{said}: it needs {', '.join(needs)}"
    if math.isnan(least):
        return Verdict.unknown(item.check, said, needs=needs)
    if limit is not None and least > limit.value:
        return Verdict(
            check=item.check, verdict=Outcome.FAIL, figure=least, unit=item.unit, limit=limit.value,
            limit_text=f"<= {limit.value:g} {limit.unit}", limit_origin=limit.origin,
            reason=f"{item.what} is at least {least:.4g} {item.unit}, limit <= {limit.value:.4g} ({limit.origin})",
        )  # fmt: skip
    return Verdict(
        check=item.check, verdict=Outcome.UNKNOWN, figure=least, unit=item.unit, needs=needs,
        reason=f"{said}; it is at least {least:.4g} {item.unit}",
    )  # fmt: skip
