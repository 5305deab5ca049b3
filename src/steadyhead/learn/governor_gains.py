"""How the governor acted in flight: duty on speed error, its integral and the collective, while the duty was free."""

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.measured import Measured
from steadyhead.judge.parts import true_runs
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.learn.result import GovernorSeen
from steadyhead.trace.trace import Series

SMOOTH_S = 0.1
LEAST_DUTY, MOST_DUTY = 0.06, 0.985
"""Beyond these the duty is at a stop and does not show what the governor wants."""
AFTER_STOP_S = 0.3
SHORTEST_S = 2.0
LONGEST_S = 5.0
"""Longer stretches are cut: over longer times errors of the set speed and of the sensor add up in the integral."""
EARLIEST_S, LATEST_S = -0.12, 0.2
"""Logged speeds may run ahead of what the governor sees, or lag it; own choice."""
FEED_SHOWS = 1.15
"""Duty ahead of the collective counts as seen when leaving it out leaves so much more over; own choice."""
SHAPE_SHARE = 0.12
"""A lag is taken as a delay; one that smooths instead changes the gains by about this; own estimate."""
BLOCK_S = 2.0
FEWEST_BLOCKS = 8
LEAST_EXPLAINED = 0.3
MOST_HALF_SHARE = 0.5
LEAST_ERROR_SHARE = 0.0015
"""Below this scatter of the speed error a log holds noise alone: no sensor and no hover is quieter; own choice."""
NEEDS = (
    "a flight with a logged duty and clear load changes, the duty free of its stops, 20 rows a second or more; not "
    "where the governor acts ahead of the collective, since the two cannot be parted well"
)
Matrix = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One stretch of free governing. Shapes: all (n,)."""

    time_s: Series
    duty: Series
    error: Series
    collective_rad: Series
    mode: int


@dataclass(frozen=True, kw_only=True)
class Gains:
    """Gain, gain per second and collective feed (per 10 degrees) with their covariance; share explained; lag."""

    answer: Series
    covariance: Matrix
    explained: float
    lag_s: float
    blocks: int


def governor_seen(log: str, found: Measured) -> GovernorSeen:
    """Return the effective gains that a log shows.

    d = d0 + kp e + ki integral e dt + b t, least squares over free governing; b t for a set speed that is read a
    little wrong. The lag of the logged speed is the one that leaves least over. Where the collective shows in the duty
    besides, nothing is told: on simulated flights the gain then came out a fifth too low.
    Valid: a governor that is linear while its duty is free; a derivative part is read as a shorter lag.
    Source: ordinary least squares with errors clustered in blocks of two seconds; any econometrics textbook.
    """
    pieces = pieces_of(found)
    seconds = sum(float(piece.time_s[-1] - piece.time_s[0]) for piece in pieces)
    if seconds < FEWEST_BLOCKS * BLOCK_S:
        return _nothing(log)
    scatter = math.sqrt(float(np.mean(np.concatenate([_centred(piece.error) for piece in pieces]) ** 2)))
    if scatter < LEAST_ERROR_SHARE:
        return _nothing(log)
    ahead, gains = gains_of(pieces), gains_of(without_collective(pieces))
    if 1.0 - gains.explained > FEED_SHOWS * (1.0 - ahead.explained):
        return _nothing(log)
    half = np.sqrt(np.maximum(np.diag(gains.covariance), 0.0)) * student_90(gains.blocks)
    half = np.hypot(half, SHAPE_SHARE * np.abs(gains.answer))
    kp, ki, _ = (float(value) for value in gains.answer)
    good = gains.explained >= LEAST_EXPLAINED and kp > 0.0 and ki > 0.0
    good = good and bool(half[0] <= MOST_HALF_SHARE * kp and half[1] <= MOST_HALF_SHARE * ki)
    ratio_half = math.hypot(ratio_doubt(gains) * student_90(gains.blocks), SHAPE_SHARE)
    time_s = kp / ki
    return GovernorSeen(
        log=log,
        told=good,
        gain=kp,
        gain_interval=_about(kp, half[0]),
        gain_per_s=ki,
        gain_per_s_interval=_about(ki, half[1]),
        integral_time_s=time_s if good else None,
        integral_time_s_interval=(time_s * math.exp(-ratio_half), time_s * math.exp(ratio_half)) if good else None,
        log_lag_s=gains.lag_s,
        explained=gains.explained,
        needs="" if good else NEEDS,
    )


def ratio_doubt(gains: Gains) -> float:
    """Return the standard deviation of the logarithm of gain over gain per second."""
    kp, ki = float(gains.answer[0]), float(gains.answer[1])
    covariance = gains.covariance
    variance = covariance[0, 0] / kp**2 + covariance[1, 1] / ki**2 - 2.0 * covariance[0, 1] / (kp * ki)
    return math.sqrt(abs(float(variance)))


def pieces_of(found: Measured) -> tuple[Piece, ...]:
    """Return the stretches in which the governor had its say."""
    signals = found.signals
    speed = signals.motor_rpm if signals.motor_rpm is not None else signals.speed_rpm
    if speed is None or signals.duty is None:
        return ()
    made = []
    for number, stretch in enumerate(found.governed):
        made += _of_stretch(signals, speed, signals.duty, stretch, number)
    return tuple(made)


def _of_stretch(signals: Signals, speed: Series, duty: Series, stretch: Stretch, number: int) -> list[Piece]:
    if stretch.set_rpm is None or stretch.ramping:
        return []
    whole = signals.within(max(stretch.ready_s, stretch.start_s) + 1.0, stretch.end_s - 0.3)
    free = (duty[whole] > LEAST_DUTY) & (duty[whole] < MOST_DUTY)
    after = signals.samples(AFTER_STOP_S)
    wide = signals.samples(SMOOTH_S)
    made = []
    for begin, stop in true_runs(free):
        first = whole.start + begin + (after if begin else 0)
        last = whole.start + stop - (after if whole.start + stop < whole.stop else 0)
        if last - first < 3 * wide or signals.time_s[last - 1] - signals.time_s[first] < SHORTEST_S:
            continue
        pitch = signals.collective_deg
        cuts = np.linspace(
            first, last, max(1, math.ceil((signals.time_s[last - 1] - signals.time_s[first]) / LONGEST_S)) + 1
        )
        for part in (slice(int(a), int(b)) for a, b in pairwise(cuts)):
            made.append(
                Piece(
                    time_s=signals.time_s[part],
                    duty=duty[part],
                    error=(stretch.set_rpm - speed[part]) / stretch.set_rpm,
                    collective_rad=np.zeros(part.stop - part.start)
                    if pitch is None
                    else np.radians(np.abs(pitch[part])),
                    mode=number,
                )
            )
    return made


def gains_of(pieces: tuple[Piece, ...]) -> Gains:
    """Return the gains at the lag that leaves least over."""
    lags = np.arange(EARLIEST_S, LATEST_S + 1e-9, 0.01)
    left = [float(np.sum(_solved(pieces, float(lag))[1] ** 2)) for lag in lags]
    lag = float(lags[int(np.argmin(left))])
    answer, residual, blocks, design, beside = _solved(pieces, lag)
    bread = np.linalg.pinv(beside.T @ design)
    names = np.unique(blocks)
    meat = np.zeros_like(bread)
    for name in names:
        score = beside[blocks == name].T @ residual[blocks == name]
        meat += np.outer(score, score)
    covariance = bread @ meat @ bread.T * names.size / max(names.size - 1, 1)
    moved = np.concatenate([_centred(_smooth(piece, piece.duty)) for piece in pieces])
    power = float(np.sum(moved**2))
    return Gains(
        answer=answer[:3],
        covariance=covariance[:3, :3],
        explained=1.0 - float(np.sum(residual**2)) / power if power > 0.0 else 0.0,
        lag_s=lag,
        blocks=int(names.size),
    )


def without_collective(pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """Return the same pieces with the collective kept out: what it moves is then left to the integral."""
    return tuple(replace(piece, collective_rad=np.zeros(piece.duty.size)) for piece in pieces)


def _solved(pieces: tuple[Piece, ...], lag_s: float) -> tuple[Series, Series, NDArray[np.int64], Matrix, Matrix]:
    """Return answer, residual, block numbers, design and instruments; what a piece has in common is taken out.

    The instrument of the speed error is that of the rows beside it, whose noise is another: noise makes no bias.
    """
    modes = sorted({piece.mode for piece in pieces})
    rows, others, sides, blocks = [], [], [], []
    count = 0
    for piece in pieces:
        seen = _smooth(piece, piece.error)
        apart = max(1, 2 * _half_width(piece) + 1)
        beside = 0.5 * (_moved(seen, apart) + _moved(seen, -apart))
        error = np.interp(piece.time_s + lag_s, piece.time_s, seen)
        instrument = np.interp(piece.time_s + lag_s, piece.time_s, beside)
        steps = np.diff(piece.time_s)
        total = np.concatenate(([0.0], np.cumsum(0.5 * (error[1:] + error[:-1]) * steps)))
        since = piece.time_s - piece.time_s[0]
        drift = [_centred(since) if piece.mode == mode else np.zeros(since.size) for mode in modes]
        feed = _smooth(piece, piece.collective_rad) / math.radians(10.0)
        rest = [_centred(total), _centred(feed), *drift]
        rows.append(np.column_stack([_centred(error), *rest]))
        others.append(np.column_stack([_centred(instrument), *rest]))
        sides.append(_centred(_smooth(piece, piece.duty)))
        number = (since / BLOCK_S).astype(np.int64)
        blocks.append(count + number)
        count += int(number[-1]) + 1
    design, instruments, side = np.vstack(rows), np.vstack(others), np.concatenate(sides)
    answer = np.linalg.pinv(instruments.T @ design) @ (instruments.T @ side)
    return answer, side - design @ answer, np.concatenate(blocks), design, instruments


def _moved(values: Series, rows: int) -> Series:
    """Return values moved by some rows, the end held. Shapes: (n,) -> (n,)."""
    places = np.clip(np.arange(values.size) + rows, 0, values.size - 1)
    return values[places]


def _half_width(piece: Piece) -> int:
    interval = float(np.median(np.diff(piece.time_s)))
    return max(0, round(0.5 * SMOOTH_S / max(interval, 1e-4) - 0.5))


def _smooth(piece: Piece, values: Series) -> Series:
    """Return values averaged over SMOOTH_S, the ends held. Shapes: (n,) -> (n,)."""
    half = _half_width(piece)
    if half == 0:
        return values
    padded = np.pad(values, half, mode="edge")
    return np.convolve(padded, np.full(2 * half + 1, 1.0 / (2 * half + 1)), mode="valid")


def student_90(blocks: int) -> float:
    """Return the factor of a two-sided 90 % interval for so many independent blocks."""
    from scipy.special import stdtrit

    return float(stdtrit(max(blocks - 4, 1), 0.95))


def _centred(values: Series) -> Series:
    return np.asarray(values - values.mean())


def _about(middle: float, half: float) -> tuple[float, float]:
    return middle - float(half), middle + float(half)


def _nothing(log: str) -> GovernorSeen:
    return GovernorSeen(
        log=log, told=False, gain=None, gain_interval=None, gain_per_s=None, gain_per_s_interval=None,
        integral_time_s=None, integral_time_s_interval=None, log_lag_s=None, explained=None, needs=NEEDS,
    )  # fmt: skip
