"""What `governor` answers; field names are the JSON keys."""

from dataclasses import dataclass

from steadyhead.words.verdict import Outcome, Verdict

Interval = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Gains:
    """Today's governor. Duty 0 to 1; gains for a speed error as a share of the set speed."""

    gain: float
    """Duty for a speed error as large as the set speed."""
    gain_per_s: float
    """Duty that grows each second at such an error: gain over integral time."""
    integral_time_s: float
    derivative_time_s: float
    collective_feed: float
    """Duty given ahead for 10 degrees of collective."""
    sample_s: float
    sensor_delay_s: float
    filter_s: float
    own: bool
    """Whether the gains are this machine's own; False: typical, nobody stated or fitted them."""


@dataclass(frozen=True, kw_only=True)
class LoopFigures:
    """The loop about one condition, linear, sampled as the governor samples it."""

    mode: str
    load: str
    charge: float
    head_speed_rpm: float
    duty: float
    collective_deg: float
    solved: bool
    """False where full duty does not hold the head speed: then there is no loop to speak of."""
    stable: bool
    gain_margin: float | None
    """How many times the gain could grow before it hunts; null: never below half the sample rate."""
    gain_margin_db: float | None
    phase_margin_deg: float | None
    """Null where the open loop never has the size 1."""
    delay_margin_s: float | None
    """Delay that could be added before it hunts."""
    modulus_margin: float
    """Least distance of the open loop from -1: 1 is untouchable, 0 hunts."""
    modulus_margin_interval: Interval | None
    crossover_hz: float | None
    swing_hz: float | None
    """Frequency of the least damped motion of the closed loop; null where nothing swings."""
    swing_damping: float | None
    rotor_time_s: float
    """Time in which the head follows a small change of duty without a governor."""
    duty_to_speed_percent: float
    """Head speed gained, percent, for 0.01 more duty, once settled, inflow included."""
    difference_check: float
    """Change of A and B when the step of the differences is doubled, share of the row's largest entry."""
    state_names: tuple[str, ...] | None
    a_matrix: tuple[tuple[float, ...], ...] | None
    b_matrix: tuple[tuple[float, ...], ...] | None
    """A and B of dx/dt = A x + B u, SI; null unless asked for."""


@dataclass(frozen=True, kw_only=True)
class StepTold:
    """One load step flown by the engine with today's gains. Percent of the set speed; ISO 8528-5 words."""

    mode: str
    step: str
    """load on (hover to full collective) or load off (back)."""
    charge: float
    solved: bool
    """False where full duty does not hold both ends: no gain mends that."""
    not_held_share: float
    """Share of the drawn machines on which full duty does not hold both ends."""
    drop_percent: float | None
    """Transient speed deviation below the set speed."""
    drop_percent_interval: Interval | None
    rise_percent: float | None
    """Transient speed deviation above it."""
    rise_percent_interval: Interval | None
    recovery_s: float | None
    """Time from leaving the recovery band until back in it to stay; null: not back by the end."""
    recovery_s_interval: tuple[float | None, float | None] | None
    left_percent: float | None
    """What is left at the end: the permanent droop when it does not die out."""


@dataclass(frozen=True, kw_only=True)
class TuningPoint:
    """One pair of gains: the worst of all flight modes, charges and load steps looked at."""

    gain_factor: float
    """Times today's proportional gain."""
    integral_factor: float
    """Times today's gain per second."""
    drop_percent: float
    rise_percent: float
    recovery_s: float | None
    modulus_margin: float
    machines_share: float
    """Share of the drawn machines that meet every tolerance with these gains."""
    verdict: Outcome


@dataclass(frozen=True, kw_only=True)
class Tuning:
    """The map of gains, and what it says of today's."""

    drawn: int
    """Machines drawn from the spread, besides the one described."""
    factors: tuple[float, ...]
    points: tuple[TuningPoint, ...]
    """Row by row: proportional gain rising, within it gain per second rising."""
    today: TuningPoint
    suggested: TuningPoint | None
    """The nearest pair of gains that holds every tolerance on every drawn machine; null: none does."""
    suggested_gain: float | None
    suggested_integral_time_s: float | None
    advice: str
    advice_known: bool
    """False while today's gains are typical: a device's own numbers cannot be told from them."""
    explanation: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class RampPoint:
    """One ramp time, from rest to head speed, and the worst that it asks."""

    ramp_s: float
    reached: bool
    """False where full duty cannot follow the ramp: it takes longer, the figures are those wanted."""
    duty: float
    motor_current_a: float
    pack_current_a: float
    pack_voltage_v: float
    winding_temperature_c: float
    pinion_torque_nm: float
    pinion_stress_mpa: float | None
    main_gear_stress_mpa: float | None
    """Bending stress at a tooth by the ramp alone; null where module, width or form factor is not known."""
    pinion_stress_peak_mpa: float | None
    main_gear_stress_peak_mpa: float | None
    """The same at the peak as the train catches the head."""
    bearing_torque_nm: float
    """Torque that the one-way bearing carries while the ramp runs."""
    bearing_peak_nm: float | None
    """Peak as the train catches the head; null: play or stiffness is not known."""
    keeps_known_limits: bool


@dataclass(frozen=True, kw_only=True)
class Ramp:
    """One kind of spool-up in one flight mode, against ramp time."""

    kind: str
    """soft: from rest, flat pitch, full pack; quick: at hover pitch, pack at the reserve, motor warm from the hover."""
    mode: str
    today_s: float | None
    shortest_s: float | None
    """Shortest ramp that keeps every peak, with 12 % more for the governor's own swing, within the known limits; null:
    none of those looked at does."""
    shortest_s_interval: Interval | None
    set_by: str
    """The limit that a shorter ramp would break; empty when none is known to."""
    unknown_limits: tuple[str, ...]
    """Keys of the machine file without which a peak or its limit is not known: the shortest ramp may break those."""
    today: RampPoint | None
    checks: tuple[Verdict, ...]
    curve: tuple[RampPoint, ...]
    verdict: Outcome
    reasons: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class GovernorAnswer:
    """Margins, step figures, tuning map and spool-up of one machine."""

    machine: str
    machine_revision: int
    gains: Gains
    conditions: tuple[LoopFigures, ...]
    steps: tuple[StepTold, ...]
    tuning: Tuning
    ramps: tuple[Ramp, ...]
    checks: tuple[Verdict, ...]
    verdict: Outcome
    reasons: tuple[str, ...]
    unknowns: tuple[str, ...]
    typical: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
