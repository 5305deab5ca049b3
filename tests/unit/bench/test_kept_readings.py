"""Typed readings: kept only where they fit the others, left out by a row that is added, never taken out."""

import re

import pytest

from steadyhead import job
from steadyhead.bench import kept_readings
from steadyhead.bench.archive import export, import_
from steadyhead.bench.care import contents
from steadyhead.bench.record import add_reading, keep_machine_text, open_record, readings
from steadyhead.channel.result import Reading
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import machine_from_text
from steadyhead.words.errors import InputError

TEXT = re.sub(r"\[\[reading\]\]\n(?:\w+ = .*\n)+", "", bundled("wren450").read_text("utf-8"))
"""The bundled machine without the readings of its file."""


@pytest.fixture
def record(tmp_path):
    with open_record(tmp_path / "record.sqlite") as opened:
        yield opened


@pytest.fixture
def revision(record):
    return keep_machine_text(record, TEXT, "wren.toml")


def typed(percent, rpm, spread=0.0):
    return Reading(percent=percent, head_speed_rpm=rpm, spread_rpm=spread, source="typed")


@pytest.mark.parametrize("wrong", [typed(100.0, 2700.0), typed(90.0, 1500.0)])
def test_a_reading_that_contradicts_a_kept_one_is_refused_before_it_is_kept(record, revision, wrong):
    for reading in (typed(50.0, 2000.0), typed(100.0, 2050.0)):
        kept_readings.keep_reading(record, revision, reading)
    with pytest.raises(InputError, match=r"Nothing was kept.*leave the wrong one"):
        kept_readings.keep_reading(record, revision, wrong)
    assert len(readings(record, "Wren 450")) == 2


def test_a_reading_that_contradicts_the_machine_file_is_refused(record):
    text = f'{TEXT}\n[[reading]]\nchannel = "50 %"\nhead_speed = "2500 rpm +- 5 rpm"\n'
    revision = keep_machine_text(record, text, "wren.toml")
    with pytest.raises(InputError, match="machine file, reading"):
        kept_readings.keep_reading(record, revision, typed(50.0, 2100.0, 5.0))


def test_readings_that_contradict_each_other_are_mended_by_leaving_one_out(record, revision):
    for reading in (typed(50.0, 2000.0), typed(100.0, 2000.0), typed(100.0, 2700.0)):
        add_reading(record, revision, reading)
    machine = machine_from_text(TEXT, "wren.toml")
    with pytest.raises(InputError, match="same channel position"):
        job.channel(machine, kept=readings(record, "Wren 450"))
    wrong = kept_readings.kept(record, "Wren 450")[1]
    kept_readings.leave_out(record, revision, wrong.id, out=True)
    assert [one.head_speed_rpm for one in readings(record, "Wren 450")] == [2000.0, 2700.0]
    assert len(kept_readings.kept(record, "Wren 450")) == 3
    job.channel(machine, kept=readings(record, "Wren 450"))
    with pytest.raises(InputError, match="same channel position"):
        kept_readings.leave_out(record, revision, wrong.id, out=False)
    other = kept_readings.kept(record, "Wren 450")[2]
    kept_readings.leave_out(record, revision, other.id, out=True)
    kept_readings.leave_out(record, revision, wrong.id, out=False)
    assert [one.head_speed_rpm for one in readings(record, "Wren 450")] == [2000.0, 2000.0]
    with pytest.raises(InputError, match="no reading"):
        kept_readings.leave_out(record, revision, "nobody's", out=True)


def test_what_is_left_out_stays_so_in_an_archive(record, revision, tmp_path):
    key = kept_readings.keep_reading(record, revision, typed(50.0, 2000.0))
    kept_readings.leave_out(record, revision, key, out=True)
    export(record, tmp_path / "whole.zip")
    with open_record(tmp_path / "other" / "record.sqlite") as other:
        import_(other, tmp_path / "whole.zip")
        assert contents(other).rows["reading_note"] == 1
        assert readings(other, "Wren 450") == ()
