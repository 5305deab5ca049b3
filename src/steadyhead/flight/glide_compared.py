"""The vertical autorotation beside a wind tunnel's small rotors, and beside the figure that is often said."""

import math

from steadyhead.flight.descend_result import Interval, TunnelCompared
from steadyhead.flight.descend_told import glide_of
from steadyhead.flight.glide_curves import Curves
from steadyhead.flight.rotor_words import RPM
from steadyhead.physics.glide import Glider, glide_found, hover_inflow
from steadyhead.physics.rotor import axial_loads

TUNNEL: tuple[tuple[Interval, Interval], ...] = (((0.04, 0.04), (2.15, 2.47)), ((0.08, 0.10), (2.05, 2.17)))
"""Blade loading, and sink rate over hover inflow without shaft torque, lowest and highest run.

Source: derived from Castles and Gray 1951, NACA TN-2474, with cd0 0.0113; runs scatter by 0.08.
"""
OFTEN_SAID = 1.8
"""Ideal autorotation, or a full-size rotor: from memory; 1.77 to 2.02 is the ideal one in TN-2474."""


def compared(glides: Curves, row: int) -> TunnelCompared:
    """Return the vertical autorotation of one head speed beside the tunnel's."""
    craft, head = glides.glider, float(glides.head_rad_s[row])
    rotor = craft.rotor
    tip = head * rotor.radius_m
    blade_area = rotor.blades * rotor.chord_m * rotor.radius_m
    loading = craft.weight_n / (craft.air.density_kg_m3 * blade_area * tip * tip)
    nearest = min(TUNNEL, key=lambda tried: min(abs(loading - end) for end in tried[0]))
    alone = craft._replace(tail_on_head=0.0, head_drag_nm=0.0, drag_area_m2=0.0)
    blades_nm = axial_loads(rotor, craft.section, craft.air, head, 0.0, 0.0).torque_nm
    return TunnelCompared(
        head_speed_rpm=RPM * head,
        blade_loading=loading,
        machine_ratio=_known(glide_of(glides, (row, 0)).sink_m_s / hover_inflow(craft)),
        rotor_ratio=_ratio(alone, head),
        ideal_ratio=_ratio(alone._replace(head_drag_nm=-blades_nm), head),
        tunnel_ratio=nearest[1],
        tunnel_blade_loading=nearest[0],
        often_said_ratio=OFTEN_SAID,
    )


def _ratio(craft: Glider, head_rad_s: float) -> float | None:
    return _known(glide_found(craft, head_rad_s, 0.0).sink_m_s / hover_inflow(craft))


def _known(number: float) -> float | None:
    return None if math.isnan(number) else number
