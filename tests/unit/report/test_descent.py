"""The descent on the sheet and as a drawing: cautions first, gaps said, units and verdict on the chart."""

import dataclasses

import pytest

from steadyhead.flight.descend import descend
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.report.descent_tables import descent_section, known_doubts
from steadyhead.report.figures.glide import glide_drawing, glide_words
from steadyhead.report.overall import sheet_parts
from steadyhead.words import cautions
from steadyhead.words.verdict import Outcome


@pytest.fixture(scope="module")
def fox():
    return descend(read_machine(bundled("fox600")))


def words_of(section):
    return " ".join(cell.text + cell.aside for table in section.tables for row in table.rows for cell in row)


def test_the_section_begins_with_the_cautions_and_carries_every_head_speed(fox):
    section = descent_section(fox, ())
    assert section.lead[: len(cautions.DESCENT)] == cautions.DESCENT
    assert "1.8 is true of ideal or full-size rotors only" in section.lead[-1]
    said = words_of(section)
    for one in fox.head_speeds:
        assert f"{one.head_speed_rpm:.0f} rpm" in said
    assert "no autorotation" in said
    assert "interval not known" in said


def test_a_descent_that_was_not_worked_out_says_so_and_still_cautions():
    section = descent_section(None, ())
    assert "not worked out" in section.lead[0]
    assert not section.tables
    assert cautions.DESCENT[0] in section.lead


def test_the_descent_is_a_part_of_the_verdict_only_where_it_was_worked_out(fox):
    assert [part.name for part in sheet_parts(None, None, ())] == ["Plan", "Channel", "Logs"]
    part = sheet_parts(None, None, (), fox)[-1]
    assert part.name == "Descent"
    assert part.verdict is Outcome.UNKNOWN


def test_what_no_measurement_settles_is_not_asked_for(fox):
    keys = {doubt.key for doubt in fox.doubts}
    assert "inflow in descent" in keys
    assert "inflow in descent" not in {doubt.key for doubt in known_doubts(fox)}
    assert known_doubts(None) == ()


def test_the_drawing_has_units_states_marks_verdict_and_caution(fox):
    drawing = glide_drawing(fox)
    for word in (
        "forward speed (m/s)", "sink rate (m/s), downwards", "vortex ring", "turbulent wake", "windmill",
        "least sink rate", "flattest glide", "90 % interval", "never a permission", "1730 rpm, normal",
    ):  # fmt: skip
        assert word in drawing.svg
    assert "? unknown" in drawing.says
    assert "no autorotation at the head speed of idle-up 2" in drawing.says


def test_a_machine_without_any_glide_is_drawn_and_says_so(fox):
    none = [
        dataclasses.replace(
            one,
            points=tuple(dataclasses.replace(point, sink_m_s=None, sink_m_s_interval=None) for point in one.points),
            least_sink=None,
            best_glide=None,
        )
        for one in fox.head_speeds
    ]
    bare = dataclasses.replace(fox, head_speeds=tuple(none))
    assert glide_words(bare).endswith("no flight mode's head speed holds in an autorotation")
    assert glide_drawing(bare).svg.startswith("<svg")
