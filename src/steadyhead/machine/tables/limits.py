"""[limits]: what the figures are held against."""

from typing import Annotated

from steadyhead.machine.tables.table import TYPICAL, UNKNOWN, Table, quantity
from steadyhead.words.value import Value


class LimitsTable(Table):
    """[limits]: your own limits; what is left out is common practice, except what only a maker can say."""

    head_speed_max: Annotated[
        Value | None,
        quantity("highest head speed that head and blade makers allow", "rpm", 300, 6000, "2550 rpm", UNKNOWN),
    ] = None
    tip_speed_max: Annotated[
        Value | None, quantity("highest blade tip speed in hover", "m/s", 50, 300, "175 m/s", TYPICAL)
    ] = None
    tip_mach_max: Annotated[
        Value | None, quantity("highest Mach number at the advancing tip", "", 0.2, 0.95, "0.65", TYPICAL)
    ] = None
    duty_max: Annotated[Value | None, quantity("most duty in the hardest load", "", 0.3, 1, "0.95", TYPICAL)] = None
    hover_duty_low: Annotated[Value | None, quantity("least duty in hover", "", 0, 1, "0.65", TYPICAL)] = None
    hover_duty_high: Annotated[Value | None, quantity("most duty in hover", "", 0, 1, "0.85", TYPICAL)] = None
    load_factor: Annotated[
        Value | None, quantity("rotor load in hard cyclic, in weights", "", 1, 8, "2.5", TYPICAL)
    ] = None
    forward_speed: Annotated[Value | None, quantity("fast forward flight", "m/s", 0, 80, "25 m/s", TYPICAL)] = None
    load_held: Annotated[Value | None, quantity("how long a hard load is held", "s", 0.5, 600, "8 s", TYPICAL)] = None
    steady_band: Annotated[
        Value | None, quantity("half width of the head speed band in hover", "%", 0.05, 20, "1 %", TYPICAL)
    ] = None
    droop: Annotated[Value | None, quantity("head speed lost in a hard climb-out", "%", 0.1, 50, "4 %", TYPICAL)] = None
    overspeed: Annotated[Value | None, quantity("head speed gained on unloading", "%", 0.1, 50, "5 %", TYPICAL)] = None
    undershoot: Annotated[
        Value | None, quantity("head speed lost for a moment besides the droop", "%", 0.1, 50, "5 %", TYPICAL)
    ] = None
    recovery: Annotated[Value | None, quantity("time back into the band", "s", 0.05, 60, "1 s", TYPICAL)] = None
    recovery_band: Annotated[
        Value | None, quantity("half width of the band that counts as recovered", "%", 0.05, 20, "1 %", TYPICAL)
    ] = None
    hunting: Annotated[
        Value | None, quantity("half swing of a steady oscillation", "%", 0.05, 20, "0.5 %", TYPICAL)
    ] = None
    soft_spool_low: Annotated[Value | None, quantity("shortest soft start", "s", 0.5, 120, "10 s", TYPICAL)] = None
    soft_spool_high: Annotated[Value | None, quantity("longest soft start", "s", 0.5, 240, "25 s", TYPICAL)] = None
    quick_spool_low: Annotated[Value | None, quantity("shortest quick restart", "s", 0.1, 60, "1 s", TYPICAL)] = None
    quick_spool_high: Annotated[Value | None, quantity("longest quick restart", "s", 0.1, 60, "3 s", TYPICAL)] = None
    restart_prompt: Annotated[
        Value | None, quantity("longest wait before a quick restart takes hold", "s", 0.02, 10, "0.3 s", TYPICAL)
    ] = None
    hold_stop: Annotated[
        Value | None, quantity("longest wait until throttle hold takes the duty away", "s", 0.01, 10, "0.1 s", TYPICAL)
    ] = None
    pack_resistance_growth: Annotated[
        Value | None, quantity("pack resistance over its resistance when new", "", 1, 10, "1.5", TYPICAL)
    ] = None
    charge_left: Annotated[
        Value | None, quantity("least charge left at the end of a flight", "", 0, 0.9, "0.2", TYPICAL)
    ] = None
    touchdown_sink: Annotated[
        Value | None, quantity("most sink at touchdown without motor", "m/s", 0.1, 10, "1.5 m/s", TYPICAL)
    ] = None
    bail_out_height: Annotated[
        Value | None, quantity("height from which you begin an autorotation", "m", 1, 500, "90 m", UNKNOWN)
    ] = None
    touchdown_speed: Annotated[
        Value | None, quantity("most forward speed at touchdown without motor", "m/s", 0, 20, "2 m/s", TYPICAL)
    ] = None
