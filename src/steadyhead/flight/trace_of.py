"""The record of the loop as a trace: the channels that a good log has, in trade units."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.loop import COLUMNS
from steadyhead.flight.rig import Rig
from steadyhead.flight.scenario import Scenario
from steadyhead.trace.trace import Trace

RPM = 30.0 / np.pi
AT = {name: number for number, name in enumerate(COLUMNS)}
ZERO_C_K = 273.15


def trace_of(scenario: Scenario, rig: Rig, rows: NDArray[np.float64], source: str) -> Trace:
    """Return a record as a trace; a bench without blades has no height and no collective.

    Shapes: rows (n, 25) as `loop.COLUMNS`.
    """

    def column(name: str) -> NDArray[np.float64]:
        return np.ascontiguousarray(rows[:, AT[name]])

    charge = column("charge")
    used = rig.craft.pack.capacity_as / 3.6 * ((charge[0] if charge.size else 0.0) - charge)
    channels = {
        "head_speed_rpm": column("head_rad_s") * RPM,
        "motor_side_speed_rpm": column("motor_rad_s") * (RPM / rig.craft.gears.ratio),
        "throttle_percent": column("channel_percent"),
        "duty": column("duty"),
        "pack_voltage_v": column("pack_voltage_v"),
        "pack_current_a": column("pack_current_a"),
        "charge_used_mah": used,
        "controller_temperature_c": column("controller_k") - ZERO_C_K,
        "motor_temperature_c": column("winding_k") - ZERO_C_K,
    }
    if scenario.blades:
        channels |= {
            "height_m": column("height_m"),
            "climb_speed_m_s": column("climb_m_s"),
            "collective_deg": np.degrees(column("collective_rad")),
        }
    time_s = column("time_s")
    return Trace(
        source=source,
        time_s=time_s - (time_s[0] if time_s.size else 0.0),
        channels=channels,
        rows_read=int(time_s.size),
        history=(
            f"simulated: {scenario.name}, a row every {rig.setting.clock.steps_a_row * rig.setting.clock.step_s:g} s",
        ),
        row=np.arange(time_s.size),
    )
