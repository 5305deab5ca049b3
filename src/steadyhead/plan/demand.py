"""What each load asks of the rotors, for every flight mode: collective, thrust, and torque at the main shaft."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.tail import Tail
from steadyhead.physics.trim import Stop
from steadyhead.plan.trims import Aircraft, Trim

BELIEVED_WEIGHTS = 1e4
"""A rotor that answers with more thrust than this many weights was not computed: its row is left without figures."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Demand:
    """What all loads ask of the rotors. SI. Shapes: every array (modes, loads), loads in the order of LOADS.

    `tail_torque_nm` is felt at the main shaft; the codes are trim.Stop. Where a code is not DONE, the thrust is the
    most that rotor gives.
    """

    speed_rad_s: Floats
    collective_rad: Floats
    wanted_n: Floats
    thrust_n: Floats
    torque_nm: Floats
    tail_torque_nm: Floats
    tail_wanted_n: Floats
    tail_thrust_n: Floats
    stalled_share: Floats
    code: Floats
    tail_code: Floats


def demand(trimmed: tuple[tuple[Trim, ...], ...], craft: Aircraft, speeds_rad_s: Floats) -> Demand:
    """Return what the loads ask, from full trims of the same aircraft."""
    rows = [[demand_row(t, craft.tail) for t in mode] for mode in trimmed]
    return as_demand(np.array(rows), craft, speeds_rad_s)


def demand_row(t: Trim, tail: Tail) -> tuple[float, ...]:
    """Return a row of Demand; where a search ended well, its last digits are not told from what was asked."""
    tail_wanted = t.loads.torque_nm / tail.arm_m
    return (
        t.collective_rad,
        t.wanted_n,
        t.wanted_n if t.code == Stop.DONE else t.loads.thrust_n,
        t.loads.torque_nm,
        t.tail_loads.torque_nm * tail.ratio,
        tail_wanted,
        tail_wanted if t.tail_code == Stop.DONE else t.tail_loads.thrust_n,
        t.loads.stalled_share,
        t.code,
        t.tail_code,
    )


def as_demand(rows: Floats, craft: Aircraft, speeds_rad_s: Floats) -> Demand:
    """Return the rows as a Demand; what was not computed has no figures (nan) and no code but OUT_OF_PITCH."""
    lost = ~(np.abs(rows[..., 2]) <= BELIEVED_WEIGHTS * craft.weight_n)
    rows[lost] = (*[math.nan] * 8, float(Stop.OUT_OF_PITCH), float(Stop.OUT_OF_PITCH))
    return Demand(
        speed_rad_s=speeds_rad_s,
        collective_rad=rows[..., 0],
        wanted_n=rows[..., 1],
        thrust_n=rows[..., 2],
        torque_nm=rows[..., 3],
        tail_torque_nm=rows[..., 4],
        tail_wanted_n=rows[..., 5],
        tail_thrust_n=rows[..., 6],
        stalled_share=rows[..., 7],
        code=rows[..., 8],
        tail_code=rows[..., 9],
    )
