"""The rows of a study: which machine each row is. Row n depends on the seed and on n, never on who works it out."""

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from steadyhead.study.asked import Question, Study

Floats = NDArray[np.float64]
HALF_WIDTH_SIGMAS = 1.6448536269514722
"""Standard deviations in the half width of a 90 % interval of a normal spread."""


@dataclass(frozen=True, kw_only=True)
class Row:
    """One machine to be worked out."""

    number: int
    point: int
    """Number of the point of the grid, from 0."""
    half_widths: tuple[float, ...]
    """How many half widths each varied input lies off, in the order of the study."""


def points(study: Study) -> list[tuple[float | str, ...]]:
    """Return every combination of the swept values, the last key running fastest."""
    return list(product(*(swept.values for swept in study.swept)))


def rows_of_point(study: Study) -> int:
    """Return how many machines stand at each point of the grid."""
    inputs = len(study.varied)
    if study.question is Question.WORST:
        return 1 << inputs
    if study.question is Question.SENSITIVITY:
        return study.draws * (inputs + 2)
    return study.draws if inputs else 1


def size(study: Study) -> int:
    """Return how many rows the study has."""
    return len(points(study)) * rows_of_point(study)


def rows(study: Study, first: int, last: int) -> list[Row]:
    """Return rows `first` to before `last`; every point of the grid sees the same draws, so points compare well."""
    each = rows_of_point(study)
    return [
        Row(number=n, point=n // each, half_widths=tuple(_half_widths(study, n % each))) for n in range(first, last)
    ]


def _half_widths(study: Study, draw: int) -> Floats:
    inputs = len(study.varied)
    if study.question is Question.WORST:
        return np.array([1.0 if draw >> bit & 1 else -1.0 for bit in range(inputs)])
    if study.question is Question.SENSITIVITY:
        return normal(mixed(study.seed, draw, inputs))
    return normal(uniform(study.seed, draw, inputs))


def uniform(seed: int, draw: int, count: int) -> Floats:
    """Return `count` numbers between 0 and 1 that depend on seed and draw alone.

    Shapes: -> (count,).
    Source: counter-based Philox generator of numpy, after Salmon et al., Parallel Random Numbers: As Easy as 1, 2, 3,
    2011.
    """
    return np.random.Generator(np.random.Philox(key=[seed, draw])).random(count)


def mixed(seed: int, draw: int, count: int) -> Floats:
    """Return the inputs of one row of the design for Sobol indices: A, B, or A with one column from B.

    Rows come in blocks of count + 2: A, B, then A with input 1, 2, ... taken from B.
    Shapes: -> (count,).
    Source: Saltelli et al., Variance based sensitivity analysis of model output, 2010, table 2, design (b).
    """
    base, place = divmod(draw, count + 2)
    both = sobol_point(seed, base, 2 * count)
    a, b = both[:count], both[count:]
    if place < 2:
        return b if place else a
    a = a.copy()
    a[place - 2] = b[place - 2]
    return a


def sobol_point(seed: int, number: int, count: int) -> Floats:
    """Return one point of the scrambled Sobol sequence, each number between 0 and 1.

    Shapes: -> (count,).
    Source: scipy.stats.qmc.Sobol.
    """
    found: Floats = _sobol_points(seed, number.bit_length(), count)[number]
    return found


@lru_cache(maxsize=4)
def _sobol_points(seed: int, bits: int, count: int) -> Floats:
    """Return the first 2^bits points of the sequence; longer ones begin with the same points.

    Shapes: -> (2^bits, count).
    """
    from scipy.stats import qmc

    points: Floats = qmc.Sobol(count, scramble=True, seed=np.random.default_rng(seed)).random_base2(bits)
    return points


def normal(between: Floats) -> Floats:
    """Return numbers between 0 and 1 as half widths of a normal spread: nine tenths of them lie from -1 to 1.

    Shapes: between (n,) -> (n,).
    """
    from scipy.special import ndtri

    edge = math.ulp(1.0)
    moved: Floats = ndtri(np.clip(between, edge, 1.0 - edge)) / HALF_WIDTH_SIGMAS
    return moved
