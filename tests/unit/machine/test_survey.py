from steadyhead.machine.survey import survey
from steadyhead.words.verdict import Outcome
from tests.unit.machine.sample import machine


def test_a_survey_keeps_given_typical_and_missing_apart():
    found = survey(
        machine('[airframe]\nmass = {value = "3.6 kg", spread = "30 g", from = "measured", note = "scales"}\n')
    )
    given = {entry.key: entry for entry in found.given}
    assert (given["airframe.mass"].value, given["airframe.mass"].note) == ("3.6 kg ± 0.03 (measured)", "scales")
    assert "rotor.chord" in {entry.key for entry in found.typical}
    assert "motor.poles" in found.missing
    assert not set(given) & {entry.key for entry in found.typical}


def test_something_implausible_leaves_the_verdict_unknown():
    assert survey(machine()).verdict is Outcome.PASS
    odd = survey(machine('[airframe]\nmass = "12 kg"\n'))
    assert odd.verdict is Outcome.UNKNOWN
    assert "12 kg" in odd.implausible[0]
