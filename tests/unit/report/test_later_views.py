"""What the pages of advice and comparing show: every change, unit, verdict and warning that the answer has."""

from dataclasses import replace

import pytest

from steadyhead import job
from steadyhead.advise.result import Advice, Change, Effect, MeasureNext, Withheld
from steadyhead.channel.law_result import law_result
from steadyhead.channel.set_point_law import set_point_law
from steadyhead.judge.compare_result import Change as Moved
from steadyhead.judge.compare_result import Comparison, Condition, Said
from steadyhead.learn.result import LawSeen, Learned, Proposal, Replayed
from steadyhead.machine.bundled import bundled
from steadyhead.machine.difference import Difference
from steadyhead.report.content import Cell, Section, Table, columns, verdict_cell
from steadyhead.report.names import figure_name
from steadyhead.report.view import SAYS, view, view_html
from steadyhead.report.views.advised import advised_view
from steadyhead.report.views.checked import check_view
from steadyhead.report.views.compared import compared_view
from steadyhead.report.views.learned import learned_view
from steadyhead.report.views.revised import difference_view, lines_html, void_checks
from steadyhead.words.verdict import Outcome, Verdict

EFFECT = Effect(
    check="duty_margin", place="idle-up 2", part="plan", unit="%", limit_text=">= 5 %", before=2.0,
    before_interval=(1.0, 3.0), after=9.0, after_interval=(7.0, 11.0), before_verdict=Outcome.FAIL,
    after_verdict=Outcome.UNKNOWN, moved="mended",
)  # fmt: skip
ADVICE = Advice(
    machine="Invented", machine_revision=3, looked_at=("the plan",), failing=2, unknown=1,
    changes=(
        Change(
            rank=1, key="gears.pinion_teeth", what="pinion", today="13", to="12", relative=False,
            numbers={"gears.pinion_teeth": 12.0}, why=("duty is full",),
            mended=1, effects=(EFFECT,), sure="rests on the spread of Kv", note="mesh anew",
            makes_void=("steady_band",),
        ),
    ),
    withheld=(Withheld(key="governor.gain", why="it is not known", measure="read it from the device"),),
    without_figures=("nothing here moves recovery",),
    measure_next=(
        MeasureNext(
            rank=1, key="motor.kv", origin="typical", decides=2, has_part_in=3, verdicts=(), share=0.4,
            of_figure="duty", how="spin it at a known voltage",
        ),
    ),
    verdict=Outcome.FAIL, says="2 checks fail", warnings=("computed only",), cautions=("Blades off.",),
)  # fmt: skip


def test_advice_shows_the_change_its_before_and_after_and_what_it_makes_void():
    shown = view_html(advised_view(ADVICE))
    for words in (
        "1. Pinion: 13 → 12", "Duty in the hardest load", "no longer fails", "≥ 5 %", "2 %", "9 %", "unknown",
        "Steady band in hover", "motor Kv", "40 %", "Nothing here moves recovery.",
        "Governor gain: it is not known; read it from the device.", "Computed only.", "2 checks fail.",
        'data-verdict="fail"',
    ):  # fmt: skip
        assert words in shown, words
    assert "mended" not in shown


def test_advice_says_a_share_of_duty_in_percent_as_the_sheet_does():
    share = replace(
        EFFECT, unit="", limit_text="<= 0.95", before=0.99, before_interval=(0.94, 1.03), after=0.91,
        after_interval=(0.88, 0.93), after_verdict=Outcome.PASS,
    )  # fmt: skip
    shown = view_html(advised_view(replace(ADVICE, changes=(replace(ADVICE.changes[0], effects=(share,)),))))
    for words in ("99 %", "94–103", "91 %", "≤ 95 %", "mended"):
        assert words in shown, words
    assert "0.9" not in shown


def test_advice_tells_no_folder_of_a_log():
    source = "/a/somewhere/0123/flight.csv"
    change = replace(ADVICE.changes[0], why=(f"log, {source}: duty is full",))
    told = replace(
        ADVICE, looked_at=("plan", source), changes=(change,), without_figures=(f"{source}: log again",),
        warnings=(f"{source} is short",),
    )  # fmt: skip
    shown = view_html(advised_view(told))
    assert "/a/" not in shown
    assert shown.count("flight.csv") == 4
    assert "Log flight.csv is short." in shown


def moved(figure, before, after, change, interval, said):
    return Moved(
        figure=figure, unit="", set_rpm=2000.0, set_rpm_after=2000.0, before=before, after=after, before_count=3,
        after_count=2, counted="flights", change=change, change_interval=interval, chance=0.01, said=said,
        reason="beyond noise", could_be=("air density",),
    )  # fmt: skip


def test_a_comparison_names_units_signs_and_what_else_it_could_be():
    result = Comparison(
        machine="Invented", before=("/a/old.csv",), after=("/a/new.csv",),
        changes=(
            moved("climb_droop_percent", 2.0, 3.5, 1.5, (0.7, 2.3), Said.WORSE),
            moved("load_recovery_s", 0.6, None, None, None, Said.UNTOLD),
            moved("hover_duty", 0.5, 0.5, -0.001, (-0.01, 0.01), Said.NOISE),
            moved("hunting_percent", 0.1, 0.15, 0.056, (0.0000604, 0.113), Said.NOISE),
        ),
        conditions=(
            Condition(condition="air density", unit="kg/m³", before=1.2, after=None, differs=None, reason="not known"),
            Condition(
                condition="speed at the head", unit="of the logs", before=1.0, after=2 / 3, differs=True,
                reason="differs",
            ),
        ),
        warnings=("one flight a side",), verdict=Outcome.FAIL, reasons=("droop became worse",), cautions=(),
    )  # fmt: skip
    shown = view_html(compared_view(result))
    for words in (
        "Climb droop", "+1.5 %", "+0.7 to +2.3 %", "changed, worse", "air density", "Load recovery", "0.6 s",
        "cannot tell", "50 % of full", "−1 to +1 % of full", "1.2 kg/m³", "not known", "old.csv",
        "all of the logs", "67 % of the logs", "0 to +0.12 %",
        "Droop became worse.", "Climb droop, Load recovery, Hover duty and Hunting: beyond noise.", "Counted: flights.",
        "1 of 4 figures changed beyond noise.", "Something became worse beyond noise.",
    ):  # fmt: skip
        assert words in shown, words
    assert "/a/" not in shown


def test_what_was_learned_shows_its_checks_once_and_the_logs_flown_with_both_files():
    checks = (
        Verdict(check="logs_and_file_agree", verdict=Outcome.PASS, reason="both can be right: motor.kv"),
        Verdict(
            check="new_file_explains_logs_better", verdict=Outcome.UNKNOWN, reason="it explains no better", figure=1.01,
            unit="of what was left over", limit=0.98, limit_text="<= 0.98 of what was left over",
            limit_origin="own choice", needs=("a log that shows more",),
        ),
    )  # fmt: skip
    result = Learned(
        machine="Invented", machine_revision=1, logs=("/a/one.csv",), parameters=(), figures=(), not_told_apart=(),
        governors=(), law=LawSeen(told=False, law=law_result(set_point_law(()), 0.0), readings=(), needs="readings"),
        converged=True, warnings=(), unknowns=(), proposal=Proposal(changes=(), text="", written=None),
        replayed=(
            Replayed(log="/a/one.csv", figure="head_speed_rpm", unit="rpm", before_rms=8.2, after_rms=6.1),
            Replayed(log="/a/one.csv", figure="duty", unit="", before_rms=0.031, after_rms=0.029),
        ),
        flown=(), checks=checks, verdict=Outcome.UNKNOWN, cautions=(),
        reasons=("told by these logs: motor.kv", *(check.reason for check in checks)),
    )  # fmt: skip
    shown = view_html(learned_view(result))
    for words in (
        "Logs and machine file can both be right", "Proposed file explains the logs better", "1.01", "≤ 0.98",
        "Needed: a log that shows more.", "Told by these logs: motor Kv.", "one.csv", "Head speed", "8.2 rpm",
        "6.1 rpm", "3.1 %", "2.9 %",
    ):  # fmt: skip
        assert words in shown, words
    assert shown.count("It explains no better.") == 1
    assert "/a/" not in shown


def test_a_machine_file_that_reads_well_proves_nothing():
    shown = view_html(check_view(job.check(job.read_machine(bundled("fox600")))))
    assert "it proves nothing about the machine" in shown
    assert "What is typical or missing is named below" in shown
    for words in (
        "pack choice 2 cells",
        "flight mode 1 head speed",
        "15 mΩ ± 1",
        "1100 µs",
        "12° ± 0.3",
        "kg m²",
        "140 °C",
    ):
        assert words in shown, words
    for raw in ("pack_choice", "mohm", "degC", " us ", "kg m2"):
        assert raw not in shown, raw


def test_a_failing_answer_says_where_it_failed():
    failed = Table(
        caption="Ramps", columns=columns("Ramp", "Verdict"), rows=((Cell(text="quick"), verdict_cell(Outcome.FAIL)),)
    )
    passed = replace(failed, caption="Steps", rows=((Cell(text="on"), verdict_cell(Outcome.PASS)),))
    section = Section(anchor="a", title="A", short="A", tables=(passed, failed))
    assert view("Invented", Outcome.FAIL, [section]).says == "Something failed: see the rows marked ✗ under “Ramps”."
    assert view("Invented", Outcome.FAIL, []).says == SAYS[Outcome.FAIL]
    assert view("Invented", Outcome.UNKNOWN, [section]).says == SAYS[Outcome.UNKNOWN]


def test_a_changed_part_under_an_old_revision_number_is_called_out():
    pinion = Difference(key="gears.pinion_teeth", before="13", after="14")
    counted = Difference(key="machine.revision", before="1", after="2")
    assert "was not counted up" in view_html(difference_view([pinion]))
    assert "was not counted up" not in view_html(difference_view([pinion, counted]))
    assert "was not counted up" not in view_html(difference_view([]))


def test_a_figure_is_named_with_its_unit():
    assert figure_name("flight_time_s") == ("Flight time", "s")
    assert figure_name("peak_sink_m_s") == ("Peak sink", "m/s")
    assert figure_name("head_room") == ("Head room", "of full")
    assert figure_name("modulus_margin") == ("Modulus margin", "")


def test_a_file_line_by_line_marks_what_goes_and_what_comes_and_lets_no_html_in():
    before = bundled("fox600").read_text("utf-8")
    after = before.replace("pinion_teeth = 13", "pinion_teeth = 14 # <b>new</b>")
    shown = lines_html(before, after)
    assert '<span class="goes">− pinion_teeth = 13' in shown
    assert "&lt;b&gt;new" in shown
    assert "<b>" not in shown
    assert 'class="goes"' not in lines_html(before, before)


def test_a_new_pinion_makes_the_duty_void_and_not_throttle_hold():
    void = void_checks([Difference(key="gears.pinion_teeth", before="13", after="14")])
    assert "Motor temperature" in void
    assert "Duty in the hardest load" in void
    assert "Throttle hold stops the motor" not in void
    assert void_checks([]) == ()


@pytest.mark.parametrize("key", ["limits.head_speed_max", "reading.1.head_speed"])
def test_another_limit_or_reading_never_says_that_all_is_well(key):
    shown = difference_view([Difference(key=key, before="2352 rpm", after="1900 rpm")])
    assert shown.verdict is Outcome.UNKNOWN
    assert "judged anew" in shown.says
    assert difference_view([Difference(key="site.elevation", before="0 m", after="10 m")]).verdict is Outcome.PASS
