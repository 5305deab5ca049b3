"""A load from which the head did not come back shows no time of recovery beside that."""

from dataclasses import replace

import pytest

from steadyhead.report.check_tables import MOST_BAIL_OUTS, MOST_ROWS, event_table, log_figures, segment_table
from tests.unit.report.hand_made import judgement


@pytest.mark.parametrize(("recovered", "told"), [(True, "0.7 s"), (False, "–"), (None, "≥ 0.7 s")])
def test_a_recovery_is_told_only_where_the_head_came_back(recovered: bool | None, told: str) -> None:
    log = judgement()
    lost = replace(log, events=tuple(replace(event, recovered=recovered) for event in log.events))
    table = event_table(lost)
    at = [column.title for column in table.columns].index("Recovery")
    assert {row[at].text for row in table.rows} == {told}


def test_of_very_many_loads_and_stretches_those_that_strayed_most_are_shown_and_the_rest_is_said() -> None:
    log = judgement()
    mild, bad = (replace(log.events[0], undershoot_percent=-percent, recovered=True) for percent in (2.0, 30.0))
    lost = replace(mild, recovered=False)
    many = (*(mild,) * 2000, bad, *(mild,) * 1000, lost)
    table = event_table(replace(log, events=many))
    assert len(table.rows) == MOST_ROWS
    assert [row[7].text for row in table.rows].count("no") == 1
    assert sum("30" in row[4].text for row in table.rows) == 1
    assert table.note.startswith(f"Of {len(many)} load changes")
    calm = next(one for one in log.segments if one.kind == "governed")
    stretches = segment_table((*(calm,) * 3000, replace(calm, droop_percent=9.0)), log.log)
    assert len(stretches.rows) == MOST_ROWS
    assert stretches.rows[-1][0].text.startswith("3001 ")
    assert stretches.note.startswith("Of 3001 stretches")
    told = log_figures(replace(log, bail_outs=log.bail_outs[:1] * 900))
    assert sum(words.startswith("Bail-out") for words in told) == MOST_BAIL_OUTS
    assert told[-1].startswith("900 bail-outs in all")


def test_a_log_of_usual_length_is_shown_whole() -> None:
    log = judgement()
    assert len(segment_table(log.segments, log.log).rows) == len(log.segments)
    assert not event_table(log).note
