"""What the judge works on: the channels of a trace with impossible values taken out and gaps bridged."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.charge_counter import counted_on
from steadyhead.judge.holes import Holes, holes_and_ends, holes_of, longest_hole_s
from steadyhead.judge.motor_share import motor_share
from steadyhead.judge.own_rates import own_intervals_s, slowest_beat_s
from steadyhead.judge.parts import large_steps, true_runs
from steadyhead.judge.pieces import median, percentile
from steadyhead.trace.side_by_side import side_by_side
from steadyhead.trace.trace import Series, Trace

LONGEST_GLITCH_S = 0.3
"""A reading that jumps away and comes back within this time is a fault of the sensor: no rotor turns that fast."""
LONGEST_SINGLE_S = 0.5
"""For one lone row, so that slow logs are cleaned too."""
FEWEST_VALUES = 4
SAMPLES_FOR_STATISTICS = 20_000
ROWS_FOR_STEP = 100_000
LEAST_STEP_PERCENT = 5.0
"""So many of the changes from row to row may be less than the step of a coarse channel: faulty rows; own choice."""

Number = TypeVar("Number", np.float64, np.int64)


class Spanned(Protocol):
    """Anything that lasts from one time to another."""

    @property
    def start_s(self) -> float:
        """When it begins."""

    @property
    def end_s(self) -> float:
        """When it ends."""


@dataclass(frozen=True, kw_only=True)
class Signals:
    """The channels as the judge reads them; None where the log has none. Speeds are rpm of the main rotor."""

    time_s: Series
    interval_s: float
    """Median time between two samples."""
    speed_rpm: Series | None
    """Head speed when it was measured, else motor-side speed."""
    speed_is_head: bool
    motor_rpm: Series | None
    throttle: Series | None
    duty: Series | None
    current_a: Series | None
    voltage_v: Series | None
    lowest_cell_v: Series | None
    height_m: Series | None
    climb_m_s: Series | None
    collective_deg: Series | None
    charge_mah: Series | None
    ground_m: float
    """Height that the log shows on the ground."""
    replaced: dict[str, int]
    """How many impossible values were taken out of each channel."""
    holes: Holes
    """Where the speed shows nothing, rows lost or values missing, and a line stands in."""
    own_holes: dict[str, Holes]
    """Holes of duty, throttle and speeds, where a line stands in, by name; only of those with values missing."""
    own_s: dict[str, float]
    """Time between the own values of a channel that is slower than the rows, by its name in the trace."""
    sensed: bool
    """Whether a sensor of unknown quickness saw the speed: true of a log that was read, false of a simulation."""
    motor_share: float
    """Motor side over head while the motor turns it: below 1 where the file's gear ratio is wrong."""
    counts_anew_s: tuple[float, ...]
    """When the charge counter began anew within the log; its values here are counted on."""
    speed_step_rpm: float
    """Step in which the speed was written; about nothing for one that was written finely, or simulated."""

    def index(self, time_s: float) -> int:
        """Return the first sample at or after a time."""
        return int(self.time_s.searchsorted(time_s - 1e-9))

    def within(self, start_s: float, end_s: float) -> slice:
        """Return the samples from start to end, both ends counted."""
        row_of = self.time_s.searchsorted
        return slice(int(row_of(start_s - 1e-9)), int(row_of(end_s + 1e-9)))

    def indices(self, times_s: Sequence[float]) -> list[int]:
        """Return the first sample at or after each of many times."""
        found: list[int] = self.time_s.searchsorted(np.asarray(times_s, dtype=np.float64) - 1e-9).tolist()
        return found

    def parts(self, spans: Iterable[Spanned]) -> list[slice]:
        """Return the samples of many spans, both ends counted."""
        edges = np.array([(span.start_s, span.end_s) for span in spans], dtype=np.float64).reshape(-1, 2)
        edges += (-1e-9, 1e-9)
        first, stop = self.time_s.searchsorted(edges.T).tolist()
        return [slice(a, b) for a, b in zip(first, stop, strict=True)]

    @cached_property
    def steps_s(self) -> Series:
        """Time from each sample to the next, s."""
        return np.diff(self.time_s)

    @cached_property
    def voltage_step_v(self) -> float:
        """Step in which the pack voltage was written, V; 0 for one that stands, or is not there."""
        return 0.0 if self.voltage_v is None else written_step(self.voltage_v)

    @cached_property
    def channel_beat_s(self) -> float:
        """By so much the throttle channel may be logged late, s: its own beat, 0 for one as quick as the rows."""
        known = self.own_s.get("throttle_percent")
        return slowest_beat_s(self.throttle) if known is None else known

    def hidden_s(self, start_s: float, end_s: float) -> float:
        """Length of the longest hole of the speed that reaches into a span, s; 0 when all of it was seen."""
        return longest_hole_s(self.holes, start_s, end_s) if self.holes.size else 0.0

    def edge_doubt_s(self, *names: str) -> float:
        """Return by how much more than a row an edge that these channels show together is doubted, s."""
        return sum(self.own_s.get(name, 0.0) for name in names)

    def seen(self, name: str, part: slice) -> NDArray[np.bool_]:
        """Return which samples of a part lie in no hole of a channel."""
        rows = np.ones(part.stop - part.start, np.bool_)
        stamps = self.time_s[part]
        for begin_s, end_s in self.own_holes.get(name, ()):
            rows[int(stamps.searchsorted(begin_s, side="right")) : int(stamps.searchsorted(end_s))] = False
        return rows

    def samples(self, span_s: float) -> int:
        """Return how many sample intervals fit into a span, at least one."""
        return max(1, round(span_s / self.interval_s))

    @property
    def start_s(self) -> float:
        """Time of the first sample, s."""
        return float(self.time_s[0])

    @property
    def end_s(self) -> float:
        """Time of the last sample, s."""
        return float(self.time_s[-1])


def signals(trace: Trace, collective_max_deg: float | None) -> Signals | None:
    """Return the cleaned channels of a trace, or None when it is too short to say anything.

    Shapes: every series (n,).
    Valid: time strictly increasing, as a trace promises; gaps and missing values anywhere.
    """
    time_s = np.asarray(trace.time_s, dtype=np.float64)
    if time_s.size < FEWEST_VALUES or not all_finite(time_s):
        return None
    interval_s = _interval(time_s)
    if interval_s <= 0.0:
        return None
    names = [name for name in READ if name in trace.channels]
    channels, anew_s = dict(trace.channels), tuple[float, ...]()
    if CHARGE in channels:
        channels[CHARGE], anew_s = counted_on(time_s, channels[CHARGE])
    made = dict(
        zip(
            names,
            side_by_side(lambda name: cleaned(time_s, channels[name], LEAPS.get(name)), names, time_s.size),
            strict=True,
        )
    )

    def clean(name: str) -> Series | None:
        return made[name][0] if name in made else None

    head = clean("head_speed_rpm")
    motor = clean("motor_side_speed_rpm")
    percent = clean("collective_percent")
    degrees = clean("collective_deg")
    if degrees is None and percent is not None:
        degrees = percent * ((collective_max_deg or 12.0) / 100.0)
    height = clean("height_m")
    speeds = [name for name in ("head_speed_rpm", "motor_side_speed_rpm") if clean(name) is not None]
    own_s = own_intervals_s({name: trace.channels.get(name) for name in TIMED}, time_s, interval_s)
    return Signals(
        time_s=time_s,
        interval_s=interval_s,
        speed_rpm=motor if head is None else head,
        speed_is_head=head is not None,
        motor_rpm=motor,
        throttle=clean("throttle_percent"),
        duty=clean("duty"),
        current_a=clean("pack_current_a"),
        voltage_v=clean("pack_voltage_v"),
        lowest_cell_v=clean("lowest_cell_v"),
        height_m=height,
        ground_m=0.0 if height is None else _ground(height, max(1, round(0.5 / interval_s))),
        climb_m_s=clean("climb_speed_m_s"),
        collective_deg=degrees,
        charge_mah=clean(CHARGE),
        replaced={name: count for name, (_, count) in made.items() if count},
        holes=_holes(trace, time_s, interval_s),
        own_holes={
            name: holes_and_ends(time_s, np.asarray(trace.channels[name]), max(interval_s, own_s.get(name, 0.0)))
            for name in (*speeds, "duty", "throttle_percent")
            if name in made and made[name][0] is not trace.channels[name]
        },
        own_s=own_s,
        sensed=bool(trace.columns),
        motor_share=motor_share(head, motor, clean("duty")),
        counts_anew_s=anew_s,
        speed_step_rpm=written_step(trace.channels[speeds[0]]) if speeds and trace.columns else 0.0,
    )


CHARGE = "charge_used_mah"
READ = (
    "head_speed_rpm", "motor_side_speed_rpm", "collective_percent", "collective_deg", "height_m", "throttle_percent",
    "duty", "pack_current_a", "pack_voltage_v", "lowest_cell_v", "climb_speed_m_s", CHARGE,
)  # fmt: skip
LEAPS = {"head_speed_rpm": 0.15, "motor_side_speed_rpm": 0.15, "pack_voltage_v": 0.45, "lowest_cell_v": 0.45}
"""Channels in which a value that leaps away and back by this share is a glitch; own choice."""
TIMED = ("throttle_percent", "duty", "head_speed_rpm", "motor_side_speed_rpm", "pack_voltage_v", "pack_current_a")
"""Channels whose edges are timed, or that show how slow a logger's sensors are."""


def _holes(trace: Trace, time_s: Series, interval_s: float) -> Holes:
    speed = trace.channels.get("head_speed_rpm", trace.channels.get("motor_side_speed_rpm"))
    return holes_of(time_s, None if speed is None or all_finite(speed) else np.asarray(speed), interval_s)


def written_step(values: Series) -> float:
    """Return the step in which a channel was written, in its unit, from the middle of the log; 0 for one that stands.

    Read before gaps are bridged: a line between two values takes as many small steps as it has rows.
    """
    begin = max(0, (values.size - ROWS_FOR_STEP) // 2)
    known = values[begin : begin + ROWS_FOR_STEP]
    steps = np.abs(np.diff(known[np.isfinite(known)]))
    moved = steps[steps > 0.0]
    return percentile(moved, LEAST_STEP_PERCENT) if moved.size else 0.0


IN_THE_AIR_M = 2.0
"""A height sensor drifts by about a metre over a flight; common practice, no source."""


def _ground(height_m: Series, first: int) -> float:
    """Return the mean of the first half second, or the lowest heights when the log begins in the air, m."""
    low = percentile(sparse(height_m), 2)
    begin = median(height_m[:first])
    return low if begin > low + IN_THE_AIR_M else begin


def sparse(values: NDArray[Number]) -> NDArray[Number]:
    """Return at most SAMPLES_FOR_STATISTICS of the values, evenly picked, for medians of long logs."""
    step = max(1, values.size // SAMPLES_FOR_STATISTICS)
    return values[::step]


def cleaned(time_s: Series, values: Series, jump_share: float | None) -> tuple[Series | None, int]:
    """Return a channel without glitches and without gaps, and how many glitches were taken out.

    A glitch leaves by more than `jump_share` of the channel's usual size and is back within LONGEST_GLITCH_S.
    Missing values are bridged by a straight line. None when hardly a value is left.
    Shapes: time_s (n,), values (n,) -> (n,).
    """
    series = np.asarray(values, dtype=np.float64)
    whole = all_finite(series)
    lost = np.zeros(series.size, dtype=bool) if whole else ~np.isfinite(series)
    known = None if whole else (~lost).nonzero()[0]
    stamps, seen = (time_s, series) if known is None else (time_s[known], series[known])
    if seen.size < FEWEST_VALUES:
        return None, 0
    bad = np.empty(0, np.int64) if jump_share is None else glitches(stamps, seen, jump_share)
    if whole and not bad.size:
        return series, 0
    if seen.size - bad.size < FEWEST_VALUES:
        return None, 0
    lost[bad if known is None else known[bad]] = True
    return bridged(time_s, series, lost), int(bad.size)


def bridged(time_s: Series, values: Series, lost: NDArray[np.bool_]) -> Series:
    """Return a channel with its lost samples on a straight line between their neighbours, level at both ends.

    Shapes: time_s (n,), values (n,), lost (n,) -> (n,).
    Valid: some samples are lost, not all.
    """
    first, stop = np.array(true_runs(lost)).T
    left = np.repeat(np.where(first > 0, first - 1, stop), stop - first)
    right = np.repeat(np.where(stop < values.size, stop, first - 1), stop - first)
    span = time_s[right] - time_s[left]
    slope = np.divide(values[right] - values[left], span, out=np.zeros(span.size), where=span > 0.0)
    filled = values.copy()
    filled[lost] = slope * (time_s[lost] - time_s[left]) + values[left]
    return filled


def all_finite(values: Series) -> bool:
    """Whether no value is missing or infinite; a sum that is finite says so in one pass.

    Shapes: values (n,) -> scalar.
    """
    with np.errstate(invalid="ignore", over="ignore"):
        return bool(np.isfinite(np.add.reduce(values))) or bool(np.isfinite(values).all())


def glitches(time_s: Series, values: Series, jump_share: float) -> NDArray[np.int64]:
    """Return the indices of samples that jump away and back within LONGEST_GLITCH_S.

    Shapes: time_s (n,), values (n,) -> (m,).
    Valid: not for a channel that is noise from end to end; such a channel is left as it is.
    """
    some = sparse(values)
    size = median(np.abs(some[some != 0.0])) if np.any(some != 0.0) else 0.0
    jumps = large_steps(values, max(jump_share * size, 1e-6))
    if not jumps.size or jumps.size > max(20, values.size // 10):
        return np.empty(0, np.int64)
    bad: list[int] = []
    k = 0
    while k < jumps.size - 1:
        before = int(jumps[k])
        back = _comes_back(time_s, values, jumps[k + 1 : k + 5], before, jump_share * size)
        if back is None:
            k += 1
            continue
        bad.extend(range(before + 1, back + 1))
        k = int(np.searchsorted(jumps, back, side="right"))
    return np.asarray(bad, dtype=np.int64)


def _comes_back(time_s: Series, values: Series, later: NDArray[np.int64], before: int, size: float) -> int | None:
    for jump in later:
        after = int(jump)
        longest = LONGEST_GLITCH_S if after - before > 1 else LONGEST_SINGLE_S
        if time_s[after + 1] - time_s[before] > longest + 1e-9:
            return None
        if abs(values[after + 1] - values[before]) <= size:
            return after
    return None


def _interval(time_s: Series) -> float:
    step = max(1, time_s.size // SAMPLES_FOR_STATISTICS)
    picked = np.arange(0, time_s.size - 1, step)
    return median(time_s[picked + 1] - time_s[picked])
