"""Rotors and drives that have no machine file: described by hand, solved alone."""

from steadyhead.plan.drive_point import (
    ControllerConstants,
    DriveFigures,
    LoadLaw,
    MotorConstants,
    PackSupply,
    Supply,
    drive_point,
)
from steadyhead.plan.rotor_point import (
    AirProperties,
    RotorGeometry,
    RotorPoint,
    SectionConstants,
    SectionTable,
    rotor_for_thrust,
    rotor_point,
)

__all__ = [
    "AirProperties",
    "ControllerConstants",
    "DriveFigures",
    "LoadLaw",
    "MotorConstants",
    "PackSupply",
    "RotorGeometry",
    "RotorPoint",
    "SectionConstants",
    "SectionTable",
    "Supply",
    "drive_point",
    "rotor_for_thrust",
    "rotor_point",
]
