"""Logs and file held against each other: another machine is never passed over, an honest file is left alone."""

from dataclasses import replace
from pathlib import Path

import pytest

from steadyhead.judge.gearing_of import gearing_of
from steadyhead.learn.agreement import CHECK, agreement
from steadyhead.learn.learning import learned
from steadyhead.learn.result import Learned, Parameter
from steadyhead.learn.rows import Evidence, evidence
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine, read_machine_text
from steadyhead.trace.reading import read_trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.noisy_flight import COAST_TEXT, noisy_flight

MACHINE = read_machine(bundled("fox600"))
COAST = noisy_flight(MACHINE, 10_001, text=COAST_TEXT).trace
DATA = Path(__file__).parents[2] / "data" / "logs"


def kv(logs: tuple[float, float], file: tuple[float, float], origin: str = "measured") -> Parameter:
    return Parameter(
        key="motor.kv", says="", unit="rpm/V", told=True, value=sum(logs) / 2, value_interval=logs,
        file_value=sum(file) / 2, file_value_interval=file, file_origin=origin, rests_on=(), needs="", remarks=(),
    )  # fmt: skip


def held(logs: tuple[float, float], file: tuple[float, float], found: tuple[Evidence, ...] = ()) -> Verdict:
    check = agreement(MACHINE, [kv(logs, file)], (), found)
    assert check is not None
    return check


def seen(*gone: str) -> tuple[Evidence, ...]:
    channels = {name: values for name, values in COAST.channels.items() if name not in gone}
    one = evidence(MACHINE, replace(COAST, channels=channels))
    assert one is not None
    return (one,)


@pytest.mark.parametrize(
    ("logs", "outcome"),
    [
        ((555.0, 560.0), Outcome.PASS),
        ((576.0, 582.0), Outcome.PASS),
        ((578.0, 584.0), Outcome.UNKNOWN),
        ((801.0, 810.0), Outcome.FAIL),
        ((480.0, 490.0), Outcome.FAIL),
    ],
)
def test_intervals_that_do_not_meet_never_pass(logs: tuple[float, float], outcome: Outcome) -> None:
    check = held(logs, (543.0, 577.0))
    assert check.verdict is outcome
    if outcome is not Outcome.PASS:
        assert f"{logs[0]:.4g} to {logs[1]:.4g} rpm/V" in check.reason
        assert "543 to 577 rpm/V (measured)" in check.reason


def test_a_typical_number_cannot_contradict() -> None:
    assert agreement(MACHINE, [kv((801.0, 810.0), (543.0, 577.0), "typical")], (), ()) is None


def test_one_speed_alone_names_the_count_of_teeth_that_would_explain_it() -> None:
    # The file says a pinion of 13 teeth; a Kv that reads 14/13 high is what 14 teeth would show in a head speed log.
    right = 560.0 * 14.0 / 13.0
    reason = held((right - 2.0, right + 2.0), (558.0, 562.0), seen("motor_side_speed_rpm")).reason
    assert "a pinion of 14 teeth where the file says 13" in reason


def test_two_speeds_that_fit_each_other_clear_teeth_and_poles() -> None:
    channels = {**COAST.channels, "motor_side_speed_rpm": COAST.channels["head_speed_rpm"]}
    fits, off = (
        evidence(
            MACHINE,
            replace(COAST, channels={**channels, "motor_side_speed_rpm": factor * COAST.channels["head_speed_rpm"]}),
        )
        for factor in (1.0, 1.08)
    )
    assert fits is not None
    assert off is not None
    assert "teeth and poles in the file are right" in held((801.0, 810.0), (543.0, 577.0), (fits,)).reason
    assert "teeth or poles in the file are wrong" in held((801.0, 810.0), (543.0, 577.0), (off,)).reason


@pytest.fixture(scope="module")
def another() -> Learned:
    """The invented Fox 600 with a log of quite another machine."""
    path = Path(bundled("fox600"))
    log = read_trace(DATA / "coast_down.parquet", gearing=gearing_of(MACHINE))
    return learned(MACHINE, read_machine_text(path), [log])


def test_the_log_of_another_machine_fails_and_proposes_nothing(another: Learned) -> None:
    assert another.verdict is Outcome.FAIL
    check = next(check for check in another.checks if check.check == CHECK)
    assert check.verdict is Outcome.FAIL
    assert "motor.kv" in check.needs
    assert "another machine" in check.reason
    assert another.proposal.changes == ()
    assert another.proposal.text == read_machine_text(Path(bundled("fox600")))
    assert any("nothing is proposed" in line for line in another.warnings)
