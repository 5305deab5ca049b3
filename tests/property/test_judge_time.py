"""A judgement does not depend on when the log began or, within its sampling, on how often it was written."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.trace.trace import Trace
from tests.naive.drive_log import Drive, Recording, fly
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import flight, trace_of


@pytest.fixture(scope="module")
def recording() -> Recording:
    return fly(Drive(), flight())


@pytest.mark.parametrize("shift_s", [0.5, 17.25, 4096.0])
def test_a_later_clock_moves_every_time_and_no_figure(recording: Recording, shift_s: float) -> None:
    trace = trace_of(recording, hertz=25.0)
    here, there = judge(MACHINE, trace), judge(MACHINE, dataclasses.replace(trace, time_s=trace.time_s + shift_s))
    for one, other in zip(here.segments, there.segments, strict=True):
        assert one.kind == other.kind
        assert other.start_s - one.start_s == pytest.approx(shift_s, abs=1e-6)
    assert [c.verdict for c in here.checks] == [c.verdict for c in there.checks]
    figures = [(c.figure, d.figure) for c, d in zip(here.checks, there.checks, strict=True) if c.figure is not None]
    for one_figure, other_figure in figures:
        assert other_figure == pytest.approx(one_figure, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("hertz", [20.0, 25.0, 40.0, 100.0])
def test_sampling_rate_changes_no_verdict_and_hardly_a_segment(recording: Recording, hertz: float) -> None:
    fine, coarse = judge(MACHINE, trace_of(recording, hertz=200.0)), judge(MACHINE, trace_of(recording, hertz=hertz))
    assert [s.kind for s in fine.segments] == [s.kind for s in coarse.segments]
    for one, other in zip(fine.segments, coarse.segments, strict=True):
        assert other.start_s == pytest.approx(one.start_s, abs=0.15 + 1.0 / hertz)
        if one.set_rpm is not None and other.set_rpm is not None:
            assert other.set_rpm == pytest.approx(one.set_rpm, rel=0.001)
    assert _verdicts(fine) == _verdicts(coarse)


def test_lost_rows_and_irregular_stamps_change_no_verdict(recording: Recording) -> None:
    trace = trace_of(recording, hertz=50.0)
    rng = np.random.default_rng(5)
    keep = np.flatnonzero(rng.random(trace.time_s.size) > 0.05)
    stamps = trace.time_s[keep] + rng.uniform(-0.004, 0.004, keep.size)
    stamps -= stamps[0]
    channels = {name: values[keep] for name, values in trace.channels.items()}
    ragged = Trace(source="ragged", time_s=stamps, channels=channels, rows_read=keep.size)
    assert _verdicts(judge(MACHINE, ragged)) == _verdicts(judge(MACHINE, trace))


def test_single_glitches_change_no_verdict(recording: Recording) -> None:
    trace = trace_of(recording, hertz=50.0)
    rng = np.random.default_rng(6)
    speed = trace.channels["head_speed_rpm"].copy()
    for k in rng.integers(1000, speed.size - 3000, 25):
        speed[k] = rng.choice((0.0, 2.0 * speed[k]))
    glitchy = dataclasses.replace(trace, channels={**trace.channels, "head_speed_rpm": speed})
    judged = judge(MACHINE, glitchy)
    assert _verdicts(judged) == _verdicts(judge(MACHINE, trace))
    assert any("impossible values in head_speed_rpm" in w for w in judged.warnings)


def _verdicts(judged: Judgement) -> dict[str, str]:
    return {c.check: str(c.verdict) for c in judged.checks}
