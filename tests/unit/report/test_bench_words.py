"""Words on the page of the bench and of readings: units as they are printed, no keys, no false zeros."""

from steadyhead.bench.step import Entry, Step
from steadyhead.channel.result import Reading
from steadyhead.report.check_tables import check_table
from steadyhead.report.sentences import tidy
from steadyhead.report.views.benched import expected_words
from steadyhead.report.wording import kept_reading, spread_words
from steadyhead.words.verdict import Outcome, Verdict


def reading(spread):
    return Reading(percent=75.5, head_speed_rpm=1962.0, spread_rpm=spread, source="typed")


def test_a_spread_that_nobody_stated_is_no_zero():
    assert spread_words(reading(0.0)) == "not stated"
    assert spread_words(reading(6.0)) == "6 rpm"
    assert kept_reading(reading(0.0), "2026-05-03T14:02:11.123Z") == (
        "75.5 %: 1962 rpm, spread not stated; kept 3 May 2026, 14:02 UTC"
    )


def test_no_key_of_the_machine_file_stands_in_the_limit_column():
    check = Verdict(
        check="quick_restart_on_bench: soon",
        verdict=Outcome.PASS,
        reason="quick",
        limit_text="quick",
        limit_origin="run_logic.permission",
    )
    told = " ".join(cell.text for cell in check_table([check], "Checks").rows[0])
    assert "run_logic" not in told
    assert "permission" in told


def test_microseconds_are_written_as_one_unit():
    step = Step(
        step="end_point: low", part="end points", title="", action=(), switch="", asks="Which pulse width, in us?",
        entry=Entry.PULSE, unit="us", expected=1100.0, expected_interval=(1098.0, 1102.0),
    )  # fmt: skip
    assert expected_words(step) == "1100 µs, within 1098 to 1102 µs"
    assert tidy(step.asks) == "Which pulse width, in µs?"
