"""Published test rotors as our tuples, and the tables read from them."""

import csv
import math
from pathlib import Path
from typing import NamedTuple

import numpy as np

from steadyhead.physics.air import air_at
from steadyhead.physics.glide import Glider
from steadyhead.physics.polar_table import Section
from steadyhead.physics.rotor import Rotor, RotorLoads, axial_loads
from steadyhead.physics.section import constant_section
from steadyhead.physics.tail_curve import TailCurve
from steadyhead.physics.trim import Stop, collective_for_thrust

DATA = Path(__file__).resolve().parents[1] / "data"
AIR = air_at(101325.0, 288.15)
ZERO_LIFT_DRAG = 0.0113
ROTOR_DRAG_RISE = 1.25
TUNNEL_DRAG_RISE = 0.75
KNIGHT_SLOPE = 5.75
# NACA TN-2474 table VIII: the lift slopes its authors used, by rotor and speed.
CASTLES_SLOPE = {("6ft", 1200.0): 5.95, ("6ft", 1600.0): 6.07, ("4ft", 1200.0): 5.83, ("4ft", 1600.0): 5.90}
CASTLES_SIZE = {"6ft": (0.9144, 0.048006), "4ft": (0.6096, 0.032004)}
CASTLES_ROOT_M = 0.1547


NO_TAIL = TailCurve(np.zeros((2, 33)), 1.0, 100.0)


def bare_glider(rotor: Rotor, section: Section, weight_n: float, *, drag_area_m2: float = 0.0, drag_nm: float = 0.0):
    """A rotor alone under a weight: no tail; drag of an airframe or of the head where given; inertia has no part."""
    return Glider(rotor, section, AIR, NO_TAIL, 0.0, drag_nm, weight_n, drag_area_m2, 1.0)


def rows(name: str, folder: str = "rotor") -> list[dict[str, str]]:
    """The rows of a data file whose source stands in # lines above its header."""
    lines = [line for line in (DATA / folder / name).read_text("utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


class Rig(NamedTuple):
    """A rotor on its rig at one speed, and how coefficients are made from its loads."""

    rotor: Rotor
    speed_rad_s: float

    @property
    def thrust_unit_n(self) -> float:
        tip = self.speed_rad_s * self.rotor.radius_m
        return AIR.density_kg_m3 * math.pi * self.rotor.radius_m**2 * tip * tip

    @property
    def solidity(self) -> float:
        return self.rotor.blades * self.rotor.chord_m / (math.pi * self.rotor.radius_m)

    def hover_inflow_m_s(self, ct: float) -> float:
        return self.speed_rad_s * self.rotor.radius_m * math.sqrt(ct / 2.0)

    def ct(self, loads: RotorLoads) -> float:
        return loads.thrust_n / self.thrust_unit_n

    def cq(self, loads: RotorLoads) -> float:
        return loads.torque_nm / (self.thrust_unit_n * self.rotor.radius_m)

    def at_pitch(self, section: Section, collective_deg: float, climb_m_s: float = 0.0) -> RotorLoads:
        pitch = math.radians(collective_deg)
        return axial_loads(self.rotor, section, AIR, self.speed_rad_s, pitch, climb_m_s)

    def at_thrust(self, section: Section, ct: float, climb_m_s: float = 0.0) -> tuple[float, RotorLoads]:
        """Collective in degrees and loads at a thrust coefficient."""
        wanted = ct * self.thrust_unit_n
        pitch, code = collective_for_thrust(self.rotor, section, AIR, self.speed_rad_s, wanted, climb_m_s)
        assert code == Stop.DONE
        return math.degrees(pitch), axial_loads(self.rotor, section, AIR, self.speed_rad_s, pitch, climb_m_s)


def knight_rig(blades: str) -> Rig:
    return Rig(Rotor(float(blades), 0.762, 0.127, 0.0508, 0.0), 960.0 * math.pi / 30.0)


def knight_section(drag_rise: float) -> Section:
    return constant_section(KNIGHT_SLOPE, ZERO_LIFT_DRAG, 0.0, drag_rise)


def castles_rig(name: str, speed_rpm: str) -> Rig:
    radius, chord = CASTLES_SIZE[name]
    return Rig(Rotor(3.0, radius, CASTLES_ROOT_M, chord, 0.0), float(speed_rpm) * math.pi / 30.0)


def castles_section(name: str, speed_rpm: str) -> Section:
    return constant_section(CASTLES_SLOPE[name, float(speed_rpm)], ZERO_LIFT_DRAG, 0.0, ROTOR_DRAG_RISE)
