"""What if: heavier blades, another head speed, another collective, more mass, a tail that is driven or not."""

import math

import numpy as np

from steadyhead.flight.descend_result import WhatIf
from steadyhead.flight.descend_told import glide_of
from steadyhead.flight.glide_curves import FORWARD_M_S, SINK, Curves
from steadyhead.flight.glider import glider
from steadyhead.flight.rotor_words import RPM, energy_figures
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.glide import GLIDE_STOP_SAYS, Glide, Glider, GlideStop
from steadyhead.physics.glide_near import glide_at_collective, glide_near

MORE = 0.1
"""A tenth more or less of what is changed."""
COLLECTIVE_RAD = math.radians(1.0)
Pair = tuple[Glide, Glide]
"""The vertical glide, and the one at the forward speed of least sink rate."""


def reference_row(glides: Curves, slowest_mode: int) -> int:
    """Return the head speed that the tables hold to: the slowest flight mode where it glides, else the next slower."""
    glide = [row for row in range(slowest_mode + 1) if not math.isnan(float(glides.glides[row, 0, SINK]))]
    return glide[-1] if glide else slowest_mode


def what_if(machine: Machine, glides: Curves, row: int) -> tuple[WhatIf, ...]:
    """Return what each change does to the glide at one head speed; nothing where there is no glide to begin with."""
    pair = _pair(glides, row)
    if pair is None:
        return ()
    head = float(glides.head_rad_s[row])
    highest = float(glides.head_rad_s.max())
    told = [_told(machine, "as it is", pair)]
    for change, other in _other_machines(machine):
        told.append(_told(other, change, _near(glider(other, highest), pair)))
    for change, share in (("head speed 10 % lower", 1.0 - MORE), ("head speed 10 % higher", 1.0 + MORE)):
        at = (pair[0]._replace(head_rad_s=share * head), pair[1]._replace(head_rad_s=share * head))
        told.append(_told(machine, change, _near(glides.glider, at)))
    for change, more_rad in (("1° more collective", COLLECTIVE_RAD), ("1° less collective", -COLLECTIVE_RAD)):
        settled = [glide_at_collective(glides.glider, glide, glide.collective_rad + more_rad) for glide in pair]
        told.append(_told(machine, f"{change}: the rotor settles anew", (settled[0], settled[1])))
    return tuple(told)


def _other_machines(machine: Machine) -> list[tuple[str, Machine]]:
    """Return the changed machines; blade mass goes into the inertia and into the mass of the machine."""
    blades = si.number(machine, "rotor.blades") * si.number(machine, "rotor.blade_mass")
    mass, inertia = si.number(machine, "airframe.mass"), si.number(machine, "rotor.inertia")
    heavier = {"rotor.inertia": (1.0 + MORE) * inertia, "airframe.mass": mass + MORE * blades}
    driven = machine.tail.driven_in_autorotation is not False
    table = machine.tail.model_copy(update={"driven_in_autorotation": not driven})
    return [
        ("blades 10 % heavier", machine.replaced(heavier)),
        ("machine 10 % heavier", machine.replaced({"airframe.mass": (1.0 + MORE) * mass})),
        ("tail not driven" if driven else "tail driven", machine.model_copy(update={"tail": table})),
    ]


def _pair(glides: Curves, row: int) -> Pair | None:
    """Return the vertical glide and the one of least sink rate; None where there is no glide."""
    at = float(glides.central["least_forward_m_s"][row])
    if math.isnan(at) or math.isnan(float(glides.glides[row, 0, SINK])):
        return None
    best = glide_of(glides, (row, int(np.argmin(np.abs(FORWARD_M_S - at)))))
    return glide_of(glides, (row, 0)), glide_near(glides.glider, best._replace(forward_m_s=at))


def _near(craft: Glider, pair: Pair) -> Pair:
    return glide_near(craft, pair[0]), glide_near(craft, pair[1])


def _told(machine: Machine, change: str, pair: Pair) -> WhatIf:
    vertical, best = pair
    energy = energy_figures(machine, np.array([best.head_rad_s]))
    none = math.isnan(best.sink_m_s)
    return WhatIf(
        change=change,
        head_speed_rpm=RPM * best.head_rad_s,
        least_sink_m_s=None if none else best.sink_m_s,
        vertical_sink_m_s=None if math.isnan(vertical.sink_m_s) else vertical.sink_m_s,
        collective_deg=None if none else math.degrees(best.collective_rad),
        rotor_energy_j=float(energy["rotor_energy_j"][0]),
        energy_height_m=float(energy["energy_height_m"][0]),
        hover_time_s=float(energy["hover_time_s"][0]),
        flare_reserve_s=float(energy["flare_reserve_s"][0]),
        why_none=GLIDE_STOP_SAYS[GlideStop(best.code)] if none else None,
    )
