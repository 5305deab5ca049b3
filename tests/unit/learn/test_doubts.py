"""Logs that cannot be of the file's machine, or not of one machine: said, and nothing that rests on it proposed."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from steadyhead.channel.result import Reading
from steadyhead.judge.judging import judge
from steadyhead.learn.agreement import CHECK
from steadyhead.learn.among_logs import among_logs
from steadyhead.learn.cells import CELLS, cells_doubt
from steadyhead.learn.doubt import Doubt
from steadyhead.learn.joint import models_of
from steadyhead.learn.learning import learned
from steadyhead.learn.not_shown import THROUGH_THE_GEARS
from steadyhead.learn.result import Learned
from steadyhead.learn.rows import Evidence, evidence
from steadyhead.learn.teeth import motor_speed_alone
from steadyhead.learn.unknowns import in_words
from steadyhead.learn.unlogged_pitch import pitch_doubt
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text, read_machine, read_machine_text
from steadyhead.machine.rewriting import rewritten
from steadyhead.trace.trace import ColumnRead, Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.noisy_flight import COAST_TEXT, noisy_flight

TEXT = read_machine_text(Path(bundled("fox600")))
MACHINE = read_machine(bundled("fox600"))
COAST = noisy_flight(MACHINE, 10_001, text=COAST_TEXT).trace


def owner(**values: str) -> str:
    text, left = rewritten(TEXT, {key.replace("__", "."): value for key, value in values.items()})
    assert not left
    return text


def scaled(trace: Trace, source: str = "drawn.csv", **times: float) -> Trace:
    channels = {name: values * times.get(name, 1.0) for name, values in trace.channels.items()}
    return replace(trace, source=source, channels=channels)


def motor_side(trace: Trace, teeth: int) -> Trace:
    """The log without a head sensor, its motor speed divided by the ratio of a file that states so many teeth."""
    channels = {name: values for name, values in trace.channels.items() if name != "head_speed_rpm"}
    channels["motor_side_speed_rpm"] = teeth / 13.0 * trace.channels["head_speed_rpm"]
    column = ColumnRead(channel="motor_side_speed_rpm", heading="motor speed", confidence="named", divided_by=9.0)
    return replace(trace, channels=channels, columns=(column,))


def seen(machine: Machine, trace: Trace) -> Evidence:
    one = evidence(machine, trace)
    assert one is not None
    return one


def check_of(told: Learned) -> Verdict:
    return next(check for check in told.checks if check.check == CHECK)


@pytest.fixture(scope="module")
def wrong_teeth() -> Learned:
    # The log is of a worn pack.
    text = owner(gears__pinion_teeth="12", pack__resistance='"50 mohm +- 20 %"')
    return learned(machine_from_text(text, "owner"), text, [motor_side(COAST, 12)])


def test_head_speeds_out_of_motor_speed_and_wrong_teeth_are_not_proposed(wrong_teeth: Learned) -> None:
    check = check_of(wrong_teeth)
    assert check.verdict is Outcome.UNKNOWN
    assert "a pinion of 13 teeth where the file says 12" in check.reason
    assert "gears.pinion_teeth" in check.needs
    assert wrong_teeth.law.readings
    assert not wrong_teeth.law.told
    keys = {change.key for change in wrong_teeth.proposal.changes}
    assert not keys & {"reading", *THROUGH_THE_GEARS}


def test_what_comes_through_doubtful_gears_is_not_told_and_says_why(wrong_teeth: Learned) -> None:
    through = [one for one in wrong_teeth.parameters if one.key in THROUGH_THE_GEARS]
    assert through
    for one in through:
        assert not one.told
        assert one.value is None
        assert "count the teeth" in one.needs
    assert next(one for one in wrong_teeth.parameters if one.key == "motor.kv").told


def rows(*pairs: tuple[float, float]) -> tuple[Reading, ...]:
    return tuple(Reading(percent=p, head_speed_rpm=rpm, spread_rpm=1.0, source="drawn.csv, 1 s") for p, rpm in pairs)


def of_motor(machine: Machine, readings: Sequence[Reading]) -> Doubt | None:
    return motor_speed_alone(machine, [(seen(machine, motor_side(COAST, 13)), readings)])


def test_modes_that_miss_by_one_ratio_are_said_and_modes_that_miss_each_by_their_own_are_not() -> None:
    # The file: 57 % = 1730, 70 % = 1990, 83 % = 2250 rpm.
    one = of_motor(MACHINE, rows((57.0, 0.95 * 1730.0), (70.0, 0.95 * 1990.0)))
    assert one is not None
    assert one.verdict is Outcome.UNKNOWN
    assert "0.950 times" in one.says
    assert "would do that" not in one.says
    each = of_motor(MACHINE, rows((57.0, 0.95 * 1730.0), (70.0, 1.04 * 1990.0)))
    assert each is not None
    assert each.verdict is None
    assert each.readings_of == {"drawn.csv"}


def test_head_speeds_out_of_motor_speed_are_proposed_once_teeth_are_counted_or_modes_are_met() -> None:
    counted = machine_from_text(owner(gears__pinion_teeth='{ value = 13, from = "measured" }'), "owner")
    elsewhere = rows((61.0, 1810.0), (75.0, 2090.0))
    assert of_motor(counted, elsewhere) is None
    uncounted = of_motor(MACHINE, elsewhere)
    assert uncounted is not None
    assert "count them" in uncounted.says
    assert of_motor(MACHINE, rows((57.0, 1733.0), (70.0, 1988.0))) is None


def on_cells(text: str, volts: float) -> Doubt | None:
    machine = machine_from_text(text, "owner")
    rest_v = float(np.median(COAST.channels["pack_voltage_v"][:20]))
    trace = scaled(COAST, pack_voltage_v=volts / rest_v)
    return cells_doubt(machine, seen(machine, trace), judge(machine, trace))


@pytest.mark.parametrize(
    ("cells", "volts", "outcome", "says"),
    [
        ("12", 50.2, None, ""),
        ("12", 45.0, None, ""),
        ("12", 46.2, Outcome.UNKNOWN, "a full one of 11"),
        ('{ value = 12, from = "measured" }', 46.2, None, ""),
        ("11", 50.2, Outcome.FAIL, "12 cells would be"),
        ("12", 33.4, Outcome.FAIL, "8 cells would be"),
        ("12", 37.8, Outcome.UNKNOWN, "a full one of 9"),
        (
            '{ value = 14, from = "measured" }',
            50.2,
            Outcome.UNKNOWN,
            "a nearly empty pack of 14 cells, or a full one of 12",
        ),
    ],
)
def test_a_pack_voltage_that_fits_another_count_of_cells_never_passes(
    cells: str, volts: float, outcome: Outcome | None, says: str
) -> None:
    doubt = on_cells(owner(pack__cells=cells), volts)
    if outcome is None:
        assert doubt is None
        return
    assert doubt is not None
    assert doubt.verdict is outcome
    assert says in doubt.says
    assert doubt.needs == (CELLS,)


@pytest.mark.parametrize(
    ("cells", "volts", "outcome", "says"),
    [
        ("5", 25.1, Outcome.FAIL, "6 cells would be"),
        ("11", 50.4, Outcome.FAIL, "12 cells would be"),
        ("12", 25.1, Outcome.UNKNOWN, "which column holds the pack voltage"),
        ("6", 2510.0, Outcome.UNKNOWN, "another voltage or unit"),
    ],
)
def test_a_voltage_that_the_reader_left_out_for_its_size_speaks_of_the_cells(
    cells: str, volts: float, outcome: Outcome, says: str
) -> None:
    machine = machine_from_text(owner(pack__cells=f'{{ value = {cells}, from = "measured" }}'), "owner")
    channels = {name: values for name, values in COAST.channels.items() if name != "pack_voltage_v"}
    trace = replace(COAST, channels=channels, misfit_voltage_v=volts)
    doubt = cells_doubt(machine, seen(machine, trace), judge(machine, trace))
    assert doubt is not None
    assert doubt.verdict is outcome
    assert says in doubt.says


def test_a_wrong_count_of_cells_fails_and_nothing_is_fitted_or_proposed() -> None:
    text = owner(pack__cells="11")
    said: list[str] = []
    told = learned(machine_from_text(text, "owner"), text, [COAST], said.append)
    assert told.verdict is Outcome.FAIL
    assert told.proposal.changes == ()
    assert not any(one.told for one in told.parameters)
    assert not any(line.startswith("fit") for line in said)


def test_logs_of_two_motors_contradict_each_other_and_nothing_is_proposed() -> None:
    # The same flight as a motor of 6 % more Kv would log it: 6 % less voltage for the same speed and power.
    other = scaled(COAST, "other.csv", pack_voltage_v=0.94, pack_current_a=1.0 / 0.94)
    told = learned(MACHINE, TEXT, [COAST, other])
    check = check_of(told)
    assert told.verdict is Outcome.FAIL
    assert "the logs contradict each other" in check.reason
    assert "motor.kv is" in check.reason
    assert "drawn.csv" in check.reason
    assert "other.csv" in check.reason
    assert told.proposal.changes == ()
    assert not told.law.told


def test_two_logs_of_one_machine_do_not_contradict_each_other() -> None:
    again = noisy_flight(MACHINE, 10_001, text=COAST_TEXT.replace('"25 s"', '"24 s"')).trace
    models = models_of(MACHINE, [seen(MACHINE, COAST), seen(MACHINE, replace(again, source="again.csv"))])
    assert among_logs(MACHINE, models) is None


def test_the_same_log_given_twice_narrows_no_interval() -> None:
    once, twice = (learned(MACHINE, TEXT, logs) for logs in ([COAST], [COAST, replace(COAST, source="copy.csv")]))
    assert twice.parameters == once.parameters
    assert twice.logs == ("drawn.csv",)
    assert "copy.csv is the same log as drawn.csv: it counts once" in twice.warnings


def test_a_wrong_count_of_poles_is_named_beside_teeth() -> None:
    """A motor speed out of 10 poles where it has 8 is four fifths of the truth."""
    one = of_motor(MACHINE, rows((57.0, 0.8 * 1730.0), (70.0, 0.8 * 1990.0)))
    assert one is not None
    assert "count the teeth and the poles" in one.says
    assert "4 pole pairs where the file says 5 would do that" in one.says


def test_a_kv_that_may_be_a_wrong_count_is_not_written_as_fitted(wrong_teeth: Learned) -> None:
    assert next(one for one in wrong_teeth.parameters if one.key == "motor.kv").told
    assert check_of(wrong_teeth).verdict is Outcome.UNKNOWN
    assert "motor.kv" not in {change.key for change in wrong_teeth.proposal.changes}
    assert any("motor.kv is not put into the proposed file" in words for words in wrong_teeth.warnings)


def test_what_is_fitted_for_one_log_alone_is_told_in_words() -> None:
    assert in_words("zero 1") == "zero of the current sensor, log 1"
    assert in_words("motor.resistance") == "motor.resistance"
    one = models_of(MACHINE, [seen(MACHINE, COAST)])[0]
    assert all(in_words(unknown.name) != unknown.name for unknown in one.own_unknowns())


def test_logs_that_disagree_beyond_both_intervals_are_named_and_hold_the_number_back() -> None:
    """2.2 % of Kv is more than both intervals, and less than both twice as wide."""
    other = scaled(COAST, "other.csv", pack_voltage_v=0.978, pack_current_a=1.0 / 0.978)
    models = models_of(MACHINE, [seen(MACHINE, COAST), seen(MACHINE, other)])
    doubt = among_logs(MACHINE, models)
    assert doubt is not None
    assert doubt.verdict is Outcome.UNKNOWN
    assert "motor.kv" in doubt.holds
    assert "motor.kv is" in doubt.says
    assert "drawn.csv" in doubt.says
    assert "other.csv" in doubt.says


def test_a_coast_down_without_a_collective_says_that_flat_pitch_was_assumed_and_tells_no_drag() -> None:
    channels = {name: values for name, values in COAST.channels.items() if name != "collective_deg"}
    told = learned(MACHINE, TEXT, [replace(COAST, channels=channels)])
    assert any("holds no collective: flat pitch on the ground is taken for granted" in line for line in told.warnings)
    by_key = {one.key: one for one in told.parameters}
    for key in ("rotor.inertia", "rotor.drag_factor"):
        assert not by_key[key].told
        assert "log the collective" in by_key[key].needs
    assert pitch_doubt(seen(MACHINE, COAST)) is None
