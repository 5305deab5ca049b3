"""What `channel` answers; field names are the JSON keys."""

from dataclasses import dataclass

from steadyhead.words.verdict import Outcome, Verdict

Interval = tuple[float, float]
MOTOR_SIDE = "motor and gears alone"
"""How the source of a reading ends whose head speed was worked out through the gears, not taken at the head."""


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One measured pair: channel percent, head speed, and the half width of its 90 % interval."""

    percent: float
    head_speed_rpm: float
    spread_rpm: float
    source: str

    @property
    def is_at_head(self) -> bool:
        """Whether it is the head's own speed, not that of motor or gears over the teeth of the machine file."""
        return not self.source.endswith(MOTOR_SIDE)


@dataclass(frozen=True, kw_only=True)
class VoidReading:
    """A reading that no longer counts, and what changed since it was taken."""

    reading: Reading
    since: tuple[str, ...]
    """Keys of the machine file, or changes that were noted on the bench."""


@dataclass(frozen=True, kw_only=True)
class Law:
    """The set-point law, channel percent to head speed."""

    kind: str
    """proportional, affine, affine with a floor, affine with a ceiling, monotone piecewise, or unknown."""
    chosen_because: str
    slope_rpm_per_percent: float | None
    slope_rpm_per_percent_interval: Interval | None
    zero_percent: float | None
    """Channel percent at which the fitted line reaches zero head speed."""
    zero_percent_interval: Interval | None
    floor_rpm: float | None
    ceiling_rpm: float | None
    residual_rpm: float | None
    knots: tuple[tuple[float, float], ...]
    """(percent, head speed) along the law, enough to draw it."""
    reach_rpm: Interval | None
    """Lowest and highest head speed that the law can ask for."""


@dataclass(frozen=True, kw_only=True)
class ModeCurve:
    """The curve value for one flight mode."""

    mode: str
    target_rpm: float
    curve_percent: float | None
    curve_us: float | None
    expected_rpm: float | None
    expected_rpm_interval: Interval | None
    rpm_per_step: float | None
    verdict: Outcome
    reason: str


@dataclass(frozen=True, kw_only=True)
class EndPoints:
    """Pulse widths of both channel ends against the ends that the controller learned."""

    low_us: float
    high_us: float
    learned_low_us: float | None
    learned_high_us: float | None
    low_travel_percent: float | None
    """Travel adjustment that lands the low end on the learned one."""
    high_travel_percent: float | None
    checks: tuple[Verdict, ...]


@dataclass(frozen=True, kw_only=True)
class Thresholds:
    """Where the motor stops and starts, and what lies between."""

    cut_off_percent: float | None
    cut_off_us: float | None
    start_percent: float | None
    start_us: float | None
    hysteresis_us: float | None
    margin_us: float | None
    """Smallest distance between a channel position and a threshold it must not touch; below 0 on its wrong side."""
    margin_steps: float | None
    start_delay_s: float | None
    """From throttle hold: the slowly moving channel, then the controller's own wait."""
    start_delay_s_interval: Interval | None = None
    start_delay_from_autorotation_s: float | None
    checks: tuple[Verdict, ...]


@dataclass(frozen=True, kw_only=True)
class ChannelAnswer:
    """Every number of the throttle channel, with verdicts."""

    machine: str
    machine_revision: int
    readings: tuple[Reading, ...]
    law: Law
    modes: tuple[ModeCurve, ...]
    end_points: EndPoints
    thresholds: Thresholds
    step_us: float
    jitter_us: float
    autorotation_window_percent: Interval | None
    autorotation_percent: float | None
    next_reading_percent: float | None
    next_reading_because: str
    checks: tuple[Verdict, ...]
    """Those beside the checks of the end points and the thresholds."""
    verdict: Outcome
    reasons: tuple[str, ...]
    unknowns: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    typical: tuple[str, ...] = ()
    """Keys of inputs that are typical, which these numbers rest on."""
    void_readings: tuple[VoidReading, ...] = ()
    """Readings that are kept and no longer count: the machine changed since."""
