from dataclasses import replace
from datetime import date

from steadyhead.report.evidence import Evidence
from steadyhead.report.heading import heading
from steadyhead.words.verdict import Limit, Outcome, Verdict
from tests.unit.report import hand_made

DAY = date(2026, 11, 25)
GOOD = Verdict.at_most("steady_band", 0.5, Limit(value=1.0, unit="%", origin="test"), what="band")
PLAN = replace(hand_made.plan(), verdict=Outcome.PASS)
CHANNEL = replace(hand_made.channel(), verdict=Outcome.PASS)


def top(machine: hand_made.HandMachine):
    flown = hand_made.judgement("flight.csv", (GOOD,))
    return heading(Evidence(machine=machine, plan=PLAN, channel=CHANNEL, judgements=(flown,)), DAY)


def test_a_sheet_says_machine_revision_date_and_evidence() -> None:
    said = " ".join(top(hand_made.HandMachine()).facts)
    for word in ("600", "Revision 3", "25 November 2026", "flight.csv"):
        assert word in said


def test_evidence_of_another_revision_never_passes() -> None:
    assert top(hand_made.HandMachine()).verdict is Outcome.PASS
    stale = top(hand_made.HandMachine(revision=4))
    assert stale.verdict is Outcome.UNKNOWN
    assert "another revision" in stale.parts[-1].says


def test_only_an_invented_machine_is_called_invented() -> None:
    assert "Invented" in top(hand_made.HandMachine()).invented
    assert top(hand_made.HandMachine(invented=False)).invented == ""
