"""Heat: lumped nodes of winding, motor case and controller."""

from typing import NamedTuple


class MotorHeat(NamedTuple):
    """Two lumped nodes: winding to case to air. SI."""

    winding_j_k: float
    winding_to_case_k_w: float
    case_j_k: float
    case_to_air_k_w: float


class ControllerHeat(NamedTuple):
    """One lumped node: controller to air. SI."""

    body_j_k: float
    body_to_air_k_w: float
