"""The rows of a study as one table."""

from collections.abc import Sequence

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.study.figures import Cells

TROUBLE = "trouble"
"""Column that says why a machine of the study has no figures."""
NOT_FIGURES = ("row", "point", "verdict", "ended", TROUBLE)


def table_of(rows: Sequence[Cells]) -> pl.DataFrame:
    """Return rows as a table; what a row does not have is empty."""
    return pl.DataFrame(rows, infer_schema_length=None)


def put_together(parts: Sequence[pl.DataFrame]) -> pl.DataFrame:
    """Return one table of several, in their order; a column that one of them has not is empty there."""
    return pl.concat(parts, how="diagonal_relaxed")


def known(values: NDArray[np.float64]) -> pl.Series:
    """Return numbers as a column, empty where they are not finite. Shapes: values (n,)."""
    return pl.Series(np.where(np.isfinite(values), values, np.nan)).fill_nan(None)


def figure_names(table: pl.DataFrame) -> list[str]:
    """Return the figures of a study, leaving out what was varied and the verdicts."""
    not_one = ("check ", "drawn ", "set ")
    return [name for name in table.columns if name not in NOT_FIGURES and not name.startswith(not_one)]


def column(table: pl.DataFrame, name: str) -> NDArray[np.float64]:
    """Return one figure of every row; not a number where it is not known.

    Shapes: -> (rows,).
    """
    if name not in table.columns:
        return np.full(table.height, np.nan)
    found: NDArray[np.float64] = table.get_column(name).cast(pl.Float64, strict=False).fill_null(np.nan).to_numpy()
    return found


def words(table: pl.DataFrame, name: str, default: str) -> pl.Series:
    """Return the words of a column, `default` where there are none."""
    if name not in table.columns:
        return pl.Series([default] * table.height, dtype=pl.String)
    return table.get_column(name).cast(pl.String).fill_null(default)
