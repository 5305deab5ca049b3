from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest

from steadyhead.report.figures.duty import DutyLine, duty_drawing, duty_lines
from steadyhead.report.figures.head_room import head_room_drawing
from steadyhead.report.figures.law import law_drawing
from steadyhead.report.figures.log_trace import log_drawing, log_words
from steadyhead.words.verdict import Limit, Outcome, Verdict
from tests.unit.report import hand_made

DUTY_MAX = Limit(value=0.95, unit="", origin="test")


def words(svg: str) -> str:
    return " | ".join(
        text
        for node in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
        for text in node.itertext()
    )


def drawings() -> list:
    return [
        duty_drawing(hand_made.plan(), (), DUTY_MAX),
        head_room_drawing(hand_made.plan(), DUTY_MAX),
        law_drawing(hand_made.channel()),
        log_drawing(hand_made.judgement(), name="log-1", duty_max=DUTY_MAX),
    ]


def test_every_drawing_says_its_verdict_in_words() -> None:
    for drawing, outcome in zip(drawings(), ("fail", "fail", "pass", "fail"), strict=True):
        assert outcome in words(drawing.svg), drawing.name
        assert outcome in drawing.says


def test_a_failed_check_is_quoted_so_that_its_name_does_not_read_as_a_fact() -> None:
    granted = Verdict(check="quick_restart_granted", verdict=Outcome.FAIL, reason="a soft start came")
    words = log_words(replace(hand_made.judgement(checks_=(granted,)), verdict=Outcome.FAIL))
    assert words == "✗ fail of “quick restart is granted”"


def test_every_axis_carries_its_unit_and_every_limit_its_words() -> None:
    duty, room, law, log = (words(drawing.svg) for drawing in drawings())
    assert "controller duty (%)" in duty
    assert "head speed (rpm)" in duty
    assert "limit 95 %" in duty
    assert "duty left (%)" in room
    assert "limit 5 %" in room
    assert "throttle channel (%)" in law
    assert "time after the first row (s)" in log
    assert "droop limit 4 %" in log
    assert "overspeed limit 5 %" in log
    assert "duty limit 95 %" in log


def test_the_same_results_give_the_same_drawing() -> None:
    assert [drawing.svg for drawing in drawings()] == [drawing.svg for drawing in drawings()]


def test_no_drawing_needs_anything_from_outside() -> None:
    for drawing in drawings():
        assert "<metadata" not in drawing.svg
        bare = drawing.svg.replace("http://www.w3.org/2000/svg", "").replace("http://www.w3.org/1999/xlink", "")
        assert "http" not in bare


def test_a_machine_that_reaches_no_head_speed_is_still_drawn() -> None:
    plan = hand_made.plan({"too fast": 9000.0})
    assert not any(c.solved for c in plan.modes[0].conditions)
    assert "out of reach" in words(duty_drawing(plan).svg)
    assert "out of reach" in words(head_room_drawing(plan).svg)


def test_given_lines_are_drawn_instead_of_the_solved_points() -> None:
    line = DutyLine(load="by hand", duty=(0.5, 0.9), head_speed_rpm=(1500.0, 2400.0))
    assert "by hand" in words(duty_drawing(hand_made.plan(), (line,)).svg)
    assert [each.load for each in duty_lines(hand_made.plan())] == list(hand_made.LOADS)


def test_a_log_without_rotor_speed_or_duty_says_so() -> None:
    judged = hand_made.judgement()
    silent = replace(judged, trace=replace(judged.trace, channels={"pack_voltage_v": np.full(4800, 22.0)}))
    said = words(log_drawing(silent, name="log-1").svg)
    assert "the log has no rotor speed" in said
    assert "the log has no controller duty" in said


@pytest.mark.parametrize("rows", [0, 1, 2])
def test_a_log_of_hardly_any_rows_is_still_drawn(rows: int) -> None:
    judged = hand_made.judgement()
    short = replace(
        judged.trace,
        time_s=judged.trace.time_s[:rows],
        channels={name: values[:rows] for name, values in judged.trace.channels.items()},
    )
    assert log_drawing(replace(judged, trace=short), name="log-1").svg


def test_long_logs_stay_small() -> None:
    judged = replace(hand_made.judgement(), trace=hand_made.trace(seconds=2000.0, rate_hz=100.0))
    assert len(log_drawing(judged, name="log-1").svg) < 400_000


def test_a_log_of_very_many_flights_is_drawn_small_and_says_what_it_leaves_out() -> None:
    judged = replace(hand_made.judgement(), trace=hand_made.trace(seconds=2000.0, rate_hz=100.0))
    width = 2000.0 / 9000
    many = tuple(
        replace(judged.segments[n % len(judged.segments)], start_s=n * width, end_s=(n + 1) * width)
        for n in range(9000)
    )
    drawn = log_drawing(replace(judged, segments=many, events=judged.events * 3000), name="log-1")
    assert len(drawn.svg) < 400_000
    assert "9000 stretches are too narrow" in drawn.says


def test_a_hostile_name_stays_text() -> None:
    name = "<script>&$x^2$</script>"
    assert name in words(duty_drawing(hand_made.plan({name: 1900.0})).svg)
    assert law_drawing(hand_made.channel({"<b>&": 1900.0})).svg.count("<b>") == 0


def test_unknown_is_drawn_as_unknown() -> None:
    plan = replace(hand_made.plan(), verdict=Outcome.UNKNOWN)
    assert duty_drawing(plan).says.startswith("? unknown")


@pytest.mark.parametrize(
    ("upper", "sides"),
    [(1990.0, ["top", "top", "bottom"]), (2150.0, ["bottom", "bottom", "bottom"])],
    ids=["close", "far"],
)
def test_names_of_lines_that_lie_close_stand_on_both_sides_of_them(upper, sides):
    from steadyhead.report.figures.canvas import NARROW_IN, blank, line_names, style

    with style():
        axes = blank(NARROW_IN).subplots()
        axes.set_ylim(1600.0, 2400.0)
        line_names(axes, [(1850.0, "normal"), (upper, "idle-up 2"), (1950.0, "idle-up 1")])
        told = {text.get_text(): text.get_va() for text in axes.texts}
    assert [told["normal"], told["idle-up 1"], told["idle-up 2"]] == sides
