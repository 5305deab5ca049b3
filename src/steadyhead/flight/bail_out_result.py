"""What bail-out, landing without motor and height-velocity diagram answer; field names are the JSON keys."""

from dataclasses import dataclass

from steadyhead.words.verdict import Outcome, Verdict

Interval = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class HeightLost:
    """What one way of getting the motor back takes, from the decision until level flight.

    `height_lost_m` is that of the machine as described and a middling pilot; `least_height_m` keeps the chance over
    everything drawn, rounded up to the next whole metre; None where too many drawn flights never came level.
    """

    restart: str
    ramp_s: float | None
    height_lost_m: float | None
    height_lost_m_interval: Interval | None
    least_height_m: float | None
    least_height_m_interval: Interval | None
    chance: float
    level_after_s: float | None
    head_speed_low_rpm: float
    drawn: int
    never_level: int


@dataclass(frozen=True, kw_only=True)
class RampHeight:
    """One quick ramp: the height it takes and the worst of what it asks; None where nobody knows."""

    ramp_s: float
    height_lost_m: float | None
    least_height_m: float | None
    motor_current_a: float
    pack_current_a: float
    pack_voltage_v: float
    duty: float
    winding_temperature_c: float
    pinion_torque_nm: float
    pinion_stress_mpa: float | None
    bearing_torque_nm: float
    bearing_peak_nm: float | None
    head_speed_low_rpm: float
    keeps_known_limits: bool
    breaks: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class BailOut:
    """A bail-out from one steady descent in one flight mode."""

    mode: str
    way: str
    forward_speed_m_s: float
    sink_m_s: float
    head_speed_rpm: float
    today: HeightLost
    granted: HeightLost
    soft: HeightLost
    saved_m: float | None
    ramps: tuple[RampHeight, ...]
    best_ramp_s: float | None
    best_set_by: tuple[str, ...]
    unknown_limits: tuple[str, ...]
    checks: tuple[Verdict, ...]
    verdict: Outcome


@dataclass(frozen=True, kw_only=True)
class Touchdown:
    """How one kind of landing ends. Figures are None where there is no such landing."""

    by: str
    sink_m_s: float | None
    sink_m_s_interval: Interval | None
    forward_speed_m_s: float | None
    forward_speed_m_s_interval: Interval | None
    head_speed_rpm: float | None
    head_speed_rpm_interval: Interval | None
    height_used_m: float | None
    flight_s: float | None
    ended: str


@dataclass(frozen=True, kw_only=True)
class LandingSchedule:
    """What the pilot of the figures does; fitted to the machine, so a real one does worse."""

    glide_speed_m_s: float
    flare_height_m: float
    flare_deg: float
    level_height_m: float
    pull_before_ground_s: float
    reaction_s: float


@dataclass(frozen=True, kw_only=True)
class Landing:
    """A landing from level flight without motor in one flight mode."""

    mode: str
    from_height_m: float
    from_speed_m_s: float
    schedule: LandingSchedule
    pilot: Touchdown
    best_possible: Touchdown
    gentle_share: float
    """Share of the drawn landings within the limits of a touchdown."""
    check: Verdict


@dataclass(frozen=True, kw_only=True)
class AvoidedHeights:
    """Between which heights a loss of the motor at one speed ends harder than the limits; None where nowhere.

    `high_m` is None where even the greatest height looked at ends hard. With a bail-out only the heights between
    `low_m` and `bail_out_m` are left, where `bail_out_m` is lower than `high_m`.
    """

    forward_speed_m_s: float
    low_m: float | None
    low_m_interval: Interval | None
    high_m: float | None
    high_m_interval: Interval | None
    bail_out_m: float | None
    bail_out_m_interval: Interval | None
    avoided: bool
    avoided_with_bail_out: bool
    share_avoided: float
    """Share of the machines drawn for which there is any height to be avoided at this speed."""


@dataclass(frozen=True, kw_only=True)
class HeightVelocity:
    """The diagram of one flight mode. Heights and speeds are estimates; the region drawn is no edge of safety."""

    mode: str
    head_speed_rpm: float
    touchdown_sink_m_s: float
    touchdown_speed_m_s: float
    glide_speed_m_s: float
    reaction_s: float
    highest_looked_at_m: float
    drawn: int
    points: tuple[AvoidedHeights, ...]
    nose_speed_m_s: float | None
    nose_speed_m_s_interval: Interval | None
