"""Classes G1 to G3 of ISO 8528-5, borders exact: tests/data/governing/governing_iso8528_5_classes.csv.

The standard was not read; the five rows used are those marked read (King and Knight 2003, table 1.1).
A figure on the limit belongs to the class: the limits are "not more than".
"""

import pytest

from steadyhead.judge.classes import CLASSES, governing_class
from steadyhead.words.verdict import Limit, Outcome, Verdict
from tests.governing_rows import governing_rows

ROWS = {
    "droop_percent": "frequency droop (max)",
    "steady_band_full_percent": "steady-state frequency band (max, full width)",
    "rise_percent": "transient rise on loss of rated load (max)",
    "drop_percent": "transient drop on largest permitted load step, from initial frequency (max), besides droop",
    "recovery_s": "frequency recovery time (max)",
}
TABLE = {row["quantity"]: row for row in governing_rows("governing_iso8528_5_classes.csv")}
BORDERS = [(ours, name, float(TABLE[theirs][name])) for ours, theirs in ROWS.items() for name in CLASSES]
HAIR = 1e-6
"""Above the dust of floating-point arithmetic, which counts as on the limit, and far below any measurement."""


def test_only_rows_that_were_read_are_used() -> None:
    assert all(TABLE[row]["certainty"].startswith("read") for row in ROWS.values())


@pytest.mark.parametrize(("quantity", "name", "border"), BORDERS)
def test_a_figure_on_the_border_belongs_to_the_class(quantity: str, name: str, border: float) -> None:
    assert governing_class(quantity, border) == name


@pytest.mark.parametrize(("quantity", "name", "border"), BORDERS)
def test_a_hair_above_the_border_does_not(quantity: str, name: str, border: float) -> None:
    worse = {"G3": "G2", "G2": "G1", "G1": None}[name]
    assert governing_class(quantity, border * (1.0 + HAIR)) == worse


@pytest.mark.parametrize(("quantity", "name", "border"), BORDERS)
def test_a_verdict_passes_on_the_limit_and_fails_above(quantity: str, name: str, border: float) -> None:
    limit = Limit(value=border, unit="%", origin=name)
    assert Verdict.at_most(quantity, border, limit, what=quantity).verdict is Outcome.PASS
    above = border * (1.0 + HAIR)
    assert Verdict.at_most(quantity, above, limit, what=quantity).verdict is Outcome.FAIL
