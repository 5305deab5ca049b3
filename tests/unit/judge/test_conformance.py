"""Logs against run logics that are right for them, and against some that are not.

The run logic written beside a log is the one its truth file names: here the owner has measured it.
"""

import json
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.given_machine import machine_text
from tests.naive.drive_log import Drive, fly
from tests.recorded import bench, flight, trace_of

FOLDER = Path(__file__).parents[2] / "data" / "logs"
LOGS = sorted(path.name.removesuffix(".truth.json") for path in FOLDER.glob("*.truth.json"))
HEAD_ALONE = "restart_failed.txt"
"""Its log has neither duty nor motor speed: nothing in it shows the motor in throttle hold."""
SETTINGS = {
    "permission": '"idle band"',
    "cleared_after": '"0 s"',
    "counts_spool_up": "false",
    "needs_turning_head": "false",
    "idles_after_running": "true",
    "idles_from_rest": "false",
    "arms_at_low_end": "true",
    "arm_time": '"0 s"',
    "arm_visits": "1",
    "stop_delay": '"0 s"',
}


def truth(log: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((FOLDER / f"{log}.truth.json").read_text("utf-8"))
    return found


def machine(log: str, *, cut_off: float | None = None, start: float | None = None, **changed: str) -> Machine:
    hidden = truth(log)["run_logic_hidden"]
    settings = SETTINGS | {
        "start_delay": f'"{hidden["start_delay_s"]} s"',
        "governed_before": f'"{hidden["qualify_s"]} s"',
        "quick_restart_window": f'"{hidden["arm_s"]} s"',
    }
    settings |= changed
    lines = "".join(f"{key} = {value}\n" for key, value in settings.items() if value)
    channel = (
        f'cut_off = "{hidden["off_percent"] if cut_off is None else cut_off} %"\n'
        f'start = "{hidden["start_percent"] if start is None else start} %"\nhold = "0 %"\n'
    )
    return machine_from_text(
        machine_text(truth(log)["machine_given"]) + f"\n[channel]\n{channel}\n[run_logic]\n{lines}", "owner.toml"
    )


@lru_cache
def trace(log: str) -> Trace:
    plain = machine(log)
    return read_trace(FOLDER / log, gearing=Gearing(plain.gear_ratio, plain.pole_pairs, float(plain.cells)))


def check(machine: Machine, trace: Trace) -> Verdict:
    return next(c for c in judge(machine, trace).checks if c.check == "run_logic_conformance")


@pytest.mark.parametrize("log", LOGS)
def test_every_log_agrees_with_the_run_logic_that_made_it(log: str) -> None:
    found = check(machine(log), trace(log))
    is_shown = log != HEAD_ALONE
    assert found.verdict is (Outcome.PASS if is_shown else Outcome.UNKNOWN), found.reason
    assert found.reason.startswith("as the run logic says" if is_shown else "the starts are as the run logic says")


def test_a_quick_ramp_that_the_logic_never_grants_is_dangerous() -> None:
    found = check(machine("full_flight_good.csv", permission='"none"'), trace("full_flight_good.csv"))
    assert found.verdict is Outcome.FAIL
    assert found.reason.startswith("dangerous: the start at 171.")
    assert "was quick, where the run logic says slow" in found.reason


def test_a_motor_that_does_not_follow_its_logic_is_advised_not_to_fly() -> None:
    judged = judge(machine("full_flight_good.csv", permission='"none"'), trace("full_flight_good.csv"))
    assert any("Do not fly before it is clear why" in line for line in judged.advice)


def test_a_bail_out_that_should_have_been_quick_is_dangerous() -> None:
    found = check(machine("restart_failed.txt", cut_off=3.0), trace("restart_failed.txt"))
    assert found.verdict is Outcome.FAIL
    assert "was slow, where the run logic says quick" in found.reason


def test_a_start_where_the_logic_stays_off_is_dangerous() -> None:
    found = check(machine("bench_three_modes.csv", start=60.0), trace("bench_three_modes.csv"))
    assert found.verdict is Outcome.FAIL
    assert "the motor started from rest" in found.reason
    assert "57.0 %" in found.reason


def test_a_start_before_the_delay_is_over_is_dangerous_and_one_after_it_is_not() -> None:
    early = check(machine("bench_three_modes.csv", start_delay='"2 s"'), trace("bench_three_modes.csv"))
    assert early.reason.startswith("dangerous: the start at 4.4 s came 1.6")
    late = check(machine("coast_down.parquet", start_delay='"0 s"'), trace("coast_down.parquet"))
    assert late.verdict in {Outcome.PASS, Outcome.FAIL}
    assert "dangerous" not in late.reason


def test_a_start_that_never_came_is_told() -> None:
    """The channel asks for running, the motor stays still."""
    time_s = np.arange(0.0, 30.0, 0.02)
    still = np.zeros_like(time_s)
    channels = {"throttle_percent": np.where(time_s > 4.0, 57.0, 0.0), "duty": still, "head_speed_rpm": still}
    made = Trace(source="made", time_s=time_s, channels=channels, rows_read=time_s.size, row=np.arange(time_s.size))
    found = check(machine("bench_three_modes.csv"), made)
    assert found.verdict is Outcome.FAIL
    assert "the motor starts at 4.4 s, and it did not" in found.reason


def test_a_quick_start_out_of_hold_is_dangerous() -> None:
    story = bench((4.0, 57.0), (30.0, 0.0), (33.0, 57.0), length_s=60.0)
    recorded = trace_of(fly(Drive(blades=False, hold_clears=False), story))
    found = check(machine("bench_three_modes.csv"), recorded)
    assert found.verdict is Outcome.FAIL
    assert "was quick, where the run logic says slow" in found.reason


def test_a_plain_flight_agrees_with_its_run_logic() -> None:
    recorded = trace_of(fly(Drive(), flight()))
    found = check(machine("bench_three_modes.csv"), recorded)
    assert found.verdict is Outcome.PASS, found.reason


@pytest.mark.parametrize("key", ["permission", "start_delay", "governed_before", "arms_at_low_end", "idles_from_rest"])
def test_an_unknown_setting_never_passes(key: str) -> None:
    found = check(machine("bench_three_modes.csv", **{key: ""}), trace("bench_three_modes.csv"))
    assert found.verdict is Outcome.UNKNOWN
    assert f"run_logic.{key}" in found.needs


def test_a_channel_within_jitter_of_the_threshold_is_unknown() -> None:
    found = check(machine("bench_three_modes.csv", start=57.1), trace("bench_three_modes.csv"))
    assert found.verdict is Outcome.UNKNOWN
    assert "jitter decides" in found.reason


def test_without_a_channel_nothing_is_said() -> None:
    recorded = trace_of(fly(Drive(), flight()), keep=("head", "motor", "duty", "volt", "amp"))
    assert check(machine("bench_three_modes.csv"), recorded).verdict is Outcome.UNKNOWN
