"""A load from which the head did not come back shows no time of recovery beside that."""

from dataclasses import replace

import pytest

from steadyhead.report.check_tables import event_table
from tests.unit.report.hand_made import judgement


@pytest.mark.parametrize(("recovered", "told"), [(True, "0.7 s"), (False, "–"), (None, "≥ 0.7 s")])
def test_a_recovery_is_told_only_where_the_head_came_back(recovered: bool | None, told: str) -> None:
    log = judgement()
    lost = replace(log, events=tuple(replace(event, recovered=recovered) for event in log.events))
    table = event_table(lost)
    at = [column.title for column in table.columns].index("Recovery")
    assert {row[at].text for row in table.rows} == {told}
