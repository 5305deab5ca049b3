"""What `judge` answers; field names are the JSON keys. Times are seconds after the first data row."""

from dataclasses import dataclass, field

from steadyhead.trace.trace import ColumnRead, Trace
from steadyhead.words.verdict import Outcome, Verdict


@dataclass(frozen=True, kw_only=True)
class Segment:
    """One stretch of a log. None where the log cannot tell."""

    kind: str
    """rest, soft_spool, governed, autorotation, quick_spool, coast, stopped, or unknown: neither speed nor duty, a head
    that turns though no start was seen, or one heard to fall and come back."""
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
    undershoot_percent_interval: tuple[float, float] | None = None
    """A sensor smooths over about a row: the high end adds half the steepest step near the peak."""
    overshoot_percent_interval: tuple[float, float] | None = None
    load_recovery_s_interval: tuple[float, float] | None = None
    """What noise of the speed makes of it; the rows' distance comes on top."""
    unload_recovery_s_interval: tuple[float, float] | None = None
    at_stop_share: float | None = None
    """Share of the loaded time with the duty at its stop, where the governor has no say."""
    governor_droop_percent: float | None = None
    """Part of the droop that was lost while the duty had room: the governor's own."""
    sag_loss_percent: float | None = None
    """Part of the droop that was lost with the duty at its stop: head-room used up, no gain mends it."""
    hidden_s: float = 0.0
    """Longest stretch, from the load to the end of its recovery, in which the speed shows nothing."""
    end_doubt_s: float = 0.0
    """How much earlier the load may have ended than the log shows."""
    least_likely_s: float | None = field(default=None, metadata={"json": False})
    """The recovery that is left when noise takes away the most it does one time in twenty."""
    peak_hidden: bool = False
    """Whether such a stretch lies where the head overshoots."""


@dataclass(frozen=True, kw_only=True)
class BailOut:
    """One return of the motor out of an autorotation."""

    start_s: float
    motor_started_after_s: float | None
    quick: bool
    to_set_speed_s: float | None
    height_lost_m: float | None
    least_rpm: float | None
    taken_back: bool = False
    """The pilot went back into the autorotation before the motor could carry the head: no restart to be judged."""


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
    hunting_regular: float | None = None
    """Decay ratio of the autocorrelation: from 0.5 the swing repeats; null for one too small to matter."""
    hunting_chance: float | None = None
    """How likely sensor noise alone makes a line as strong; wind does so too, so a small chance is no proof."""
    hover: bool | None = None
    """Whether the rotor carried the machine; null where nothing tells."""


@dataclass(frozen=True, kw_only=True)
class HeadRoom:
    """The duty left at one set speed in one condition: the least that this log shows."""

    condition: str
    """hover, bench, climb or pump."""
    set_rpm: float
    count: int
    """How many windows or loads it rests on."""
    duty: float
    """The highest: of a window its mean, of a load its peak."""
    head_room: float
    head_room_interval: tuple[float, float]
    at_s: float
    pack_voltage_v: float | None
    """Of that window the mean, of that load the least."""


@dataclass(frozen=True, kw_only=True)
class Heat:
    """One logged temperature over one flight."""

    part: str
    """controller, motor or pack."""
    start_c: float
    hottest_c: float
    end_rise_c_per_min: float | None
    """Straight line through the last minute of driven running; None when that is shorter than 20 s."""
    end_rise_c_per_min_interval: tuple[float, float] | None


@dataclass(frozen=True, kw_only=True)
class FlightFigures:
    """One flight of a log: from rest to rest, flown or on the bench. None where the log cannot tell."""

    number: int
    start_s: float
    end_s: float
    flown: bool | None
    pack_changed: bool | None
    """Whether another pack was put in since the flight before; None when the log cannot tell, or for the first."""
    driven_s: float
    energy_wh: float | None
    power_w: float | None
    """Mean out of the pack while the motor drove."""
    charge_used_mah: float | None
    pack_resistance_mohm: float | None
    pack_resistance_mohm_interval: tuple[float, float] | None
    rest_voltage_v: float | None
    pack_voltage_min_v: float | None
    lowest_cell_v: float | None
    pack_current_max_a: float | None
    duty_max: float | None
    hover_duty: float | None
    steady_band_percent: float | None
    climb_droop_percent: float | None
    recovery_s: float | None
    hunting_percent: float | None
    heat: tuple[Heat, ...]
    verdict: Outcome
    failed: tuple[str, ...]
    """Checks that this flight alone fails."""
    not_known: tuple[str, ...]
    charge_by_current_mah: float | None = field(default=None, metadata={"json": False})
    """What the current adds up to beside a charge counter."""


@dataclass(frozen=True, kw_only=True)
class Trend:
    """How one figure moves from flight to flight: a straight line through three flights or more."""

    figure: str
    unit: str
    count: int
    first: float
    last: float
    per_flight: float
    per_flight_interval: tuple[float, float]
    said: str
    """rises, falls, or not beyond noise; of all trends called moving, at most one in ten is by chance."""


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
    columns: tuple[ColumnRead, ...] = ()
    head_room: tuple[HeadRoom, ...] = ()
    flights: tuple[FlightFigures, ...] = ()
    trends: tuple[Trend, ...] = ()
    """Over the flights of this log, when there are three or more."""
    trace: Trace = field(metadata={"json": False}, repr=False)


@dataclass(frozen=True, kw_only=True)
class SessionCheck:
    """One check over all logs of a session."""

    check: str
    verdict: Outcome
    passed: int
    failed: int
    unknown: int
    worst_log: str
    """Of the logs whose verdict is the one of all, the one with the worst figure."""
    reason: str
    """Of the worst log."""
    figure: float | None = None
    """The worst of the logs with that verdict; of an unknown one, also of those that pass."""
    figure_interval: tuple[float, float] | None = None
    unit: str = ""
    limit: float | None = None
    limit_text: str = ""
    limit_origin: str = ""


@dataclass(frozen=True, kw_only=True)
class Session:
    """Several logs of one machine, judged one by one and together."""

    machine: str
    logs: tuple[Judgement, ...]
    flights: int
    energy_wh: float | None
    """Of all logs that tell it; what two of them both hold counts once."""
    checks: tuple[SessionCheck, ...]
    """A check is proven by a log that passes it, unless another leaves it in doubt, and spoilt by one that fails it."""
    trends: tuple[Trend, ...]
    """Over all flights, in the order of the dates in the logs, or, where not all have one, as they were given."""
    verdict: Outcome
    cautions: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    """Logs that were given twice, that repeat the end of another, that go on where another ends, or are of another
    machine."""
    unread: tuple[str, ...] = ()
    """Logs that could not be read, each with why; with one of them nothing passes as a whole."""
