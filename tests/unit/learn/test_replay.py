"""Whether the new file explains the logs better: the words for better, no better and not flown, and a worn pack."""

import pytest

from steadyhead.judge.judging import judge
from steadyhead.learn.replay import explains_better, flown_logs, replays
from steadyhead.learn.result import Replayed
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.words.verdict import Outcome
from tests.noisy_flight import COAST_TEXT, noisy_flight

MACHINE = read_machine(bundled("fox600"))


def left(before: float, after: float) -> Replayed:
    return Replayed(log="made", figure="duty", unit="", before_rms=before, after_rms=after)


@pytest.mark.parametrize(("after", "outcome", "words"), [
    (0.5, Outcome.PASS, "better"), (0.99, Outcome.UNKNOWN, "no better"), (1.03, Outcome.UNKNOWN, "worse"),
])  # fmt: skip
def test_a_file_that_explains_no_better_never_passes(after: float, outcome: Outcome, words: str) -> None:
    check = explains_better([left(1.0, after), left(2.0, 2.0 * after)])
    assert check.verdict is outcome
    assert check.figure == pytest.approx(after)
    assert f"explains the logs {words}:" in check.reason
    assert ("figures that grew" in check.reason) is (words == "worse")


def test_logs_that_cannot_be_flown_leave_it_unknown_and_say_what_they_lack() -> None:
    check = explains_better([])
    assert check.verdict is Outcome.UNKNOWN
    assert "throttle" in check.needs[0]


def test_the_machine_that_flew_explains_its_own_log_better_than_one_with_half_the_pack_resistance() -> None:
    truth = noisy_flight(MACHINE, 10_005, text=COAST_TEXT)
    worn = truth.machine.value("pack.resistance")
    assert worn is not None
    wrong = truth.machine.replaced({"pack.resistance": 0.5 * worn.si, "motor.kv": 1.05 * truth.machine.motor.kv.si})
    seen = [judge(MACHINE, truth.trace)]
    found = replays(flown_logs(wrong, truth.machine, seen))
    assert {one.figure for one in found} == {"head_speed_rpm", "pack_current_a", "pack_voltage_v", "duty"}
    by = {one.figure: one.after_rms / one.before_rms for one in found}
    assert by["pack_voltage_v"] < 0.9
    assert by["duty"] < 0.7
    assert explains_better(found).verdict is Outcome.PASS
    assert explains_better(replays(flown_logs(truth.machine, wrong, seen))).verdict is Outcome.UNKNOWN
