"""What `plan` answers; field names are the JSON keys."""

from dataclasses import dataclass

from steadyhead.words.verdict import Outcome, Verdict

Interval = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class ConditionFigures:
    """One flight mode in one condition, solved steady, each figure with its 90 % interval."""

    condition: str
    """The load and the pack state, in words."""
    load: str
    """hover, climb, hard cyclic or fast forward."""
    charge: float
    """State of charge, 0 to 1."""
    pack_temperature_c: float
    solved: bool
    """False when full duty does not hold the head speed (powers and currents are then those at full duty) or the rotor
    does not reach the thrust."""
    collective_deg: float
    """Pitch at 0.75 of the radius."""
    collective_deg_interval: Interval
    thrust_n: float
    """Main rotor thrust; where the head speed is not held, that at full duty."""
    rotor_power_w: float
    """Main rotor, at the head."""
    rotor_power_w_interval: Interval
    tail_power_w: float
    """Tail rotor."""
    gear_power_w: float
    """Lost in meshes and gear drag."""
    shaft_power_w: float
    """At the motor shaft: rotor, tail and gears together."""
    shaft_power_w_interval: Interval
    motor_loss_w: float
    """Copper, iron and ripple loss."""
    controller_loss_w: float
    """Conduction, switching and freewheel loss."""
    pack_loss_w: float
    """Lost inside the pack, not part of pack_power_w."""
    pack_power_w: float
    """What the pack gives at its terminals: shaft power, motor loss and controller loss together."""
    motor_rpm: float
    motor_current_a: float
    motor_current_a_interval: Interval
    pack_current_a: float
    pack_current_a_interval: Interval
    pack_voltage_v: float
    """Under this load, at the end of its hold."""
    cell_voltage_v: float
    duty: float
    """Duty that holds the head speed, 0 to 1; above 1 it is what would be needed."""
    duty_interval: Interval
    head_room: float
    """Duty left: 1 - duty, negative when the head speed cannot be held."""
    ceiling_rpm: float
    """Head speed at full duty with the collective of this load held."""
    ceiling_rpm_interval: Interval
    winding_temperature_c: float
    """Motor winding at the end of the hold."""
    winding_temperature_c_interval: Interval
    controller_temperature_c: float
    """Controller at the end of the hold."""
    held_for_s: float
    """How long the load is held when the temperatures are read: a whole flight, or limits.load_held after the hover."""
    tip_speed_m_s: float
    """Blade tip of the head speed asked for, without forward speed."""
    tip_mach: float
    """Mach number of the advancing tip."""
    blade_loading: float
    """CT/sigma."""
    stalled_share: float
    """Share of the swept disc past stall, 0 to 1."""
    figure_of_merit: float
    """Ideal over real hover power of the main rotor; null in forward flight."""
    verdict: Outcome
    checks: tuple[Verdict, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class ModePlan:
    """One flight mode over all conditions."""

    mode: str
    head_speed_rpm: float
    conditions: tuple[ConditionFigures, ...]
    flight_time_s: float
    """Hover from a full pack to the reserve, or to where full duty holds the speed no longer; 0 if it cannot hover."""
    flight_time_s_interval: Interval
    verdict: Outcome
    reasons: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One pinion or one pack, ranked; the worst of all modes and conditions."""

    name: str
    pinion_teeth: int
    gear_ratio: float
    current: bool
    """Whether it is the one fitted now."""
    rank: int
    """1 is the best."""
    verdict: Outcome
    least_head_room: float
    """Over all flight modes and conditions."""
    hover_duty: Interval
    """Lowest and highest hover duty over the flight modes."""
    peak_pack_current_a: float
    flight_time_s: float
    """Hover of the flight mode that flies shortest."""
    reasons: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """One uncertain input and how much of the doubt on the answer it carries."""

    key: str
    origin: str
    figure: str
    share: float
    """Share of the variance of that figure, 0 to 1."""
    sentence: str


@dataclass(frozen=True, kw_only=True)
class Plan:
    """Head speeds that the drive can hold, and those that it cannot."""

    machine: str
    machine_revision: int
    density_kg_m3: float
    modes: tuple[ModePlan, ...]
    pinions: tuple[Choice, ...]
    packs: tuple[Choice, ...]
    doubts: tuple[Doubt, ...]
    typical: tuple[str, ...]
    """Keys of inputs that are typical for the size class, which these figures rest on."""
    verdict: Outcome
    reasons: tuple[str, ...]
    unknowns: tuple[str, ...]
    """Keys of the machine file that nobody stated and a figure is held against."""
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
