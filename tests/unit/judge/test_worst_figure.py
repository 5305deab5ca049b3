"""The figure that is shown of several runs, flights or logs is the worst one."""

import dataclasses

import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.session import session
from steadyhead.judge.worst_figure import with_worst_figure, worst_of
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Limit, Outcome, Verdict
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.test_flights import flown
from tests.unit.judge.test_log_runs import seamed

AMPERES = Limit(value=50.0, unit="A", origin="maker")
VOLTS = Limit(value=3.3, unit="V", origin="maker")
SECONDS = (Limit(value=10.0, unit="s", origin="maker"), Limit(value=25.0, unit="s", origin="maker"))


def drawing(share: float) -> Trace:
    """Return a flight with so much more current and, by that, so much less voltage."""
    one = flown()
    amperes, volts = one.channels["pack_current_a"], one.channels["pack_voltage_v"]
    return dataclasses.replace(
        one,
        source=f"drawing-{share}",
        channels={
            **one.channels,
            "pack_current_a": amperes * share,
            "pack_voltage_v": volts - 0.02 * amperes * (share - 1.0),
        },
    )


@pytest.mark.parametrize("shares", [(1.0, 1.2), (1.2, 1.0)])
def test_the_figures_of_a_file_with_several_runs_are_those_of_the_worst_run(shares: tuple[float, float]) -> None:
    got = {check.check: check for check in judge(MACHINE, seamed(*map(drawing, shares))).checks}
    worse = {check.check: check for check in judge(MACHINE, drawing(1.2)).checks}
    for name in ("esc_current", "cell_voltage"):
        assert got[name].verdict is worse[name].verdict
        assert got[name].figure == pytest.approx(worse[name].figure, rel=1e-6)


def test_the_log_that_is_named_as_the_worst_of_several_holds_the_worst_figure() -> None:
    told = session(MACHINE, [judge(MACHINE, drawing(share)) for share in (1.0, 1.2, 1.1)])
    assert next(check for check in told.checks if check.check == "esc_current").worst_log == "drawing-1.2"


def test_a_check_over_several_logs_carries_the_figure_and_the_reason_of_a_log_that_says_the_same() -> None:
    limit = Limit(value=0.9, unit="", origin="owner")
    judged = judge(MACHINE, flown())
    held = [
        Verdict.at_most("duty_margin", 0.6, limit, what="the highest duty"),
        Verdict.unknown("duty_margin", "no hard load in this log"),
        Verdict.at_most("duty_margin", 0.668, limit, what="the highest duty", interval=(0.66, 0.68)),
    ]
    logs = [
        dataclasses.replace(
            judged,
            log=f"{k}.csv",
            checks=(check,),
            trace=dataclasses.replace(judged.trace, source=f"{k}", time_s=judged.trace.time_s * (1.0 + 0.01 * k)),
        )
        for k, check in enumerate(held)
    ]
    (told,) = session(MACHINE, logs).checks
    assert (told.verdict, told.passed, told.unknown) == (Outcome.PASS, 2, 1)
    assert "0.668" in told.reason
    assert (told.worst_log, told.figure, told.figure_interval, told.limit) == ("2.csv", 0.668, (0.66, 0.68), 0.9)


def test_the_worst_verdict_is_the_one_nearest_to_its_limit_or_farthest_beyond_it() -> None:
    currents = [Verdict.at_most("esc_current", figure, AMPERES, what="it") for figure in (27.0, 45.0, 31.0)]
    assert worst_of(currents).figure == 45.0
    cells = [Verdict.at_least("cell_voltage", figure, VOLTS, what="it") for figure in (3.6, 3.4, 3.5)]
    assert worst_of(cells).figure == 3.4
    starts = [Verdict.between("soft_start_time", figure, *SECONDS, what="it") for figure in (9.0, 27.0, 7.0, 12.0)]
    assert worst_of(starts).figure == 7.0
    unknown = Verdict.unknown("esc_current", "the log has no current")
    assert worst_of([*currents, unknown]) is unknown
    assert worst_of([unknown]).verdict is Outcome.UNKNOWN


def test_an_unknown_of_one_run_does_not_hide_the_worse_figure_of_another() -> None:
    passed = Verdict.at_most("esc_current", 45.0, AMPERES, what="the highest current", interval=(43.0, 47.0))
    low = Verdict.at_most("esc_current", 30.0, AMPERES, what="the highest current")
    doubtful = dataclasses.replace(
        low, verdict=Outcome.UNKNOWN, figure_interval=(29.0, 58.0), reason=f"{low.reason}; but it may have peaked"
    )
    told = with_worst_figure(doubtful, [passed, doubtful, low], "in another run")
    assert told.verdict is Outcome.UNKNOWN
    assert told.figure == 45.0
    assert told.figure_interval == (43.0, 58.0)
    assert "is 45 A" in told.reason
    assert "in another run the highest current is 30 A" in told.reason
    assert with_worst_figure(doubtful, [low, doubtful], "in another run") is doubtful
    assert with_worst_figure(passed, [low], "in another run") is passed
