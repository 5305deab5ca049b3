"""How high a current may have been behind a sensor that smooths: held against the true current that made it."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.quick_current import SMOOTHED_S, unseen_peak_a
from steadyhead.judge.segments import Stretch
from steadyhead.trace.trace import ColumnRead, Trace
from tests.unit.judge.made_signals import made
from tests.unit.judge.test_telemetry import MACHINE, flight

STEP_S = 0.001
SPOOL = Stretch(kind="quick_spool", start_s=5.0, end_s=7.0, asked_s=4.9)


def sensed(rows_s: float, noise_a: float) -> tuple[np.ndarray, np.ndarray, float]:
    """Return times, a smoothed current with noise, and the highest true current of a restart."""
    time_s = np.arange(0.0, 10.0, STEP_S)
    true = 20.0 + 100.0 * np.exp(-(((time_s - 5.2) / 0.06) ** 2)) * (time_s > 5.0)
    seen = np.empty_like(true)
    now = true[0]
    for k, value in enumerate(true):
        now += STEP_S / SMOOTHED_S * (value - now)
        seen[k] = now
    every = round(rows_s / STEP_S)
    noise = noise_a * np.random.default_rng(7).standard_normal(seen[::every].size)
    return time_s[::every], seen[::every] + noise, float(true.max())


@pytest.mark.parametrize("rows_s", [0.01, 0.02, 0.04])
def test_the_true_peak_lies_between_what_was_seen_and_what_may_be(rows_s: float) -> None:
    time_s, current, true = sensed(rows_s, noise_a=0.3)
    high, at_s = unseen_peak_a(made(time_s, pack_current_a=current), (SPOOL,))
    assert current.max() < 0.9 * true
    assert 0.93 * true < high < 1.25 * true
    assert at_s == pytest.approx(5.2, abs=0.1)


def test_noise_alone_raises_nothing_much() -> None:
    time_s = np.arange(0.0, 10.0, 0.02)
    current = 30.0 + 0.5 * np.random.default_rng(3).standard_normal(time_s.size)
    high, _ = unseen_peak_a(made(time_s, pack_current_a=current), (SPOOL,))
    assert high < 33.0


def test_without_a_quick_restart_there_is_none() -> None:
    time_s, current, _ = sensed(0.02, noise_a=0.3)
    assert unseen_peak_a(made(time_s, pack_current_a=current), ())[0] == 0.0


def test_current_and_cell_carry_the_peak_of_a_restart_that_slow_rows_do_not_show() -> None:
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0, hertz=10.0)
    drawn = np.where(channels["duty"] > 0.1, 40.0, 0.3) + np.where((t > 64.2) & (t < 65.2), 45.0, 0.0)
    drawn[(t > 70.0) & (t < 88.0)] += 15.0 * np.sin(2.0 * np.pi * 0.2 * t[(t > 70.0) & (t < 88.0)])
    channels |= {"pack_current_a": drawn, "pack_voltage_v": 12.0 * 4.0 - 0.03 * drawn}
    column = ColumnRead(channel="duty", heading="duty", confidence="named")
    trace = Trace(source="made", time_s=t, channels=channels, rows_read=t.size, columns=(column,))
    found = {each.check: each for each in judge(MACHINE, trace).checks}
    (_, most_a), (least_v, _) = (found[name].figure_interval for name in ("esc_current", "cell_voltage"))
    assert most_a == pytest.approx(1.5 * 85.0, rel=0.02)
    assert least_v < found["cell_voltage"].figure - 0.9 * 0.03 * 0.5 * 85.0 / 12.0
    assert found["esc_current"].verdict == found["cell_voltage"].verdict == "pass"
