"""The development logs with channels taken away or rows thinned out: less is known, but nothing becomes wrong."""

import dataclasses
from collections.abc import Callable

import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.given_machine import machine_from
from tests.unit.judge.test_logs import LOGS, judged, truth

LOADS = ("collective_deg", "collective_percent")
AIR = ("height_m", "climb_speed_m_s")
SPEEDS = ("head_speed_rpm", "motor_side_speed_rpm")
CUTS: dict[str, tuple[str, ...]] = {
    "duty": ("duty",),
    "height": AIR,
    "collective": LOADS,
    "height and collective": AIR + LOADS,
    "height, collective and duty": (*AIR, *LOADS, "duty"),
    "current": ("pack_current_a",),
    "current and collective": ("pack_current_a", *LOADS),
    "throttle": ("throttle_percent",),
    "voltage": ("pack_voltage_v", "lowest_cell_v"),
    "speed": SPEEDS,
    "speed and duty": (*SPEEDS, "duty"),
    "throttle and duty": ("throttle_percent", "duty"),
    "all but speed and throttle": (*AIR, *LOADS, "duty", "pack_current_a", "pack_voltage_v", "lowest_cell_v"),
}


def without(names: tuple[str, ...]) -> Callable[[Trace], Trace]:
    return lambda trace: dataclasses.replace(
        trace, channels={name: values for name, values in trace.channels.items() if name not in names}
    )


def thinned(hertz: float) -> Callable[[Trace], Trace]:
    def thin(trace: Trace) -> Trace:
        every = max(1, round((trace.time_s.size - 1) / trace.duration_s / hertz))
        channels = {name: values[::every] for name, values in trace.channels.items()}
        return dataclasses.replace(trace, time_s=trace.time_s[::every], channels=channels)

    return thin


CHANGES = {f"without {name}": without(names) for name, names in CUTS.items()}
CHANGES |= {f"at {hertz:g} Hz": thinned(hertz) for hertz in (5.0, 10.0)}


@pytest.mark.parametrize("change", sorted(CHANGES))
@pytest.mark.parametrize("log", LOGS)
def test_a_poorer_log_gives_no_wrong_verdict(log: str, change: str) -> None:
    trace = CHANGES[change](judged(log).trace)
    got = {c.check: c for c in judge(machine_from(truth(log)["machine_given"]), trace).checks}
    for condition in truth(log)["conditions"]:
        if condition["borderline"]:
            continue
        check = got[condition["id"]]
        true = Outcome.UNKNOWN if condition["result"] == "not_exercised" else Outcome(condition["result"])
        assert check.verdict in (true, Outcome.UNKNOWN), check


@pytest.mark.parametrize("log", LOGS)
def test_a_log_with_nothing_but_time_and_link_is_unknown_throughout(log: str) -> None:
    trace = judged(log).trace
    names = tuple(name for name in trace.channels if name != "link_percent")
    bare = judge(machine_from(truth(log)["machine_given"]), without(names)(trace))
    assert {c.verdict for c in bare.checks} == {Outcome.UNKNOWN}


@pytest.mark.parametrize("change", ["without speed", "without speed and duty"])
@pytest.mark.parametrize("log", LOGS)
def test_a_log_without_any_speed_tells_neither_rest_nor_the_kind_of_a_start(log: str, change: str) -> None:
    judgement = judge(machine_from(truth(log)["machine_given"]), CHANGES[change](judged(log).trace))
    got = {check.check: check.verdict for check in judgement.checks}
    for check in ("no_start_in_autorotation_position", "quick_restart_granted", "hold_clears_quick_restart"):
        assert got[check] is Outcome.UNKNOWN
    if change == "without speed and duty":
        assert {segment.kind for segment in judgement.segments} == {"unknown"}
