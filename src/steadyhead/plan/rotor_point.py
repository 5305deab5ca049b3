"""One operating point of any rotor, in trade units: for rotors from outside, without a machine file."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steadyhead.physics.air import Air
from steadyhead.physics.rotor import Rotor, RotorLoads, axial_loads, figure_of_merit
from steadyhead.physics.section import Section, constant_section, model_section, table_section
from steadyhead.physics.trim import STOP_SAYS, Stop, collective_for_thrust
from steadyhead.words.errors import InputError, SolveError

RAD_S_PER_RPM = math.pi / 30.0


@dataclass(frozen=True, kw_only=True)
class RotorGeometry:
    """Rectangular blades with linear twist; collective is the pitch at 0.75 of the radius.

    `twist_deg` is tip pitch minus the pitch the same line has at the shaft axis: washed-out blades have it negative.
    """

    blades: int
    radius_m: float
    chord_m: float
    root_cutout_m: float = 0.0
    twist_deg: float = 0.0


@dataclass(frozen=True, kw_only=True)
class SectionConstants:
    """A symmetric blade section from textbook constants, angle of attack a in radians.

    cl = lift_slope a; cd = zero_lift_drag + drag_linear |a| + drag_quadratic a^2, up to the stall angle
    """

    lift_slope_per_rad: float
    zero_lift_drag: float
    drag_linear_per_rad: float = 0.0
    drag_quadratic_per_rad2: float = 0.0
    stall_deg: float = 12.0


@dataclass(frozen=True, kw_only=True)
class SectionTable:
    """A blade section as a table, taken as measured at the rotor's own speed.

    One cl and cd for each angle, or, with `reynolds`, one row of them for each Reynolds number. A table that starts at
    zero angle and zero lift is mirrored; beyond its ends the section is a stalled flat plate.
    """

    alpha_deg: Sequence[float]
    cl: Sequence[float] | Sequence[Sequence[float]]
    cd: Sequence[float] | Sequence[Sequence[float]]
    reynolds: Sequence[float] | None = None


@dataclass(frozen=True, kw_only=True)
class AirProperties:
    """The air that the rotor turns in; as it stands, the standard atmosphere at sea level (ISO 2533)."""

    density_kg_m3: float = 1.225
    speed_of_sound_m_s: float = 340.29
    kinematic_viscosity_m2_s: float = 1.461e-5


SEA_LEVEL = AirProperties()


@dataclass(frozen=True, kw_only=True)
class RotorPoint:
    """What a rotor gives and takes at one point.

    CT = T / (rho A Vtip^2), CQ = Q / (rho A Vtip^2 R), CP = P / (rho A Vtip^3) = CQ; A = pi R^2, Vtip = speed R.
    `figure_of_merit` = CT^1.5 / (sqrt(2) CP), null without thrust; `inflow_m_s` is the mean induced velocity.
    `induced_power_w` is what lift costs, climb included, `profile_power_w` what drag costs.
    """

    collective_deg: float
    head_speed_rpm: float
    tip_speed_m_s: float
    thrust_n: float
    torque_nm: float
    power_w: float
    induced_power_w: float
    profile_power_w: float
    inflow_m_s: float
    ct: float
    cq: float
    cp: float
    solidity: float
    blade_loading: float
    """CT/sigma."""
    figure_of_merit: float
    stalled_share: float


def rotor_point(
    geometry: RotorGeometry,
    *,
    collective_deg: float,
    head_speed_rpm: float,
    climb_m_s: float = 0.0,
    section: SectionConstants | SectionTable | None = None,
    air: AirProperties = SEA_LEVEL,
) -> RotorPoint:
    """Return thrust, torque and power of a rotor at a collective and speed, in hover, climb or (negative) descent.

    Without a section the bundled one is taken: symmetric, 15 % thick, hand-built finish, Reynolds 5e4 to 1e6.
    Valid: as `physics.rotor.axial_loads`; forward flight is not for this function.
    Raises: InputError naming the argument, what was read and what would be right.
    Source: blade-element momentum theory; see docs/physics-rotor.md.
    """
    rotor, polar, around = _rotor(geometry), _section(section), _air(air)
    speed = _above_zero("head_speed_rpm", head_speed_rpm) * RAD_S_PER_RPM
    _finite("collective_deg", collective_deg)
    _finite("climb_m_s", climb_m_s)
    loads = axial_loads(rotor, polar, around, speed, math.radians(collective_deg), climb_m_s)
    return _point(rotor, around, speed, math.radians(collective_deg), loads)


def rotor_for_thrust(
    geometry: RotorGeometry,
    *,
    thrust_n: float,
    head_speed_rpm: float,
    climb_m_s: float = 0.0,
    section: SectionConstants | SectionTable | None = None,
    air: AirProperties = SEA_LEVEL,
) -> RotorPoint:
    """Return the point at which a rotor gives a thrust at a speed, its collective found.

    Valid: as `rotor_point`; the answer is the one before stall.
    Raises: InputError as `rotor_point`; SolveError when the blades stall before the thrust is reached.
    Source: blade-element momentum theory; see docs/physics-rotor.md.
    """
    rotor, polar, around = _rotor(geometry), _section(section), _air(air)
    speed = _above_zero("head_speed_rpm", head_speed_rpm) * RAD_S_PER_RPM
    _finite("thrust_n", thrust_n)
    _finite("climb_m_s", climb_m_s)
    collective, code = collective_for_thrust(rotor, polar, around, speed, thrust_n, climb_m_s)
    loads = axial_loads(rotor, polar, around, speed, collective, climb_m_s)
    if code != Stop.DONE:
        raise SolveError(
            f"{thrust_n:.4g} N at {head_speed_rpm:.4g} rpm: {STOP_SAYS[Stop(code)]} "
            f"({math.degrees(collective):.1f} degrees give {loads.thrust_n:.4g} N)"
        )
    return _point(rotor, around, speed, collective, loads)


def _point(rotor: Rotor, air: Air, speed_rad_s: float, collective_rad: float, loads: RotorLoads) -> RotorPoint:
    tip_speed = speed_rad_s * rotor.radius_m
    force = air.density_kg_m3 * math.pi * rotor.radius_m**2 * tip_speed**2
    solidity = rotor.blades * rotor.chord_m / (math.pi * rotor.radius_m)
    ct, cq = loads.thrust_n / force, loads.torque_nm / (force * rotor.radius_m)
    return RotorPoint(
        collective_deg=math.degrees(collective_rad),
        head_speed_rpm=speed_rad_s / RAD_S_PER_RPM,
        tip_speed_m_s=tip_speed,
        thrust_n=loads.thrust_n,
        torque_nm=loads.torque_nm,
        power_w=loads.power_w,
        induced_power_w=loads.induced_power_w,
        profile_power_w=loads.profile_power_w,
        inflow_m_s=loads.inflow_m_s,
        ct=ct,
        cq=cq,
        cp=cq,
        solidity=solidity,
        blade_loading=ct / solidity,
        figure_of_merit=figure_of_merit(loads, rotor, air),
        stalled_share=loads.stalled_share,
    )


def _rotor(geometry: RotorGeometry) -> Rotor:
    if geometry.blades < 1 or geometry.blades != int(geometry.blades):
        raise InputError("rotor, blades", read=f"{geometry.blades}", right="a whole number of blades, 1 or more")
    radius = _above_zero("radius_m", geometry.radius_m)
    if not 0.0 <= geometry.root_cutout_m < radius:
        raise InputError(
            "rotor, root_cutout_m", read=f"{geometry.root_cutout_m:g}", right=f"from 0 to below {radius:g}"
        )
    return Rotor(
        blades=float(geometry.blades),
        radius_m=radius,
        # The rings need a place to begin: a hundredth of the radius carries a millionth of the power.
        root_cutout_m=max(geometry.root_cutout_m, 0.01 * radius),
        chord_m=_above_zero("chord_m", geometry.chord_m),
        twist_rad=math.radians(_finite("twist_deg", geometry.twist_deg)),
    )


def _section(given: SectionConstants | SectionTable | None) -> Section:
    if given is None:
        return model_section()
    try:
        if isinstance(given, SectionConstants):
            return constant_section(
                given.lift_slope_per_rad,
                given.zero_lift_drag,
                given.drag_linear_per_rad,
                given.drag_quadratic_per_rad2,
                alpha_stall_rad=math.radians(_above_zero("stall_deg", given.stall_deg)),
            )
        alpha = [math.radians(angle) for angle in given.alpha_deg]
        return table_section(alpha, given.cl, given.cd, given.reynolds)
    except ValueError as error:
        raise InputError("rotor, section", read="a section that cannot be used", right=str(error)) from error


def _air(air: AirProperties) -> Air:
    return Air(
        density_kg_m3=_above_zero("density_kg_m3", air.density_kg_m3),
        speed_of_sound_m_s=_above_zero("speed_of_sound_m_s", air.speed_of_sound_m_s),
        kinematic_viscosity_m2_s=_above_zero("kinematic_viscosity_m2_s", air.kinematic_viscosity_m2_s),
    )


def _finite(name: str, number: float) -> float:
    if not math.isfinite(number):
        raise InputError(f"rotor, {name}", read=f"{number}", right="a number")
    return float(number)


def _above_zero(name: str, number: float) -> float:
    if not (math.isfinite(number) and number > 0.0):
        raise InputError(f"rotor, {name}", read=f"{number:g}", right="a number above zero")
    return float(number)
