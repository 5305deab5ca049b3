"""What of a log can be fitted: windows in which the motor drives, coast-downs, the pack's whole run."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.measured import Measured, measured
from steadyhead.judge.owner import owner
from steadyhead.judge.parts import part_least, part_means, part_most
from steadyhead.judge.pieces import line
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals, signals
from steadyhead.machine.description import Machine
from steadyhead.trace.trace import Series, Trace

RAD_S = math.pi / 30.0
WINDOW_S = 0.5
"""Longer than any sensor lags, shorter than a manoeuvre; common practice, no source."""
EVEN_S = 2.0
"""How fast the head is sped up is read over so long a time: a soft start is even, and steady running stands still. Over
half a second the noise of the speed is as large as what a soft start does, and a noisy measure of a cause makes its
effect look smaller: W. A. Fuller, Measurement Error Models, 1987, chapter 1 (from memory)."""
PACK_WINDOW_S = 0.25
COAST_WINDOW_S = 0.1
FEWEST_ROWS = 4
DRIVEN = ("soft_spool", "quick_spool", "governed")
LEAST_DUTY = 0.12
LEAST_CURRENT_A = 0.5
LEAST_CURRENT_SHARE = 0.3
"""Below this share of a stretch's usual current the motor may be running away from the head."""
MOST_DUTY_STEP = 0.08
"""A window over which the duty moves further is left out: its sensors do not show one moment."""
FLAT_DEG = 2.0
"""Up to this collective the blades are taken as flat on the ground."""
SLOWEST_SHARE = 0.3
"""A motor below this share of the usual speed is not fitted: at small duty its current flows in pieces."""
COAST_BEGIN_S = 0.4
COAST_END_SHARE = 0.25
LEAST_COAST_RPM = 300.0
KNEE = 4.0
"""A window whose own rate of speed lies so many times the usual scatter away from that over EVEN_S is no even one."""
LEAST_KNEE_SHARE = 0.01
"""Of the quickest soft start, where the speed has hardly any noise. Both: own choice."""
FREE_SHARE = 0.95
"""A motor that turns slower than this share of the head for certain does not push it; own choice."""
FEWEST_WINDOWS = 6
STANDS = 1.5
"""A duty that moves over less than this many of its steps stands on one."""
OFF_DUTY = 0.005
FEWEST_OFF_ROWS = 20


@dataclass(frozen=True, kw_only=True)
class Driven:
    """Windows in which the motor drives, in the order of time. SI; means over each window.

    Shapes: all (n,). `flat` marks windows on the ground with flat pitch or without blades, where the load is known.
    """

    time_s: Series
    duty: Series
    voltage_v: Series
    current_a: Series
    current_a_s: Series
    head_rad_s: Series
    head_rad_s2: Series
    even_rad_s2: Series
    """How fast the head is sped up, over EVEN_S about each window."""
    flat: NDArray[np.bool_]
    even: NDArray[np.bool_]
    """Windows about which the head is sped up evenly: not those where a soft start begins to hold its speed."""
    duty_step: float
    """Step that the logged duty is rounded to; 0 where it shows none."""
    level: NDArray[np.int64]
    """Number of the duty step that a window stands on; windows that move over more than one have their own."""
    whole: "Whole"
    """The whole log, since what warmed the winding need not be what is fitted."""


@dataclass(frozen=True, kw_only=True)
class Whole:
    """Means over short windows of the whole log. SI. Shapes: all (n,)."""

    time_s: Series
    duty: Series
    voltage_v: Series
    current_a: Series
    head_rad_s: Series


@dataclass(frozen=True, kw_only=True)
class Coast:
    """One coast-down on the ground. Shapes: time_s from its own beginning, head_rad_s (n,)."""

    begin_s: float
    time_s: Series
    head_rad_s: Series


@dataclass(frozen=True, kw_only=True)
class PackRows:
    """The pack's run. Shapes: all (n,)."""

    time_s: Series
    voltage_v: Series
    current_a: Series
    rate_a_s: Series


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """What of one log can be fitted; None or empty where the log does not hold it."""

    log: str
    trace: Trace
    found: Measured
    blades_on: bool
    blades_known: bool
    """False where voltage and current are there and still do not show whether blades were fitted: no head is fitted."""
    driven: Driven | None
    coasts: tuple[Coast, ...]
    pack: PackRows | None
    flat_deg: float | None
    """Mean collective of the flat windows and coast-downs; None without a collective channel."""
    pack_k: float | None
    """Mean pack temperature where it is logged."""
    standby_a: float | None
    """Current that flows while the motor is off: controller, receiver, servos, and the sensor's own zero."""
    lacks: tuple[str, ...]
    """Channels that the log does not hold."""


def evidence(machine: Machine, trace: Trace) -> Evidence | None:
    """Return what of a log can be fitted; None when it is too short to say anything."""
    numbers = owner(machine)
    cleaned = signals(trace, numbers.collective_max_deg)
    if cleaned is None:
        return None
    found = measured(cleaned, numbers)
    blades = found.blades_on is not False
    known = found.blades_on is not None or cleaned.voltage_v is None or cleaned.current_a is None
    channels = {
        "head_speed_rpm": cleaned.speed_rpm is not None and cleaned.speed_is_head,
        "duty": cleaned.duty is not None,
        "pack_voltage_v": cleaned.voltage_v is not None,
        "pack_current_a": cleaned.current_a is not None,
    }
    driven = _driven(cleaned, found, blades)
    coasts = _coasts(cleaned, found, blades) if known else ()
    temperature = trace.get("pack_temperature_c")
    return Evidence(
        log=trace.source,
        trace=trace,
        found=found,
        blades_on=blades,
        blades_known=known,
        driven=driven,
        coasts=coasts,
        pack=_pack(cleaned),
        flat_deg=_flat_deg(cleaned, driven, coasts),
        pack_k=None if temperature is None else float(np.nanmean(temperature)) + 273.15,
        standby_a=_standby(cleaned),
        lacks=tuple(name for name, there in channels.items() if not there),
    )


def windows(time_s: Series, first: int, stop: int, span_s: float, interval_s: float) -> list[slice]:
    """Return parts of at least `span_s` and FEWEST_ROWS rows, in order, none with a gap in it."""
    rows = max(2, math.ceil(span_s / interval_s - 1e-9))
    parts = [slice(at, at + rows) for at in range(first, stop - rows + 1, rows)]
    return [part for part in parts if time_s[part.stop - 1] - time_s[part.start] <= 1.5 * rows * interval_s]


def _driven(signals: Signals, found: Measured, blades: bool) -> Driven | None:
    """Return the windows in which the motor drives the head."""
    speed = signals.motor_rpm if signals.motor_rpm is not None else signals.speed_rpm
    duty, voltage, current = signals.duty, signals.voltage_v, signals.current_a
    if speed is None or duty is None or voltage is None or current is None:
        return None
    parts: list[slice] = []
    wide: list[slice] = []
    flat: list[bool] = []
    more = round(0.5 * (EVEN_S - WINDOW_S) / signals.interval_s)
    span_s = max(WINDOW_S, FEWEST_ROWS * signals.interval_s)
    for stretch in found.stretches:
        if stretch.kind not in DRIVEN:
            continue
        whole = signals.within(stretch.start_s, stretch.end_s - 0.3)
        own = windows(signals.time_s, whole.start, whole.stop, span_s, signals.interval_s)
        if not own:
            continue
        usual = float(np.median(current[whole]))
        good = part_least(duty, own) > LEAST_DUTY
        good &= part_most(duty, own) - part_least(duty, own) <= MOST_DUTY_STEP
        good &= part_least(current, own) > max(LEAST_CURRENT_SHARE * usual, LEAST_CURRENT_A)
        top = stretch.set_rpm or float(np.max(speed[whole]))
        good &= part_least(speed, own) > SLOWEST_SHARE * top
        kept = [part for part, use in zip(own, good, strict=True) if use]
        parts += kept
        wide += [slice(max(part.start - more, whole.start), min(part.stop + more, whole.stop)) for part in kept]
        left = _left_ground(signals, found, stretch)
        flat += [part.stop <= left or _is_flat(signals, found, stretch, part, blades) for part in kept]
    if len(parts) < FEWEST_WINDOWS:
        return None
    every = windows(signals.time_s, 0, signals.time_s.size, PACK_WINDOW_S, signals.interval_s)
    step = duty_step(duty)

    def rates(values: Series, parts: list[slice]) -> Series:
        return np.array([line(signals.time_s[part] - signals.time_s[part.start], values[part])[0] for part in parts])

    level = np.array(flat)
    own_rate, even_rate = rates(speed, parts) * RAD_S, rates(speed, wide) * RAD_S
    return Driven(
        time_s=part_means(signals.time_s, parts),
        duty=part_means(duty, parts),
        voltage_v=part_means(voltage, parts),
        current_a=part_means(current, parts),
        current_a_s=rates(current, parts),
        head_rad_s=part_means(speed, parts) * RAD_S,
        head_rad_s2=own_rate,
        even_rad_s2=even_rate,
        flat=level,
        even=_even(own_rate, even_rate, level),
        duty_step=step,
        level=_level(duty, parts, step),
        whole=Whole(
            time_s=part_means(signals.time_s, every),
            duty=part_means(duty, every),
            voltage_v=part_means(voltage, every),
            current_a=part_means(current, every),
            head_rad_s=part_means(speed, every) * RAD_S,
        ),
    )


def _even(own_rate: Series, even_rate: Series, flat: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return which windows are sped up as evenly as the flat ones usually are. Shapes: all (n,) -> (n,)."""
    if not flat.any():
        return flat
    apart = own_rate - even_rate
    usual = max(
        1.4826 * float(np.median(np.abs(apart[flat]))), LEAST_KNEE_SHARE * float(np.max(np.abs(even_rate[flat])))
    )
    return np.asarray(np.abs(apart) <= KNEE * usual)


def duty_step(duty: Series) -> float:
    """Return the step that a logged duty is rounded to, 0 where it shows none.

    Shapes: duty (n,).
    Valid: a duty that moved over many steps; the middle one of the gaps between the values that occur.
    """
    gaps = np.diff(np.unique(np.round(duty, 6)))
    return float(np.median(gaps)) if gaps.size else 0.0


def _level(duty: Series, parts: list[slice], step: float) -> NDArray[np.int64]:
    """Return which windows stand on the same step of the duty. Shapes: duty (n,), m parts -> (m,)."""
    own = -1 - np.arange(len(parts))
    if step <= 0.0:
        return own
    still = part_most(duty, parts) - part_least(duty, parts) <= STANDS * step
    return np.where(still, np.round(part_means(duty, parts) / step).astype(np.int64), own)


def _left_ground(signals: Signals, found: Measured, stretch: Stretch) -> int:
    """Return the row up to which a machine in governed running cannot have lifted off since its head stood; else 0.

    Valid: with a collective channel; no machine lifts off while its blades have stayed flat since it stood.
    """
    at = found.stretches.index(stretch)
    before = tuple(one.kind for one in found.stretches[max(at - 2, 0) : at])
    if signals.collective_deg is None or before not in (("rest", "soft_spool"), ("stopped", "soft_spool")):
        return 0
    first = signals.index(found.stretches[at - 1].start_s)
    pitched = np.flatnonzero(np.abs(signals.collective_deg[first:]) > FLAT_DEG)
    return first + int(pitched[0]) if pitched.size else signals.time_s.size


def _is_flat(signals: Signals, found: Measured, stretch: Stretch, part: slice, blades: bool) -> bool:
    if not blades:
        return True
    if stretch.airborne is True:
        return False
    if signals.collective_deg is not None:
        return bool(np.max(np.abs(signals.collective_deg[part])) <= FLAT_DEG)
    return stretch.airborne is False and (stretch.kind == "soft_spool" or found.flown is False)


def _coasts(signals: Signals, found: Measured, blades: bool) -> tuple[Coast, ...]:
    """Return the coast-downs that a head speed sensor saw.

    Valid: without blades only where a logged motor speed shows that the motor lags behind: a bare head is so light
    that it slows down faster than motor and gears would, and they push it on through the one-way bearing.
    """
    speed = signals.speed_rpm
    if speed is None or not signals.speed_is_head:
        return ()
    coasts = []
    for stretch in found.stretches:
        if stretch.kind != "coast":
            continue
        part = signals.within(stretch.start_s + COAST_BEGIN_S, stretch.end_s)
        if part.stop - part.start < 2 * FEWEST_WINDOWS:
            continue
        slow = np.flatnonzero(speed[part] < max(COAST_END_SHARE * speed[part.start], LEAST_COAST_RPM))
        stop = part.start + int(slow[0]) if slow.size else part.stop
        if signals.collective_deg is not None:
            pitched = np.flatnonzero(np.abs(signals.collective_deg[part.start : stop]) > FLAT_DEG)
            stop = part.start + int(pitched[0]) if pitched.size else stop
        first, stop = (part.start, stop) if blades else _let_go(signals, part.start, stop)
        own = windows(signals.time_s, first, stop, COAST_WINDOW_S, signals.interval_s)
        if len(own) >= FEWEST_WINDOWS and speed[part.start] > 2.0 * LEAST_COAST_RPM:
            stamps = part_means(signals.time_s, own)
            coasts.append(
                Coast(begin_s=float(stamps[0]), time_s=stamps - stamps[0], head_rad_s=part_means(speed, own) * RAD_S)
            )
    return tuple(coasts)


def _let_go(signals: Signals, first: int, stop: int) -> tuple[int, int]:
    """Return the first rows, in one piece, in which the motor turns slower than the head; none without its speed."""
    if signals.motor_rpm is None or signals.speed_rpm is None:
        return first, first
    lags = signals.motor_rpm[first:stop] < FREE_SHARE * signals.speed_rpm[first:stop]
    begin = int(np.argmax(lags)) if lags.any() else lags.size
    again = np.flatnonzero(~lags[begin:])
    return first + begin, first + begin + int(again[0]) if again.size else stop


def _pack(signals: Signals) -> PackRows | None:
    if signals.voltage_v is None or signals.current_a is None:
        return None
    own = windows(signals.time_s, 0, signals.time_s.size, PACK_WINDOW_S, signals.interval_s)
    if len(own) < 4 * FEWEST_WINDOWS:
        return None
    stamps, current = part_means(signals.time_s, own), part_means(signals.current_a, own)
    return PackRows(
        time_s=stamps,
        voltage_v=part_means(signals.voltage_v, own),
        current_a=current,
        rate_a_s=np.asarray(np.gradient(current, stamps), dtype=np.float64),
    )


def _standby(signals: Signals) -> float | None:
    """Return the mean current while the motor is off, A; None when the log does not show it."""
    if signals.current_a is None or signals.duty is None:
        return None
    off = signals.duty < OFF_DUTY
    return float(np.mean(signals.current_a[off])) if int(off.sum()) >= FEWEST_OFF_ROWS else None


def _flat_deg(signals: Signals, driven: Driven | None, coasts: tuple[Coast, ...]) -> float | None:
    if signals.collective_deg is None:
        return None
    stamps = [coast.begin_s + coast.time_s for coast in coasts]
    if driven is not None:
        stamps.append(driven.time_s[driven.flat])
    at = np.concatenate(stamps) if stamps else np.empty(0)
    if not at.size:
        return None
    return float(np.mean(np.abs(np.interp(at, signals.time_s, signals.collective_deg))))
