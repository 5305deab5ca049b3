"""Bail-outs and peaks of many machines in one go: the same figures as one by one, and no verdict that is not known."""

import math

import numpy as np
import pytest

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out import height_outcomes
from steadyhead.flight.bail_out_case import base_case, ready
from steadyhead.flight.motor_back import mode_number
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.study.run import worked_out
from steadyhead.study.study_file import read_study
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome


def rows_of(tmp_path, text):
    path = tmp_path / "study.toml"
    path.write_text(f'machine = "fox600"\n{text}', "utf-8")
    return worked_out(read_study(path), tmp_path / "rows", workers=1).to_dicts()


def test_a_second_of_reaction_costs_a_second_of_sink(tmp_path):
    text = 'collect = "bail_out"\n[sweep]\npilot_delay = ["0.7 s", "1.7 s"]\n"channel.autorotation" = ["15 %"]'
    early, late = rows_of(tmp_path, text)
    machine = read_machine(bundled("fox600"))
    sink = base_case(ready(machine, mode_number(machine, None)), 0.0)[columns.SINK]
    assert late["height_lost_m"] - early["height_lost_m"] == pytest.approx(sink, rel=0.03)
    assert early["check bail_out_ramp"] == "pass"


def test_every_drawn_bail_out_is_judged_by_its_own_height(tmp_path):
    rows = rows_of(tmp_path, 'collect = "bail_out"\ndraws = 8\nspreads = ["airframe.mass", "rotor.drag_factor"]')
    assert len(rows) == 8
    assert len({row["height_lost_m"] for row in rows}) == 8
    begins_m = read_machine(bundled("fox600")).limit("limits.bail_out_height").value
    for row in rows:
        assert (row["check bail_out_height"] == "fail") == (row["height_lost_m"] > begins_m)
    assert {row["check bail_out_ramp"] for row in rows} == {"fail"}
    assert {row["verdict"] for row in rows} == {"fail"}


def test_the_height_to_begin_from_is_kept_or_broken(tmp_path):
    text = 'collect = "bail_out"\n[sweep]\n"limits.bail_out_height" = ["1 m", "500 m"]'
    low, high = rows_of(tmp_path, text)
    assert low["check bail_out_height"] == "fail"
    assert high["check bail_out_height"] in ("pass", "unknown")


def test_a_bail_out_never_passes_without_a_height_to_begin_from():
    own = ready(read_machine(bundled("wren450")), 0)
    assert own.machine.limit("limits.bail_out_height") is None
    assert height_outcomes(own, np.array([1.0, math.inf])) == [Outcome.UNKNOWN, Outcome.FAIL]


def test_peaks_are_those_of_the_flight_flown_by_itself(tmp_path):
    sweep = 'scenario = "bail_out"\nquestion = "trade"\n[sweep]\n"airframe.mass" = ["3.9 kg"]'
    (flown,) = rows_of(tmp_path, f'collect = "fly"\n{sweep}')
    (peaks,) = rows_of(tmp_path, f'collect = "peaks"\n{sweep}')
    names = [name for name in peaks if name.startswith("peak_")]
    assert len(names) == 9
    for name in (*names, "cells_wh"):
        assert peaks[name] == pytest.approx(flown[name], rel=1e-6), name
    assert peaks["verdict"] == "unknown"


def test_peaks_have_no_verdict_to_ask_for(tmp_path):
    with pytest.raises(InputError, match="judges nothing"):
        rows_of(tmp_path, 'collect = "peaks"\nscenario = "hover"\nspreads = ["airframe.mass"]')


def test_what_a_row_of_numbers_does_not_hold_is_not_drawn(tmp_path):
    with pytest.raises(InputError, match=r"rotor\.twist|\[sweep\]"):
        rows_of(tmp_path, 'collect = "bail_out"\n[vary]\n"pack.capacity" = "5 Ah +- 5 %"')
