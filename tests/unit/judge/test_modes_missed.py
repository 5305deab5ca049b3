"""A speed off by one large factor in every flight mode passes nothing that rests on it, unless it is confirmed."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.given_machine import machine_text
from tests.property.test_judge_any_trace import GIVEN
from tests.unit.judge.test_slip import flown

HELD_RPM = {57.0: 1730.0, 70.0: 1990.0}
"""What the invented flight holds at each value of its throttle channel."""


def meaning(times: float, other: float | None = None) -> Machine:
    """Return the machine whose flight modes mean so many times what the flight holds."""
    shares = (times, times if other is None else other)
    modes = "".join(
        f'\n[[flight_mode]]\nname = "at {percent:.0f}"\nchannel = "{percent} %"\nhead_speed = "{share * rpm:.0f} rpm"\n'
        for (percent, rpm), share in zip(HELD_RPM.items(), shares, strict=True)
    )
    return machine_from_text(machine_text(GIVEN) + modes, "any.toml")


def without(*gone: str) -> Trace:
    """Return the flight less some channels."""
    trace = flown()
    kept = {name: values for name, values in trace.channels.items() if name not in gone}
    return dataclasses.replace(trace, channels=kept)


def outcome(machine: Machine, trace: Trace, check: str = "tip_speed") -> Outcome:
    return {one.check: one.verdict for one in judge(machine, trace).checks}[check]


ONLY_HEAD = ("motor_side_speed_rpm", "duty")
ONLY_MOTOR = ("head_speed_rpm", "duty")


@pytest.mark.parametrize("times", [2.0, 0.6])
@pytest.mark.parametrize("gone", [ONLY_HEAD, ONLY_MOTOR])
def test_one_large_factor_in_every_flight_mode_passes_no_tip_speed(times: float, gone: tuple[str, ...]) -> None:
    assert outcome(meaning(1.0), without(*gone)) is Outcome.PASS
    assert outcome(meaning(times), without(*gone)) is Outcome.UNKNOWN


@pytest.mark.parametrize("gone", [(), ("duty",), ("motor_side_speed_rpm",)], ids=["all", "both speeds", "duty"])
def test_a_speed_that_another_channel_confirms_is_believed(gone: tuple[str, ...]) -> None:
    assert outcome(meaning(2.0), without(*gone)) is Outcome.PASS


@pytest.mark.parametrize(("one", "other"), [(0.9, 0.9), (2.0, 1.4)], ids=["a small factor", "two factors"])
def test_flight_modes_that_were_set_wrong_are_no_wrong_speed(one: float, other: float) -> None:
    assert outcome(meaning(one, other), without(*ONLY_HEAD)) is Outcome.PASS


def test_a_duty_worked_out_from_such_a_speed_neither_passes_nor_fails() -> None:
    trace = without(*ONLY_MOTOR)
    motor = 0.5 * trace.channels["motor_side_speed_rpm"]
    halved = dataclasses.replace(trace, channels={**trace.channels, "motor_side_speed_rpm": motor})
    assert outcome(meaning(1.0), halved, "hover_duty") is Outcome.UNKNOWN
    assert np.isfinite(motor).any()
