"""Windows of plain running that show little of a hunting head, or the way to another level that no channel dates."""

from dataclasses import replace

import numpy as np
import pytest

from steadyhead.judge.checks_governing import unless_it_swings
from steadyhead.judge.measured import measured
from steadyhead.judge.owner import owner
from steadyhead.judge.signals import signals
from steadyhead.judge.steady import LEAVING_S, calm_spans
from steadyhead.words.verdict import Outcome, Verdict
from tests.unit.judge.made_signals import governed, made
from tests.unit.judge.test_conformance import machine, trace

HUNTING = "hunting_hover.csv"


@pytest.mark.parametrize(("is_cut", "expected"), [(False, Outcome.PASS), (True, Outcome.UNKNOWN)])
def test_a_hover_duty_of_a_hunting_head_rests_on_enough_of_its_hover(is_cut: bool, expected: Outcome) -> None:
    one = machine(HUNTING)
    cleaned = signals(trace(HUNTING), None)
    assert cleaned is not None
    found = measured(cleaned, owner(one))
    hunts = Verdict(check="no_hunting", verdict=Outcome.FAIL, reason="invented", figure=3.0)
    hover = Verdict(check="hover_duty", verdict=Outcome.PASS, reason="invented", figure=0.7)
    first = next(window for window in found.windows if window.hover)
    few = replace(found, windows=(replace(first, end_s=first.start_s + 3.0),))
    assert unless_it_swings((hunts, hover), few if is_cut else found)[1].verdict is expected


@pytest.mark.parametrize("with_channel", [True, False])
def test_a_level_that_no_channel_dates_is_left_out_before_its_end(with_channel: bool) -> None:
    time_s = np.arange(0.0, 12.0, 0.02)
    speed = np.interp(time_s, [8.8, 10.0], [1800.0, 1500.0])
    channel = {"throttle_percent": np.full_like(time_s, 70.0)} if with_channel else {}
    spans = calm_spans(made(time_s, head_speed_rpm=speed, **channel), governed(0.0, 9.0, 1800.0), ())
    ends = [span.end_s for span in spans]
    assert ends
    assert (max(ends) <= 9.0 - LEAVING_S) or with_channel
