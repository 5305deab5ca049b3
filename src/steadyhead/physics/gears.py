"""Gears and one-way bearing."""

from typing import NamedTuple


class Gears(NamedTuple):
    """Motor turns per head turn, efficiency of all meshes together, constant drag torque at the main shaft. SI."""

    ratio: float
    efficiency: float
    drag_torque_nm: float
