"""Gains far too weak: the ones that mend it are found beyond the map, and named; and two modes stay two."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from steadyhead.advise import trials
from steadyhead.advise.evidence import Evidence, evidence
from steadyhead.advise.judges_words import GAINS, agreed
from steadyhead.advise.seen import GOVERNOR, Seen
from steadyhead.advise.trial import Trial
from steadyhead.advise.trials import _gain_trials, _speed_trials
from steadyhead.flight.governor_answer import governor
from steadyhead.flight.governor_result import TuningPoint
from steadyhead.flight.governor_tolerances import tolerances
from steadyhead.flight.tuning_advice import STEP_BY_STEP, advice, in_steps
from steadyhead.words.progress import silent
from steadyhead.words.value import Origin
from steadyhead.words.verdict import Outcome, Verdict
from tests.unit.advise.test_one_answer import FOX, changed


def test_gains_a_thirtieth_of_what_is_needed_are_found_and_not_the_edge_of_the_map() -> None:
    today = {key: FOX.value(key).si for key in ("governor.gain", "governor.integral_time")}  # type: ignore[union-attr]
    weak = FOX.replaced({"governor.gain": today["governor.gain"] / 12, "governor.integral_time": 4.0})
    seen = evidence(weak, (GOVERNOR,), (), silent)
    assert any(one.fails and one.check.check == "recovery" for one in seen.every)
    (trial,) = (one for one in _gain_trials(weak, seen, silent) if isinstance(one, Trial))
    assert trial.key == GAINS
    assert trial.numbers["governor.gain"] > 4.0 * today["governor.gain"] / 12
    after = {one.check: one for one in governor(trial.machine, say=silent).checks}
    assert after["recovery"].figure < 0.5 * after["recovery"].limit  # its doubt, that of the pack too, may reach over
    assert after["modulus_margin"].verdict is Outcome.PASS


def test_no_head_speed_is_tried_that_makes_two_flight_modes_one() -> None:
    speeds = [mode.head_speed.si for mode in FOX.flight_mode]
    close = FOX.replaced({"flight_mode.2.head_speed": speeds[0] * 1.085})
    tried = [one.numbers["flight_mode.2.head_speed"] for one in _speed_trials(close, 2)]
    assert tried
    assert min(tried) > 1.03 * speeds[0]


def test_the_highest_duty_is_told_for_the_pinion_that_is_advised_and_no_other() -> None:
    teeth = FOX.gears.pinion_teeth.number
    fewer = changed("gears.pinion_teeth", "some teeth", gears__pinion_teeth=teeth - 2.0)
    line = (
        "Hover duty is low and heats the controller: 5 teeth fewer on the pinion, or a higher head speed. The highest "
        "duty of this log, 0.66, comes to 0.94 with that, limit 0.95. That is not all that the hover asks for (6): "
        "more would leave the climb too little."
    )
    _, _, words = agreed(FOX, (fewer,), (), [("a.csv", line)], {})
    assert f"0.66, comes to {0.66 * teeth / (teeth - 2.0):.2f} with {teeth - 2.0:g} teeth, limit 0.95." in words[0]
    assert "0.94" not in words[0]
    assert "not all" not in words[0]


def point(gain: float, integral: float, margin: float) -> TuningPoint:
    return TuningPoint(
        gain_factor=gain, integral_factor=integral, drop_percent=1.0, rise_percent=1.0, recovery_s=0.5,
        modulus_margin=margin, machines_share=1.0, verdict=Outcome.PASS,
    )  # fmt: skip


def test_a_head_that_hunts_is_turned_in_one_step_and_not_flown_on_the_way() -> None:
    calmer, today = point(0.25, 0.25, 0.6), replace(point(1.0, 1.0, 0.0), verdict=Outcome.FAIL)
    for words in (in_steps(today, calmer), advice(today, calmer, (calmer,), tolerances(FOX), own=True)):
        assert "cut both in one step, with the head at rest" in words
        assert "not to be flown" in words
        assert "climb-out" not in words
    assert in_steps(point(1.0, 1.0, 0.3), calmer) == STEP_BY_STEP
    assert "both" not in in_steps(today, point(0.25, 1.0, 0.6))


@pytest.mark.parametrize("suggested", [True, False])
def test_gains_tried_on_a_head_that_hunts_say_so(monkeypatch: pytest.MonkeyPatch, suggested: bool) -> None:
    calmer, today = point(0.25, 0.25, 0.6), point(1.0, 1.0, 0.0)
    tuning = SimpleNamespace(suggested=calmer if suggested else None, points=(calmer, today), today=today)
    monkeypatch.setattr(trials, "governor", lambda *_, **__: SimpleNamespace(tuning=tuning))
    own = {key: replace(FOX.value(key), origin=Origin.FITTED) for key in trials.GAIN_KEYS}  # type: ignore[type-var]
    limit = tolerances(FOX).modulus
    margin = Seen(part=GOVERNOR, place="", check=Verdict.at_least("modulus_margin", 0.0, limit, what="margin"))
    seen = Evidence(parts={GOVERNOR: (margin,)}, cannot={})
    (trial,) = trials._gain_trials(FOX.filled(own), seen, silent)
    assert isinstance(trial, Trial)
    assert trial.note.startswith("cut both in one step, with the head at rest")
    assert "climb-out" not in trial.note
    assert (trials.NOT_YET in trial.note) is not suggested
