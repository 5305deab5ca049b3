"""The rows of a study: which machine each row is. Row n depends on the seed and on n, never on who works it out."""

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from steadyhead.study.asked import Question, Study
from steadyhead.study.uniforms import uniforms

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
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
    drawn = half_widths(study, first, last).tolist()
    return [
        Row(number=n, point=n // each, half_widths=tuple(row)) for n, row in zip(range(first, last), drawn, strict=True)
    ]


def half_widths(study: Study, first: int, last: int) -> Floats:
    """Return how many half widths each input of rows `first` to before `last` lies off.

    Shapes: -> (rows, inputs).
    """
    inputs, draws = len(study.varied), np.arange(first, last) % rows_of_point(study)
    if study.question is Question.WORST:
        return np.where(draws[:, None] >> np.arange(inputs) & 1, 1.0, -1.0)
    if study.question is Question.SENSITIVITY:
        return normal(mixed(study.seed, draws, inputs))
    return normal(uniforms(study.seed, draws, inputs))


def mixed(seed: int, draws: Whole, count: int) -> Floats:
    """Return the inputs of rows of the design for Sobol indices: A, B, or A with one column from B.

    Rows come in blocks of count + 2: A, B, then A with input 1, 2, ... taken from B.
    Shapes: draws (n,) -> (n, count).
    Source: Saltelli et al., Variance based sensitivity analysis of model output, 2010, table 2, design (b).
    """
    base, place = np.divmod(draws, count + 2)
    both = _sobol_points(seed, int(base.max(initial=0)).bit_length(), 2 * count)[base]
    from_b = (place[:, None] == 1) | (place[:, None] - 2 == np.arange(count))
    return np.where(from_b, both[:, count:], both[:, :count])


@lru_cache(maxsize=4)
def _sobol_points(seed: int, bits: int, count: int) -> Floats:
    """Return the first 2^bits points of the sequence; longer ones begin with the same points.

    Shapes: -> (2^bits, count).
    Source: scipy.stats.qmc.Sobol.
    """
    from scipy.stats import qmc

    points: Floats = qmc.Sobol(count, scramble=True, seed=np.random.default_rng(seed)).random_base2(bits)
    return points


def normal(between: Floats) -> Floats:
    """Return numbers between 0 and 1 as half widths of a normal spread: nine tenths of them lie from -1 to 1.

    Shapes: between (n, inputs) -> (n, inputs).
    """
    from scipy.special import ndtri

    edge = math.ulp(1.0)
    moved: Floats = ndtri(np.clip(between, edge, 1.0 - edge)) / HALF_WIDTH_SIGMAS
    return moved
