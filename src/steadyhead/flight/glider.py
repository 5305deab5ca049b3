"""A machine as the glide sees it, and its spread: every uncertain input moved, and the tunnel's own scatter."""

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.rig import craft
from steadyhead.machine.description import Machine
from steadyhead.physics.craft import GRAVITY_M_S2, Craft
from steadyhead.physics.glide import Glider
from steadyhead.plan.intervals import Spread, spread
from steadyhead.plan.solved import uncertain

GLIDE_INPUTS = (
    "rotor.radius", "rotor.root_cutout", "rotor.chord", "rotor.twist", "rotor.lift_factor", "rotor.drag_factor",
    "tail.radius", "tail.root_cutout", "tail.chord", "tail.ratio", "gears.drag_torque", "airframe.mass",
    "airframe.drag_area", "site.elevation", "site.temperature", "site.pressure",
)  # fmt: skip
"""Every input whose doubt the glide carries on."""
ENERGY_INPUTS = ("rotor.inertia", "rotor.collective_max", "tail.arm")
"""What the energy in the rotor rests on besides."""
THREADS = 2

Floats = NDArray[np.float64]
Figures = Mapping[str, Floats]


def glider(machine: Machine, highest_rad_s: float) -> Glider:
    """Return what a glide needs of a machine; a tail of which nothing is known is taken as driven, which sinks more."""
    return glider_of(craft(machine, blades_on=True, highest_rad_s=highest_rad_s))


def glider_of(whole: Craft) -> Glider:
    """Return what a glide needs of a craft."""
    body = whole.body
    return Glider(
        rotor=whole.rotor,
        section=whole.section,
        air=whole.air,
        tail=whole.tail,
        tail_on_head=body.tail_on_head,
        head_drag_nm=body.head_drag_nm,
        weight_n=body.mass_kg * GRAVITY_M_S2,
        drag_area_m2=body.drag_area_m2,
        head_kg_m2=body.head_kg_m2,
    )


def moved_figures(
    machine: Machine, inputs: Sequence[str], figures: Callable[[Machine], Figures]
) -> dict[str, tuple[Figures, Figures]]:
    """Return the figures of the machine with each uncertain input moved by its 90 % half width, down and up."""
    keys = uncertain(machine, inputs)
    machines = [machine.shifted(key, half_widths) for key in keys for half_widths in (-1.0, 1.0)]
    with ThreadPoolExecutor(THREADS) as pool:
        answers = list(pool.map(figures, machines))
    return {key: (answers[2 * at], answers[2 * at + 1]) for at, key in enumerate(keys)}


def spreads(central: Figures, moved: Mapping[str, tuple[Figures, Figures]]) -> dict[str, Spread]:
    """Return the 90 % interval of every figure, by name."""
    return {
        name: spread(figure, {key: (low[name], high[name]) for key, (low, high) in moved.items()})
        for name, figure in central.items()
    }
