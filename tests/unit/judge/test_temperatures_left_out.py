"""A limit of the machine file whose temperature may stand in a column that was left out makes the check unknown."""

import dataclasses

from steadyhead.judge.judging import judge
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.trace import ColumnRead
from steadyhead.words.verdict import Outcome
from tests.given_machine import machine_text
from tests.property.test_judge_any_trace import GIVEN, MACHINE
from tests.unit.judge.test_slip import flown

LEFT = ColumnRead(channel="controller_temperature_c", heading="MCU temp", confidence="left out")
LIMITED = machine_from_text(
    machine_text(GIVEN).replace("[controller]", '[controller]\ntemperature_max = "60 degC"'), "any.toml"
)


def test_a_limit_and_a_column_left_out_make_the_check_unknown() -> None:
    trace = dataclasses.replace(flown(), unread=(LEFT,))
    told = {check.check: check for check in judge(LIMITED, trace).checks}
    assert told["controller_temperature"].verdict is Outcome.UNKNOWN
    assert "MCU temp" in told["controller_temperature"].reason


def test_without_a_limit_or_such_a_column_nothing_is_said() -> None:
    for machine, trace in ((MACHINE, dataclasses.replace(flown(), unread=(LEFT,))), (LIMITED, flown())):
        assert "controller_temperature" not in {check.check for check in judge(machine, trace).checks}
