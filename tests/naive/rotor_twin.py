"""A slow and plain rotor: the same equations written out again with nothing of ours, even rings and bisection.

Section: lift a/2 sin(2 alpha), drag cd0 + cd2 sin(alpha)^2, all round the circle. Air goes straight through the disc
or across it.
"""

import math
from dataclasses import dataclass

RINGS = 400
AZIMUTHS = 24


@dataclass
class TwinRotor:
    blades: int
    radius: float
    root: float
    chord: float
    slope: float
    cd0: float
    cd2: float
    density: float
    speed: float


def prandtl(rotor: TwinRotor, r: float, phi: float) -> float:
    sine = max(abs(math.sin(phi)), 1e-9)
    tip = rotor.blades / 2 * (rotor.radius - r) / (r * sine)
    root = rotor.blades / 2 * (r - rotor.root) / (rotor.root * sine)
    return (2 / math.pi) ** 2 * math.acos(math.exp(-min(tip, 500))) * math.acos(math.exp(-min(root, 500)))


def blade_force(
    rotor: TwinRotor, r: float, pitch: float, along: float, through: float, width: float
) -> tuple[float, float]:
    """Thrust and in-plane force of all blades on one ring at one azimuth."""
    speed = math.hypot(along, through)
    phi = math.atan2(through, along)
    alpha = pitch - phi
    lift = rotor.slope / 2 * math.sin(2 * alpha)
    drag = rotor.cd0 + rotor.cd2 * math.sin(alpha) ** 2
    unit = 0.5 * rotor.density * speed**2 * rotor.chord * rotor.blades * width
    return unit * (lift * math.cos(phi) - drag * math.sin(phi)), unit * (lift * math.sin(phi) + drag * math.cos(phi))


def mean_force(
    rotor: TwinRotor, r: float, pitch: float, cyclic: float, axial: float, across: float, v: float, width: float
) -> tuple[float, float]:
    steps = AZIMUTHS if across else 1
    thrust = force = 0.0
    for step in range(steps):
        sine = math.sin(2 * math.pi * (step + 0.5) / steps) if across else 0.0
        t, f = blade_force(rotor, r, pitch + cyclic * sine, rotor.speed * r + across * sine, axial + v, width)
        thrust += t / steps
        force += f / steps
    return thrust, force


def loads(
    rotor: TwinRotor, pitch: float, axial: float, across: float = 0.0, cyclic: float = 0.0, rings: int = RINGS
) -> tuple[float, float]:
    """Thrust and torque in hover, climb or level flight."""
    width = (rotor.radius - rotor.root) / rings
    thrust = torque = 0.0
    for number in range(rings):
        r = rotor.root + (number + 0.5) * width

        def gap(v: float, r: float = r) -> float:
            blade, _ = mean_force(rotor, r, pitch, cyclic, axial, across, v, width)
            loss = prandtl(rotor, r, math.atan2(axial + v, rotor.speed * r))
            momentum = 4 * math.pi * r * rotor.density * width * loss * v * math.hypot(across, axial + abs(v))
            return blade - momentum

        low, high = -0.5 * rotor.speed * r, rotor.speed * r
        assert gap(low) > 0 > gap(high)
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if gap(middle) > 0 else (low, middle)
        t, f = mean_force(rotor, r, pitch, cyclic, axial, across, low, width)
        thrust += t
        torque += f * r
    return thrust, torque


def rolling_moment(rotor: TwinRotor, pitch: float, axial: float, across: float, cyclic: float, inflow: float) -> float:
    """Moment that lifts the advancing side, for one even inflow."""
    rings, width = 60, (rotor.radius - rotor.root) / 60
    moment = 0.0
    for number in range(rings):
        r = rotor.root + (number + 0.5) * width
        for step in range(AZIMUTHS):
            sine = math.sin(2 * math.pi * (step + 0.5) / AZIMUTHS)
            along = rotor.speed * r + across * sine
            thrust, _ = blade_force(rotor, r, pitch + cyclic * sine, along, axial + inflow, width)
            moment += thrust * r * sine / AZIMUTHS
    return moment
