"""A verdict on a page names the log that it is about."""

from steadyhead.web.charts import headline
from tests.unit.report import hand_made


def test_the_verdict_above_a_chart_names_its_file() -> None:
    assert headline(hand_made.judgement("formula_cells.csv")).startswith("formula_cells.csv: ")
