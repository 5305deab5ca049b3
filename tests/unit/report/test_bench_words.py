"""Words on the page of the bench and of readings: units as they are printed, no keys, no false zeros."""

import re

import pytest

from steadyhead.bench.fixed_steps import bench_of, steps_before
from steadyhead.bench.judged_answer import judged
from steadyhead.bench.step import Answer, Entry, Step
from steadyhead.channel.result import Reading
from steadyhead.report.check_tables import check_table
from steadyhead.report.sentences import tidy
from steadyhead.report.views.benched import expected_words
from steadyhead.report.wording import kept_reading, spread_words
from steadyhead.words.verdict import Outcome, Verdict
from tests.unit.channel.bench import machine


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


@pytest.mark.parametrize(("word", "learned"), [("low", "1098 us"), ("high", "1902 us"), ("low", "1100 us")])
def test_what_an_end_step_expects_is_what_it_passes(word: str, learned: str) -> None:
    bench = bench_of(machine(**{f"learned_{word}": learned}))
    step = next(one for one in steps_before(bench) if one.step == f"end_point: {word}")
    low, high = step.expected_interval
    printed = [float(end) for end in re.findall(r"within (\S+) to (\S+)", expected_words(step))[0]]
    assert low <= printed[0] <= printed[1] <= high

    def passes(pulse_us: float) -> bool:
        checks = judged(bench, step, Answer(figure=pulse_us))
        return all(check.verdict is Outcome.PASS for check in checks)

    assert all(passes(at) for at in (low, high, *printed))
    assert not any(passes(at) for at in (low - 0.01, high + 0.01))
    assert not any(passes(at) for at in (printed[0] - 1.0, printed[1] + 1.0))


def test_printed_ends_lie_within_what_passes() -> None:
    step = Step(
        step="threshold: start", part="thresholds", title="", action=(), switch="", asks="", entry=Entry.PERCENT,
        unit="percent", expected=14.0, expected_interval=(13.8754, 14.1246),
    )  # fmt: skip
    assert expected_words(step) == "14 %, within 13.88 to 14.12 %"
