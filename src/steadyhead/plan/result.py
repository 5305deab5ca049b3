"""What `plan` answers; field names are the JSON keys."""

from dataclasses import dataclass

from steadyhead.words.verdict import Outcome, Verdict

Interval = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class ConditionFigures:
    """One flight mode in one condition, solved steady, each figure with its 90 % interval."""

    condition: str
    load: str
    """hover, climb, hard cyclic or fast forward."""
    charge: float
    """State of charge, 0 to 1."""
    pack_temperature_c: float
    solved: bool
    """False when the drive cannot hold the head speed here: the figures are those at full duty."""
    collective_deg: float
    collective_deg_interval: Interval
    thrust_n: float
    rotor_power_w: float
    rotor_power_w_interval: Interval
    tail_power_w: float
    gear_power_w: float
    shaft_power_w: float
    shaft_power_w_interval: Interval
    motor_loss_w: float
    controller_loss_w: float
    pack_loss_w: float
    pack_power_w: float
    motor_rpm: float
    motor_current_a: float
    motor_current_a_interval: Interval
    pack_current_a: float
    pack_current_a_interval: Interval
    pack_voltage_v: float
    cell_voltage_v: float
    duty: float
    duty_interval: Interval
    head_room: float
    """Duty left: 1 - duty, negative when the head speed cannot be held."""
    ceiling_rpm: float
    """Head speed at full duty under the same load."""
    ceiling_rpm_interval: Interval
    winding_temperature_c: float
    winding_temperature_c_interval: Interval
    controller_temperature_c: float
    held_for_s: float
    """How long this load is held when the temperatures are read."""
    tip_speed_m_s: float
    tip_mach: float
    blade_loading: float
    """CT/sigma."""
    stalled_share: float
    figure_of_merit: float
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
    verdict: Outcome
    least_head_room: float
    hover_duty: Interval
    """Lowest and highest hover duty over the flight modes."""
    peak_pack_current_a: float
    flight_time_s: float
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
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
