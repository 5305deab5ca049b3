"""Gains far too weak: the ones that mend it are found beyond the map, and named; and two modes stay two."""

from steadyhead.advise.evidence import evidence
from steadyhead.advise.judges_words import GAINS, agreed
from steadyhead.advise.seen import GOVERNOR
from steadyhead.advise.trial import Trial
from steadyhead.advise.trials import _gain_trials, _speed_trials
from steadyhead.flight.governor_answer import governor
from steadyhead.words.progress import silent
from steadyhead.words.verdict import Outcome
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
