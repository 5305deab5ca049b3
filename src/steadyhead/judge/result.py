"""What `judge` answers; field names are the JSON keys. Times are seconds after the first data row."""

from dataclasses import dataclass, field

from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict


@dataclass(frozen=True, kw_only=True)
class Segment:
    """One stretch of a log. None where the log cannot tell."""

    kind: str
    """rest, soft_spool, governed, autorotation, quick_spool, coast or stopped."""
    start_s: float
    end_s: float
    set_rpm: float | None = None
    mean_rpm: float | None = None
    droop_percent: float | None = None
    steady_band_percent: float | None = None
    """Half width of the band in steady running, percent of the set speed."""
    overshoot_percent: float | None = None
    undershoot_percent: float | None = None
    recovery_s: float | None = None
    hunting_hz: float | None = None
    hunting_percent: float | None = None
    duty_mean: float | None = None
    duty_max: float | None = None
    pack_voltage_min_v: float | None = None
    pack_current_max_a: float | None = None
    energy_wh: float | None = None
    airborne: bool | None = None


@dataclass(frozen=True, kw_only=True)
class LoadEvent:
    """One transient load while governed: a climb-out or pitch pumps. Percent of the set speed."""

    kind: str
    """climb or pump."""
    start_s: float
    end_s: float
    set_rpm: float
    droop_percent: float | None
    undershoot_percent: float | None
    overshoot_percent: float | None
    load_recovery_s: float | None
    unload_recovery_s: float | None
    recovered: bool | None
    duty_max: float | None
    pack_current_max_a: float | None
    pack_voltage_min_v: float | None


@dataclass(frozen=True, kw_only=True)
class BailOut:
    """One return of the motor out of an autorotation."""

    start_s: float
    motor_started_after_s: float | None
    quick: bool
    to_set_speed_s: float | None
    height_lost_m: float | None
    least_rpm: float | None


@dataclass(frozen=True, kw_only=True)
class SteadyWindow:
    """A stretch of plain hover or bench running at one set speed."""

    start_s: float
    end_s: float
    set_rpm: float
    mean_rpm: float
    channel_percent: float | None
    band_half_width_percent: float
    hunting_hz: float | None
    hunting_percent: float | None
    duty_mean: float | None
    pack_voltage_mean_v: float | None
    pack_current_mean_a: float | None


@dataclass(frozen=True, kw_only=True)
class Judgement:
    """A log, judged."""

    log: str
    machine: str
    machine_revision: int
    rows_read: int
    warnings: tuple[str, ...]
    history: tuple[str, ...]
    segments: tuple[Segment, ...]
    steady: tuple[SteadyWindow, ...]
    events: tuple[LoadEvent, ...]
    bail_outs: tuple[BailOut, ...]
    checks: tuple[Verdict, ...]
    advice: tuple[str, ...]
    verdict: Outcome
    unknowns: tuple[str, ...]
    pack_resistance_mohm: float | None
    pack_resistance_mohm_interval: tuple[float, float] | None
    energy_wh: float | None
    charge_used_mah: float | None
    cautions: tuple[str, ...]
    typical: tuple[str, ...] = ()
    """Keys of inputs that are typical, which figures or limits here rest on."""
    trace: Trace = field(metadata={"json": False}, repr=False)
