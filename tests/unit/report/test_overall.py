from dataclasses import replace

from steadyhead.report.overall import checks_together, sheet_parts, sheet_verdict
from steadyhead.words.verdict import Limit, Outcome, Verdict
from tests.unit.report import hand_made

GOOD = Verdict.at_most("steady_band", 0.5, Limit(value=1.0, unit="%", origin="test"), what="band")
BAD = Verdict.at_most("steady_band", 1.5, Limit(value=1.0, unit="%", origin="test"), what="band")
OPEN = Verdict.unknown("steady_band", "no hover in it")
PLAN = replace(hand_made.plan(), verdict=Outcome.PASS)
CHANNEL = replace(hand_made.channel(), verdict=Outcome.PASS)


def logs(*checks: Verdict) -> list:
    return [hand_made.judgement(f"{number}.csv", (check,)) for number, check in enumerate(checks)]


def test_a_sheet_passes_only_when_every_part_passes() -> None:
    assert sheet_verdict(PLAN, CHANNEL, logs(GOOD)) is Outcome.PASS
    assert sheet_verdict(replace(PLAN, verdict=Outcome.FAIL), CHANNEL, logs(GOOD)) is Outcome.FAIL
    assert sheet_verdict(PLAN, replace(CHANNEL, verdict=Outcome.UNKNOWN), logs(GOOD)) is Outcome.UNKNOWN


def test_a_part_that_was_not_done_never_passes() -> None:
    assert sheet_verdict(None, CHANNEL, logs(GOOD)) is Outcome.UNKNOWN
    assert sheet_verdict(PLAN, None, logs(GOOD)) is Outcome.UNKNOWN
    assert sheet_verdict(PLAN, CHANNEL, []) is Outcome.UNKNOWN
    assert sheet_verdict(PLAN, CHANNEL, logs(OPEN)) is Outcome.UNKNOWN
    assert sheet_verdict(PLAN, CHANNEL, [hand_made.judgement("empty.csv", ())]) is Outcome.UNKNOWN


def test_one_failing_log_fails_the_check_whatever_the_others_say() -> None:
    assert sheet_verdict(PLAN, CHANNEL, logs(GOOD, BAD, GOOD)) is Outcome.FAIL
    ((check, told),) = checks_together(logs(GOOD, BAD, GOOD))
    assert check is BAD
    assert told == ("1.csv",)


def test_a_log_that_cannot_tell_takes_nothing_from_one_that_passes() -> None:
    assert sheet_verdict(PLAN, CHANNEL, logs(OPEN, GOOD)) is Outcome.PASS
    ((check, told),) = checks_together(logs(OPEN, GOOD))
    assert check is GOOD
    assert told == ("1.csv",)


def test_a_figure_that_may_not_hold_is_not_washed_away_by_another_log() -> None:
    limit = Limit(value=1.0, unit="%", origin="test")
    doubtful = Verdict.at_most("steady_band", 0.9, limit, what="band", interval=(0.7, 1.1))
    assert sheet_verdict(PLAN, CHANNEL, logs(doubtful, GOOD)) is Outcome.UNKNOWN


def test_a_check_that_no_log_can_tell_names_no_log() -> None:
    ((check, told),) = checks_together(logs(OPEN, OPEN))
    assert check is OPEN
    assert told == ()


def test_the_part_of_the_logs_names_what_failed() -> None:
    says = sheet_parts(PLAN, CHANNEL, logs(BAD))[2].says
    assert "steady band in hover" in says
    assert "0 of 1 check passed" in says


def test_the_figure_over_several_logs_is_the_worst_of_those_that_tell() -> None:
    amperes = Limit(value=60.0, unit="A", origin="test")
    drawn = [
        Verdict.at_most("esc_current", a, amperes, what="it", interval=(a - 1.0, a + 1.0)) for a in (15.0, 52.4, 30.0)
    ]
    ((check, told),) = checks_together(logs(*drawn))
    assert (check.figure, check.figure_interval) == (52.4, (51.4, 53.4))
    assert told == ("0.csv", "1.csv", "2.csv")
    volts = Limit(value=3.3, unit="V", origin="test")
    cells = [Verdict.at_least("cell_voltage", v, volts, what="it") for v in (4.142, 3.976)]
    assert checks_together(logs(*cells))[0][0].figure == 3.976


def test_the_unknown_figure_of_one_log_does_not_hide_the_worse_one_of_another_that_passes() -> None:
    amperes = Limit(value=60.0, unit="A", origin="test")
    passed = Verdict.at_most("esc_current", 55.0, amperes, what="it")
    doubtful = Verdict.at_most("esc_current", 40.0, amperes, what="it", interval=(30.0, 70.0))
    ((check, told),) = checks_together(logs(passed, doubtful))
    assert check.verdict is Outcome.UNKNOWN
    assert check.figure == 55.0
    assert told == ("1.csv",)
