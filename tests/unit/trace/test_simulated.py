"""A trace that was simulated says so in its file, and nothing passes by it when it comes back as a log."""

import csv
import dataclasses

import numpy as np
import polars as pl
import pytest

from steadyhead.bench.log_notes import Note, Noted, brought_body, standings
from steadyhead.flight.files import write_trace
from steadyhead.judge.judging import judge
from steadyhead.judge.readings import readings
from steadyhead.judge.simulated_log import WARNING
from steadyhead.trace import big_source
from steadyhead.trace.big_log import pieces
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.trace.simulated import NO_EVIDENCE, REMARK
from steadyhead.words.verdict import Outcome
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.test_flights import flown

ENDINGS = ("csv", "parquet")


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_simulated_trace_is_known_again_and_nothing_passes_by_it(tmp_path, ending):
    path = write_trace(flown(), tmp_path / f"flight.{ending}", remarks=(REMARK,))
    told, honest = judge(MACHINE, read_trace(path)), judge(MACHINE, flown())
    assert any(check.verdict is Outcome.PASS for check in honest.checks)
    assert not any(check.verdict is Outcome.PASS for check in told.checks)
    assert all(flight.verdict is not Outcome.PASS for flight in told.flights)
    assert any(NO_EVIDENCE in check.reason for check in told.checks)
    assert WARNING in told.warnings
    assert not readings(told)
    failed = {check.check for check in honest.checks if check.verdict is Outcome.FAIL}
    assert failed == {check.check for check in told.checks if check.verdict is Outcome.FAIL}


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_log_that_says_nothing_of_the_kind_is_as_it_was(tmp_path, ending):
    assert not read_trace(write_trace(flown(), tmp_path / f"flight.{ending}")).simulated


@pytest.mark.parametrize("ending", ENDINGS)
def test_the_mark_outlives_the_record(tmp_path, ending):
    once = read_trace(write_trace(flown(), tmp_path / f"flight.{ending}", remarks=(REMARK,)))
    assert read_trace(write_trace(once, tmp_path / "kept.parquet")).simulated


def test_the_mark_is_found_after_columns_were_named_anew(tmp_path):
    for ending in ENDINGS:
        path = write_trace(flown(), tmp_path / f"flight.{ending}", remarks=(REMARK,))
        again = read_trace(path, mapping={"head_speed_rpm": "head_speed_rpm:rpm"}, remember=False)
        assert again.simulated


@pytest.mark.parametrize("ending", ENDINGS)
def test_the_mark_is_found_in_a_file_that_is_read_in_pieces(tmp_path, monkeypatch, ending):
    path = write_trace(flown(), tmp_path / f"flight.{ending}", remarks=(REMARK,))
    monkeypatch.setattr(big_source, "BIG_FROM", 1)
    assert all(piece.simulated for piece in pieces(path, gearing=Gearing(), mapping={}))


@pytest.mark.parametrize(("first", "mark"), [(f'"# {REMARK}"', ";"), (f"# {REMARK}", ";"), (f"# {REMARK}", ",")])
def test_a_spreadsheet_that_saves_it_again_keeps_the_mark(tmp_path, first, mark):
    path = write_trace(flown(), tmp_path / "flight.csv", remarks=(REMARK,))
    lines = path.read_text("utf-8").splitlines()[1:]
    first += mark * lines[0].count(",")
    path.write_text("\n".join([first, *(line.replace(",", mark) for line in lines)]) + "\n", "utf-8")
    trace = read_trace(path)
    assert trace.simulated
    assert trace.has("head_speed_rpm")


def test_other_programs_read_the_csv_below_the_line(tmp_path):
    trace = flown()
    path = write_trace(trace, tmp_path / "flight.csv", remarks=(REMARK,))
    first, rest = path.read_text("utf-8").split("\n", 1)
    assert first == f"# {REMARK}"
    assert len(next(csv.reader([first]))) == 1
    assert next(csv.reader(rest.splitlines())) == ["time_s", *trace.channels]
    by_mark = pl.read_csv(path, comment_prefix="#")
    assert by_mark.columns == ["time_s", *trace.channels]
    assert np.array_equal(by_mark["time_s"].to_numpy(), trace.time_s)


def test_a_kept_log_that_was_simulated_is_no_evidence():
    judged = judge(MACHINE, dataclasses.replace(flown(), simulated=True))
    body = brought_body(judged, "source", {})
    told = standings([("log", "trace")], [Note(log="log", kind=Noted.BROUGHT, body=body)])["log"]
    assert told.simulated
    assert told.readings == ()
    plain = brought_body(judge(MACHINE, flown()), "source", {})
    assert not standings([("log", "trace")], [Note(log="log", kind=Noted.BROUGHT, body=plain)])["log"].simulated
