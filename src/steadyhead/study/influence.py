"""Sobol indices: how much of the variance of a figure each input carries, by itself and with the others."""

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.study.asked import Study
from steadyhead.study.result import Influence
from steadyhead.study.table import column
from steadyhead.words.errors import InputError

RESAMPLES = 400
Floats = NDArray[np.float64]


def influences(study: Study, table: pl.DataFrame) -> tuple[Influence, ...]:
    """Return the indices of every spread input on the study's figure, the greatest total first.

    Raises: InputError when the figure is not known on every machine: indices need all of them.
    """
    inputs = len(study.varied)
    values = column(table, study.figure)
    if not np.isfinite(values).all():
        missing = int(np.sum(~np.isfinite(values)))
        raise InputError(
            f"{study.source}, figure", read=f"{study.figure}, not known on {missing} of {values.size} machines",
            right="a figure that every machine has",
        )  # fmt: skip
    blocks = values.reshape(study.draws, inputs + 2)
    first, total = indices(blocks)
    ends = spread_of_indices(blocks, study.seed)
    told = [
        Influence(
            key=varied.key,
            first_order=float(first[number]),
            first_order_interval=(float(ends[0, 0, number]), float(ends[0, 1, number])),
            total=float(total[number]),
            total_interval=(float(ends[1, 0, number]), float(ends[1, 1, number])),
        )
        for number, varied in enumerate(study.varied)
    ]
    return tuple(sorted(told, key=lambda one: -one.total))


def indices(blocks: Floats) -> tuple[Floats, Floats]:
    """Return first-order and total indices of every input.

    Shapes: blocks (n, inputs + 2) as `design.mixed` orders them -> (inputs,), (inputs,). n is a power of two.
    Source: Saltelli et al. 2010 (first order) and Jansen 1999 (total), as scipy.stats.sobol_indices has them.
    """
    from scipy.stats import sobol_indices

    a, b, mixed = blocks[:, 0], blocks[:, 1], blocks[:, 2:]
    answers = {"f_A": a[None, :], "f_B": b[None, :], "f_AB": mixed.T[:, None, :]}
    found = sobol_indices(func=answers, n=blocks.shape[0])
    return np.atleast_1d(found.first_order), np.atleast_1d(found.total_order)


def spread_of_indices(blocks: Floats, seed: int) -> Floats:
    """Return the 90 % intervals of both indices, from blocks drawn again and again out of those there are.

    Shapes: blocks (n, inputs + 2) -> (2, 2, inputs): first order and total, low and high.
    Source: percentile bootstrap, Efron and Tibshirani 1993.
    """
    random, count = np.random.default_rng(seed), blocks.shape[0]
    a, b, mixed = np.split(blocks - blocks[:, :2].mean(), (1, 2), axis=1)
    parts = np.hstack((b * (mixed - a), mixed - a, (a - mixed) ** 2, a + b, a * a + b * b))
    again = []
    for _ in range(RESAMPLES):
        times = np.bincount(random.integers(0, count, count), minlength=count)
        again.append(_indices_of(times @ parts / count))
    ends: Floats = np.moveaxis(np.quantile(np.array(again), (0.05, 0.95), axis=0), 0, 1)
    return ends


def _indices_of(means: Floats) -> tuple[Floats, Floats]:
    """Return the indices as `indices` does, from the means of their parts.

    Shapes: means (3 inputs + 2,) -> (inputs,), (inputs,).
    """
    crossed, change, squared = means[:-2].reshape(3, -1)
    middle, square = 0.5 * means[-2:]
    variance = square - middle * middle
    return (crossed - middle * change) / variance, 0.5 * squared / variance
