"""Bail-out, landing and heights to avoid on sheet and page: cautions first, unknown said, nothing told too small."""

from dataclasses import replace

import pytest

from steadyhead.flight.descend import descend
from steadyhead.flight.motor_back import descend_for_sheet
from steadyhead.flight.ramp_limits import known_limits
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.report.bail_out_tables import bail_out_section, height_line, height_said, ramp_said
from steadyhead.report.descent_tables import descent_section
from steadyhead.report.view import view_html
from steadyhead.report.views.descended import descent_view
from steadyhead.words import cautions
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome


@pytest.fixture(scope="module")
def machine():
    return read_machine(bundled("fox600"))


@pytest.fixture(scope="module")
def answer(machine):
    return descend_for_sheet(machine)


@pytest.fixture(scope="module")
def section(machine, answer):
    return bail_out_section(answer, (), known_limits(machine))


def words_of(table):
    return " ".join(cell.text + " " + cell.aside for row in table.rows for cell in row)


def test_the_cautions_stand_before_every_height(section, answer):
    assert section.lead[: len(cautions.DESCENT)] == cautions.DESCENT
    assert section.lead[len(cautions.DESCENT)] == height_said(answer.bail_outs[0])
    assert "never a permission" in section.title


def test_every_height_is_told_with_its_restart_and_how_many_were_drawn(section, answer):
    heights = section.tables[0]
    for out in answer.bail_outs:
        for one in (out.today, out.granted, out.soft):
            assert f"{one.least_height_m:.0f} m" in words_of(heights)
            assert f"{one.never_level} of {one.drawn}" in words_of(heights)
        assert f"it takes {out.saved_m:.0f} m more" in height_said(out)
    assert f"Up to {answer.bail_outs[0].granted.drawn} machines" in heights.note
    assert "quick one not taken" in words_of(heights)


def test_ramps_come_with_limits_and_what_they_break(section, answer):
    ramps = section.tables[1]
    assert len(ramps.rows) == len(answer.bail_outs[0].ramps)
    assert "motor current 120 A" in ramps.note
    assert "torque on the one-way bearing" in words_of(ramps)
    assert sum(row[0].strong for row in ramps.rows) == 1
    assert f"{answer.bail_outs[0].best_ramp_s:.1f} s" in ramp_said(answer.bail_outs[0])


def test_limits_that_nobody_stated_are_named(answer):
    bare = replace(answer.bail_outs[0], best_ramp_s=None, best_set_by=(), unknown_limits=("gears.one_way_torque_max",))
    assert "no quick ramp looked at keeps the known limits" in ramp_said(bare)
    assert "nobody stated torque that the one-way bearing bears" in ramp_said(bare)


def test_landing_diagram_and_every_check_are_there(section, answer):
    landing, avoid, checks = section.tables[2:]
    assert "best possible" in words_of(landing)
    assert "practised pilot" in words_of(landing)
    assert "not in this table is not proved safe" in avoid.note
    assert f"{len(answer.height_velocity.points)} speeds" in avoid.note
    ours = [check for check in answer.checks if not check.check.startswith("glide_")]
    assert len(checks.rows) == len(ours) > 10
    glide_checks = descent_section(answer, ()).tables[-1]
    assert len(glide_checks.rows) + len(ours) == len(answer.checks)


def test_heights_are_never_told_smaller_than_they_are(section, answer):
    one = replace(answer.bail_outs[0].today, least_height_m=17.0, least_height_m_interval=(15.7, 18.2))
    out = replace(answer.bail_outs[0], today=one, granted=one)
    assert "17 m, 15–19" in height_said(out)


def test_the_one_line_tells_the_height_or_that_it_is_unknown(answer):
    line = height_line(answer)
    for out in answer.bail_outs:
        assert f"{out.today.least_height_m:.0f} m" in line
    assert cautions.DESCENT[0] in line
    assert "not known" in height_line(None)
    assert cautions.DESCENT[0] in height_line(None)
    lost = replace(answer.bail_outs[0].today, least_height_m=None, least_height_m_interval=None, never_level=30)
    assert "a height that is not known (30 of" in height_line(
        replace(answer, bail_outs=(replace(answer.bail_outs[0], today=lost),))
    )


def test_a_bail_out_that_could_not_be_flown_leaves_the_height_unknown(machine, monkeypatch):
    glided = descend(machine)

    def refused(*_, **__):
        raise InputError("gears", read="nothing", right="a ratio")

    monkeypatch.setattr("steadyhead.flight.motor_back.gliding", lambda *_, **__: glided)
    monkeypatch.setattr("steadyhead.flight.motor_back.with_motor_back", refused)
    told = descend_for_sheet(machine)
    check = next(one for one in told.checks if one.check == "bail_out_height")
    assert check.verdict is Outcome.UNKNOWN
    assert told.verdict in (Outcome.UNKNOWN, Outcome.FAIL)
    section = bail_out_section(told, (), {})
    assert "it is not known" in section.lead[len(cautions.DESCENT)]
    assert "could not be flown" in section.lead[-1]
    assert section.lead[: len(cautions.DESCENT)] == cautions.DESCENT
    assert "not known" in height_line(told)


def test_the_page_shows_heights_and_drawings(machine, answer):
    shown = descent_view(machine, answer)
    html = view_html(shown)
    assert shown.verdict is answer.verdict
    assert [drawing.name for drawing in shown.sections[0].drawings] == ["bail-out", "height-velocity"]
    assert [drawing.name for drawing in shown.sections[1].drawings] == ["glide"]
    assert html.index(cautions.DESCENT[0]) < html.index("take at most")
    assert "height above the ground (m)" in html
