"""Logs and file held against each other: another machine is never passed over, an honest file is left alone."""

from dataclasses import replace
from pathlib import Path

import pytest

from steadyhead.judge.gearing_of import gearing_of
from steadyhead.learn.agreement import CHECK, agreement
from steadyhead.learn.learning import learned
from steadyhead.learn.not_shown import ratio_off
from steadyhead.learn.result import Learned, Parameter
from steadyhead.learn.rows import Evidence, evidence
from steadyhead.learn.teeth import two_speeds
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text, read_machine, read_machine_text
from steadyhead.machine.rewriting import rewritten
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import ColumnRead
from steadyhead.words.verdict import Outcome, Verdict
from tests.noisy_flight import COAST_TEXT, noisy_flight

MACHINE = read_machine(bundled("fox600"))
COAST = noisy_flight(MACHINE, 10_001, text=COAST_TEXT).trace
DATA = Path(__file__).parents[2] / "data" / "logs"


def kv(logs: tuple[float, float], file: tuple[float, float], origin: str = "measured") -> Parameter:
    return Parameter(
        key="motor.kv", says="", unit="rpm/V", told=True, value=sum(logs) / 2, value_interval=logs,
        file_value=sum(file) / 2, file_value_interval=file, file_origin=origin, rests_on=(), told_by=(), needs="",
        remarks=(),
    )  # fmt: skip


def held(logs: tuple[float, float], file: tuple[float, float], found: tuple[Evidence, ...] = ()) -> Verdict:
    speeds = two_speeds(MACHINE, found)
    check = agreement(MACHINE, [kv(logs, file)], (), found, doubts=[speeds] if speeds else ())
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


def both(times: float = 1.0, divided_by: float = 9.0) -> tuple[Evidence, ...]:
    """The log with a motor speed beside it, which the reader divided; by 1 where the logger had done so itself."""
    side = times * COAST.channels["head_speed_rpm"]
    column = ColumnRead(
        channel="motor_side_speed_rpm", heading="motor speed", confidence="named", divided_by=divided_by
    )
    trace = replace(COAST, channels={**COAST.channels, "motor_side_speed_rpm": side}, columns=(column,))
    one = evidence(MACHINE, trace)
    assert one is not None
    return (one,)


def test_two_speeds_that_fit_each_other_clear_teeth_and_poles() -> None:
    (fits,), (off,) = both(), both(1.08)
    assert "teeth and poles in the file are right" in held((801.0, 810.0), (543.0, 577.0), (fits,)).reason
    assert "teeth or poles in the file are wrong" in held((801.0, 810.0), (543.0, 577.0), (off,)).reason


ON_8_CELLS, _ = rewritten(read_machine_text(Path(bundled("fox600"))), {"pack.cells": "8"})


@pytest.fixture(scope="module")
def another() -> Learned:
    """The invented Fox 600, on as many cells as the log, with a log of quite another machine."""
    machine = machine_from_text(ON_8_CELLS, "owner")
    return learned(machine, ON_8_CELLS, [read_trace(DATA / "coast_down.parquet", gearing=gearing_of(machine))])


def test_the_log_of_another_machine_fails_and_proposes_nothing(another: Learned) -> None:
    assert another.verdict is Outcome.FAIL
    check = next(check for check in another.checks if check.check == CHECK)
    assert check.verdict is Outcome.FAIL
    assert "motor.kv" in check.needs
    assert "another machine" in check.reason
    assert another.proposal.changes == ()
    assert another.proposal.text == ON_8_CELLS
    assert any("nothing is proposed" in line for line in another.warnings)


def measured(radius: str) -> Machine:
    """The invented Fox 600 with another radius in its file: the flight below was flown with 0.66 m."""
    text = read_machine_text(Path(bundled("fox600")))
    changed, left = rewritten(text, {"rotor.radius": radius})
    assert not left
    return machine_from_text(changed, "owner")


RULER = '{ value = "0.66 m", spread = "2 mm", from = "measured" }'


def verdict_on(machine: Machine, told: tuple[Parameter, ...], *gone: str) -> Verdict:
    check = agreement(machine, told, (), seen(*gone) if gone else both())
    assert check is not None
    return check


def test_a_blade_length_that_no_log_shows_passes_only_when_it_was_measured() -> None:
    told = (kv((555.0, 560.0), (543.0, 577.0)),)
    stated = verdict_on(measured('"0.61 m"'), told)
    assert stated.verdict is Outcome.UNKNOWN
    assert stated.needs == ("rotor.radius",)
    assert "blade length (rotor.radius) is not shown by this log; measure it with a ruler" in stated.reason
    ruled = verdict_on(measured(RULER), told)
    assert ruled.verdict is Outcome.PASS
    assert "rotor.radius: not shown by these logs, taken as measured in the file" in ruled.reason


def test_hovers_that_show_other_blades_than_a_measured_length_never_pass_and_never_fail() -> None:
    told, machine = [kv((555.0, 560.0), (543.0, 577.0))], measured(RULER)
    for seen_m, outcome in (
        ((0.63, 0.69), Outcome.PASS),
        ((0.58, 0.64), Outcome.UNKNOWN),
        ((0.3, 0.4), Outcome.UNKNOWN),
    ):
        check = agreement(machine, told, (), both(), seen_m)
        assert check is not None
        assert check.verdict is outcome
        if outcome is Outcome.UNKNOWN:
            assert "rotor.radius" in check.needs
            assert "forward flight makes blades look longer" in check.reason


def test_a_pinion_with_a_tooth_more_that_would_explain_the_log_as_well_leaves_it_unknown() -> None:
    # 13 teeth in the file; with one speed a Kv 4 % high is 13 teeth and a low Kv, or 14 teeth and a Kv as printed.
    machine = measured(RULER)
    check = verdict_on(machine, (kv((578.0, 586.0), (543.0, 580.0)),), "motor_side_speed_rpm")
    assert check.verdict is Outcome.UNKNOWN
    assert check.needs == ("gears.pinion_teeth",)


def test_a_label_that_is_off_as_labels_are_never_excludes_the_neighbouring_tooth() -> None:
    # Labels of the bench read up to a tenth high: 4 % either way, as a file doubts them, would leave 13 teeth alone.
    told = (kv((557.0, 563.0), (543.0, 577.0)),)
    check = verdict_on(measured(RULER), told, "motor_side_speed_rpm")
    assert check.verdict is Outcome.UNKNOWN
    assert check.needs == ("gears.pinion_teeth",)
    assert "13 teeth and 557 to 563 rpm/V, or 12 teeth and 603.4 to 609.9 rpm/V" in check.reason
    for key, value in (
        ("motor.kv", '{ value = "560 rpm/V", spread = "2 %", from = "measured" }'),
        ("gears.pinion_teeth", '{ value = 13, from = "measured" }'),
    ):
        text, _ = rewritten(read_machine_text(Path(bundled("fox600"))), {"rotor.radius": RULER, key: value})
        known = verdict_on(machine_from_text(text, "owner"), told, "motor_side_speed_rpm")
        assert known.verdict is Outcome.PASS, key


def test_a_motor_speed_that_the_logger_divided_clears_no_teeth() -> None:
    """It is the head's by the logger's own ratio, whatever the file says."""
    told, machine = [kv((557.0, 563.0), (543.0, 577.0))], measured(RULER)
    for divided_by, outcome in ((9.0, Outcome.PASS), (1.0, Outcome.UNKNOWN)):
        check = agreement(machine, told, (), both(divided_by=divided_by))
        assert check is not None
        assert check.verdict is outcome
    apart = held((801.0, 810.0), (543.0, 577.0), both(divided_by=1.0)).reason
    assert "are right" not in apart


def test_an_electrical_speed_alone_and_a_kv_that_another_pair_of_poles_explains_is_unknown() -> None:
    # 5 pole pairs in the file; a Kv a tenth above its label is 6 pairs and a label a tenth high, or 5 and one low.
    machine, told = measured(RULER), [kv((612.0, 616.0), (505.0, 615.0))]
    (one,) = both()
    signals = replace(one.found.signals, speed_is_head=False)
    alone = replace(one, found=replace(one.found, signals=signals))
    check = agreement(machine, told, (), (alone,))
    assert check is not None
    assert check.verdict is Outcome.UNKNOWN
    assert "motor.poles" in check.needs


def test_a_kv_that_another_tooth_explains_is_not_told() -> None:
    told = learned(MACHINE, read_machine_text(Path(bundled("fox600"))), [COAST])
    one = next(one for one in told.parameters if one.key == "motor.kv")
    assert not one.told
    assert one.value is None
    assert "12 teeth" in one.needs
    assert "motor.kv" not in {change.key for change in told.proposal.changes}


@pytest.mark.parametrize(
    ("times", "outcome", "says"),
    [
        (14.0 / 13.0, Outcome.FAIL, "the head reads 0.929 times the motor side"),
        (14.0 / 13.0, Outcome.FAIL, "a pinion of 12 teeth where the file says 13"),
        (1.015, Outcome.UNKNOWN, "the head reads 0.985 times the motor side"),
    ],
)
def test_two_speeds_that_do_not_fit_the_teeth_never_pass_however_well_the_numbers_meet(
    times: float, outcome: Outcome, says: str
) -> None:
    # 13 teeth in the file. A head at 12/13 of what they say is that of 12.
    times = 13.0 / 12.0 if "12 teeth" in says else times
    head = COAST.channels["head_speed_rpm"]
    one = evidence(MACHINE, replace(COAST, channels={**COAST.channels, "motor_side_speed_rpm": times * head}))
    assert one is not None
    check = held((555.0, 560.0), (543.0, 577.0), (one,))
    assert check.verdict is outcome
    assert "gears.pinion_teeth" in check.needs
    assert says in check.reason


def test_two_speeds_are_held_against_each_other_on_a_log_without_a_calm_stretch_too() -> None:
    head = COAST.channels["head_speed_rpm"]
    one = evidence(MACHINE, replace(COAST, channels={**COAST.channels, "motor_side_speed_rpm": 13.0 / 12.0 * head}))
    assert one is not None
    bare = replace(one, found=replace(one.found, windows=()))
    assert ratio_off((bare,)) == pytest.approx(12.0 / 13.0, rel=2e-3)
    assert ratio_off(seen()) is None
