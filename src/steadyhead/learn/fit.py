"""The joint fit: least squares over every window of every log, with weights that count only what is independent."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from steadyhead.learn.model import Block, Numbers
from steadyhead.learn.unknowns import NINETY, Unknown
from steadyhead.trace.trace import Series

ROUNDS = 4
OUTLIER_SD = 5.0
MOST_TRIALS = 60
AT_LIMIT = 1e-3
STEP_SD = 1e-4
"""Step of the slopes, in what was known before."""
Matrix = NDArray[np.float64]


Balance = Callable[[Numbers], list[Block]]
"""Says what is left over with some numbers."""


class Balanced(Protocol):
    """Anything with balances to keep; a log is one."""

    def balances(self) -> Sequence[Balance]:
        """Return the balances, each by itself, so that a number moves only those that read it."""


class Reading(dict[str, float]):
    """Numbers that remember which of them were read."""

    def __init__(self, numbers: Numbers) -> None:
        """Take the numbers; none is read yet."""
        super().__init__(numbers)
        self.read: set[str] = set()

    def __getitem__(self, name: str) -> float:
        """Return a number and remember its name."""
        self.read.add(name)
        return super().__getitem__(name)


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """Where the fit came to. `fitted` and `covariance` are in what is fitted: logarithms where the unknown says so."""

    unknowns: tuple[Unknown, ...]
    fitted: Series
    covariance: Matrix
    converged: bool
    blocks: tuple[Block, ...]
    independent: dict[str, float]
    """How many of each block's windows count as independent."""
    left: Callable[[Series], Series]
    """What is left over, weighed, with any numbers in what is fitted; what was known before stands last."""
    slopes: Callable[[Series], Matrix]
    """How `left` moves with each unknown there."""
    slopes_here: Matrix
    """The same at the answer."""

    def at(self, name: str) -> int:
        """Return the place of an unknown in the arrays."""
        return next(k for k, unknown in enumerate(self.unknowns) if unknown.name == name)

    def numbers(self) -> Numbers:
        """Return the best numbers by name, SI."""
        return numbers_of(self.unknowns, self.fitted)

    def half(self, name: str) -> float:
        """Return the half width of the 90 % interval in what is fitted."""
        place = self.at(name)
        return NINETY * float(np.sqrt(self.covariance[place, place]))

    def interval(self, name: str) -> tuple[float, float]:
        """Return the 90 % interval of an unknown, SI."""
        place = self.at(name)
        unknown, middle, half = self.unknowns[place], float(self.fitted[place]), self.half(name)
        return unknown.value(middle - half), unknown.value(middle + half)

    def at_limit(self, name: str) -> bool:
        """Whether the fit ran to the end of what the machine file would take."""
        unknown, value = self.unknowns[self.at(name)], float(self.fitted[self.at(name)])
        return min(value - unknown.low, unknown.high - value) <= AT_LIMIT * (unknown.high - unknown.low)

    def alike(self, one: str, other: str) -> float:
        """Return the correlation of two unknowns, -1 to 1."""
        a, b = self.at(one), self.at(other)
        scale = np.sqrt(self.covariance[a, a] * self.covariance[b, b])
        return float(self.covariance[a, b] / scale) if scale > 0.0 else 0.0

    def figure(self, of: Callable[[Numbers], float]) -> tuple[float, float]:
        """Return a figure of the numbers and the half width of its 90 % interval, to first order."""
        best = of(self.numbers())
        slopes = np.empty(self.fitted.size)
        for k in range(self.fitted.size):
            step = 0.1 * float(np.sqrt(self.covariance[k, k])) or 1e-9
            moved = self.fitted.copy()
            moved[k] += step
            slopes[k] = (of(numbers_of(self.unknowns, moved)) - best) / step
        return best, NINETY * float(np.sqrt(slopes @ self.covariance @ slopes))

    def told_in(self, name: str) -> dict[str, float]:
        """Return how closely the windows of each log hold an unknown, all others known: one over its variance, by log.

        Valid: blocks whose name ends with the number of their log.
        """
        place, told, first = self.at(name), dict[str, float](), 0
        for block in self.blocks:
            column = self.slopes_here[first : first + block.left.size, place]
            number = block.name.rpartition(" ")[2]
            told[number] = told.get(number, 0.0) + float(column @ column)
            first += block.left.size
        return told

    def owed(self, name: str) -> dict[str, float]:
        """Return which share of an unknown's variance comes from what was known before of each other one."""
        place = self.at(name)
        row = self.covariance[place]
        variance = float(row[place])
        return {unknown.name: float(row[k] ** 2 / unknown.sd**2 / variance) for k, unknown in enumerate(self.unknowns)}


def numbers_of(unknowns: Sequence[Unknown], fitted: Series) -> Numbers:
    """Return the numbers by name, SI."""
    return {unknown.name: unknown.value(float(value)) for unknown, value in zip(unknowns, fitted, strict=True)}


def independent_share(left: Series) -> float:
    """Return one over the sum of the autocorrelations up to the first that is not above zero: 1 for white noise.

    n_eff / n = 1 / (1 + 2 sum r_k)
    Shapes: left (n,) -> scalar.
    Source: effective sample size of a correlated series; any time series textbook.
    """
    centred = left - left.mean()
    power = float(centred @ centred)
    if power <= 0.0 or left.size < 8:
        return 1.0
    total = 0.0
    for lag in range(1, left.size // 3):
        r = float(centred[lag:] @ centred[:-lag]) / power
        if r <= 0.0:
            break
        total += r
    return 1.0 / (1.0 + 2.0 * total)


def one_thread() -> threadpool_limits:
    """Return a context in which linear algebra keeps to one thread: beside these small matrices others only wait."""
    return threadpool_limits(1, user_api="blas")


def fit(models: Sequence[Balanced], unknowns: Sequence[Unknown], *, rounds: int = ROUNDS) -> Fitted:
    """Return the numbers that leave least over in all logs together, held loosely to what was known before.

    Each block is divided by its own scatter and by the root of how often its windows repeat each other, worked out
    anew in each round; windows beyond five times the scatter are left out.
    Valid: the covariance is that of the linear problem at the answer; `profile.ends` looks farther.
    Source: nonlinear least squares with prior terms; any statistics textbook.
    """
    from scipy.optimize import least_squares

    kept = tuple(unknowns)
    centre = np.array([unknown.centre for unknown in kept])
    sd = np.array([unknown.sd for unknown in kept])
    bounds = np.array([unknown.low for unknown in kept]), np.array([unknown.high for unknown in kept])
    now = np.clip(centre, bounds[0] + 1e-9, bounds[1] - 1e-9)
    weights = _weights(_blocks(models, numbers_of(kept, now)))
    step = STEP_SD * np.minimum(sd, 0.5)
    answer = None
    for _ in range(rounds):

        def left(x: Series, weights: list[Series] = weights) -> Series:
            blocks = _blocks(models, numbers_of(kept, x))
            parts = [weight * block.left for weight, block in zip(weights, blocks, strict=True)]
            return np.concatenate([*parts, (x - centre) / sd])

        def slopes(x: Series, weights: list[Series] = weights) -> Matrix:
            steps = np.where(x + step < bounds[1], step, -step)
            return np.vstack([_slopes(models, kept, x, steps, weights), np.diag(1.0 / sd)])

        with one_thread():
            answer = least_squares(
                left, now, slopes, bounds=bounds, x_scale=sd, max_nfev=MOST_TRIALS, ftol=1e-7, xtol=1e-7
            )
        now = np.asarray(answer.x, dtype=np.float64)
        blocks = _blocks(models, numbers_of(kept, now))
        weights = _weights(blocks)
    if answer is None:
        raise ValueError("a fit needs at least one round")
    scaled = np.asarray(answer.jac, dtype=np.float64) * sd
    covariance = np.linalg.inv(scaled.T @ scaled) * np.outer(sd, sd)
    return Fitted(
        unknowns=kept,
        fitted=now,
        covariance=covariance,
        converged=bool(answer.status > 0),
        blocks=tuple(blocks),
        independent={block.name: independent_share(block.left) * block.left.size for block in blocks},
        left=left,
        slopes=slopes,
        slopes_here=np.asarray(answer.jac, dtype=np.float64),
    )


def _blocks(models: Sequence[Balanced], numbers: Numbers) -> list[Block]:
    return [block for model in models for balance in model.balances() for block in balance(numbers)]


def _slopes(
    models: Sequence[Balanced], unknowns: tuple[Unknown, ...], x: Series, steps: Series, weights: Sequence[Series]
) -> Matrix:
    """Return how the weighted windows move with each unknown; a balance is worked out for what it reads alone.

    Shapes: x, steps (n,) -> (windows, n).
    """
    made, used = [], 0
    for balance in (balance for model in models for balance in model.balances()):
        numbers = Reading(numbers_of(unknowns, x))
        base = balance(numbers)
        weight = [*weights[used : used + len(base)]]
        used += len(base)
        slopes = np.zeros((sum(block.left.size for block in base), x.size))
        for k, unknown in enumerate(unknowns):
            if unknown.name not in numbers.read:
                continue
            moved = balance({**numbers, unknown.name: unknown.value(float(x[k] + steps[k]))})
            parts = [w * (b.left - a.left) for w, a, b in zip(weight, base, moved, strict=True)]
            slopes[:, k] = np.concatenate(parts) / steps[k] if parts else 0.0
        made.append(slopes)
    return np.vstack(made) if made else np.zeros((0, x.size))


def _weights(blocks: Sequence[Block]) -> list[Series]:
    """Return the weight of every window. Shapes: one (n,) for each block."""
    made = []
    for block in blocks:
        middle = float(np.median(block.left))
        scatter = max(1.4826 * float(np.median(np.abs(block.left - middle))), block.floor)
        inside = np.abs(block.left - middle) <= OUTLIER_SD * scatter
        share = independent_share(block.left[inside]) if int(inside.sum()) >= 8 else 1.0
        made.append(np.where(inside, np.sqrt(share / _shared(block, inside, share / scatter**2)) / scatter, 0.0))
    return made


def _shared(block: Block, inside: NDArray[np.bool_], told: float) -> Series:
    """Return by how much windows that share one error know less than their count says, 1 or more. Shapes: -> (n,).

    1 + n told c2: a group of n windows then knows at most 1 / c2, one error of deviation c.
    """
    if block.alike is None or block.common is None:
        return np.ones(block.left.size)
    _, place, count = np.unique(
        np.where(inside, block.alike, block.alike.min() - 1), return_inverse=True, return_counts=True
    )
    return np.asarray(1.0 + count[place] * told * block.common**2)
