"""A log that ends soon after the lift-off shows no climb-out."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.naive.drive_log import Drive, fly
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import flight, trace_of

LIFT_OFF_S = 28.0


@pytest.fixture(scope="module")
def whole() -> Trace:
    return trace_of(fly(Drive(), flight()))


def cut(trace: Trace, end_s: float, without: tuple[str, ...] = ()) -> Trace:
    keep = trace.time_s < end_s
    channels = {name: values[keep] for name, values in trace.channels.items() if name not in without}
    return dataclasses.replace(
        trace, time_s=trace.time_s[keep], channels=channels, rows_read=int(keep.sum()), row=np.arange(int(keep.sum()))
    )


@pytest.mark.parametrize("without", [(), ("height_m",), ("collective_deg",)])
@pytest.mark.parametrize("after_s", [1.5, 2.5, 4.0])
def test_a_lift_off_at_the_end_of_a_log_is_no_climb_out(whole: Trace, after_s: float, without: tuple[str, ...]) -> None:
    told = {c.check: c.verdict for c in judge(MACHINE, cut(whole, LIFT_OFF_S + after_s, without)).checks}
    assert Outcome.PASS not in (told["climb_droop"], told["recovery"], told["duty_margin"])


@pytest.mark.parametrize("without", [(), ("height_m",), ("collective_deg",)])
def test_a_climb_out_from_hover_is_still_one(whole: Trace, without: tuple[str, ...]) -> None:
    climbs = [e for e in judge(MACHINE, cut(whole, 60.0, without)).events if e.kind == "climb"]
    assert len(climbs) == 1
    assert climbs[0].start_s == pytest.approx(50.0, abs=0.3)
