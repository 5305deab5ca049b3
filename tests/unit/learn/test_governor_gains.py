"""Effective gains from a loop made by hand: a plain PI law on a plain rotor, nothing of ours."""

import numpy as np
import pytest

from steadyhead.judge.measured import measured
from steadyhead.judge.owner import owner
from steadyhead.judge.signals import signals
from steadyhead.learn.governor_gains import governor_seen
from steadyhead.learn.result import GovernorSeen
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.trace.trace import Trace

MACHINE = read_machine(bundled("fox600"))
STEP_S, ROW = 0.004, 5
SET_RPM = 2000.0


def flight(gain: float, per_s: float, *, delay_s: float = 0.0, quiet: bool = False, seed: int = 3) -> Trace:
    """Return a hover with load changes under a PI governor: dw/dt = 12 (d - load) in set speeds a second."""
    rng = np.random.default_rng(seed)
    steps = round(80.0 / STEP_S)
    time_s = np.arange(steps) * STEP_S
    running = time_s >= 3.0
    load = 0.6 + np.where((time_s > 20.0) & (time_s % 6.0 < 2.5) & (not quiet), 0.12, 0.0)
    speed, integral, ages = np.zeros(steps), 0.0, round(delay_s / STEP_S)
    duty = np.zeros(steps)
    now = 0.0
    for k in range(steps):
        speed[k] = now
        if not running[k]:
            continue
        wanted = min((time_s[k] - 3.0) / 12.0, 1.0)
        error = wanted - speed[max(k - ages, 0)]
        integral += per_s * error * STEP_S
        duty[k] = min(max(gain * error + integral, 0.0), 1.0)
        now += STEP_S * 1.5 * (duty[k] - load[k] * now)
    rows = slice(None, None, ROW)
    count = time_s[rows].size
    return Trace(
        source="made", time_s=time_s[rows], rows_read=count,
        channels={
            "head_speed_rpm": SET_RPM * speed[rows] + 1.0 * rng.normal(size=count),
            "throttle_percent": np.where(running[rows], 70.0, 0.0),
            "duty": np.round(duty[rows], 3),
        },
    )  # fmt: skip


def seen(trace: Trace) -> GovernorSeen:
    cleaned = signals(trace, 12.0)
    assert cleaned is not None
    return governor_seen("made", measured(cleaned, owner(MACHINE)))


@pytest.mark.parametrize(("gain", "per_s"), [(1.2, 3.0), (0.8, 2.5), (2.0, 5.0)])
def test_the_gains_of_a_known_loop_come_out(gain: float, per_s: float) -> None:
    got = seen(flight(gain, per_s))
    assert got.told
    assert got.gain == pytest.approx(gain, rel=0.1)
    assert got.gain_per_s == pytest.approx(per_s, rel=0.1)
    assert got.gain_interval is not None
    assert got.gain_interval[0] <= gain <= got.gain_interval[1]
    assert got.integral_time_s_interval is not None
    assert got.integral_time_s_interval[0] <= gain / per_s <= got.integral_time_s_interval[1]


def test_a_quiet_hover_tells_no_gains() -> None:
    got = seen(flight(1.2, 3.0, quiet=True))
    assert not got.told
    assert "load changes" in got.needs


def test_a_log_without_duty_tells_no_gains() -> None:
    trace = flight(1.2, 3.0)
    channels = {name: values for name, values in trace.channels.items() if name != "duty"}
    got = seen(Trace(source="made", time_s=trace.time_s, rows_read=trace.rows_read, channels=channels))
    assert not got.told
    assert got.gain is None
