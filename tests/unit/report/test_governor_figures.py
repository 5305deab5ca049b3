"""The governor's drawings: they say in words what they show, and are whole SVG files."""

from dataclasses import replace
from pathlib import Path

import pytest

from steadyhead.flight.governor_result import GovernorAnswer, Tuning, TuningPoint
from steadyhead.flight.quick_ramp import QUICK, ramp
from steadyhead.flight.ramp_limits import known_limits
from steadyhead.report.figures.quick_ramp import ramp_drawing, ramp_words
from steadyhead.report.figures.tuning import tuning_drawing, tuning_words
from steadyhead.report.files import write_whole
from steadyhead.words.verdict import Limit, Outcome
from tests.unit.flight.governed import case, machine, ready

FACTORS = (0.25, 0.5, 1.0, 2.0, 4.0)


def point(gain: float, integral: float) -> TuningPoint:
    verdict = Outcome.PASS if gain >= 2.0 else Outcome.UNKNOWN if gain >= 1.0 else Outcome.FAIL
    return TuningPoint(
        gain_factor=gain, integral_factor=integral, drop_percent=4.0 / gain, rise_percent=3.0 / integral,
        recovery_s=None if gain < 0.5 else 1.0 / gain, modulus_margin=0.9 / (1.0 + 0.2 * gain), machines_share=0.5,
        verdict=verdict,
    )  # fmt: skip


def hand_made() -> Tuning:
    points = tuple(point(gain, integral) for gain in FACTORS for integral in FACTORS)
    return Tuning(
        drawn=19, factors=FACTORS, points=points, today=points[12], suggested=points[17], suggested_gain=2.4,
        suggested_integral_time_s=0.4, advice="P: raise", advice_known=True, explanation=(),
    )  # fmt: skip


def test_the_map_says_its_verdict_in_words_and_marks_todays_gains() -> None:
    drawing = tuning_drawing("Fox", hand_made(), Limit(value=4.0, unit="%", origin="test"))
    assert "? Fox: today's gains hold them on the machine described, not on all drawn" in drawing.says
    for words in (
        "today's gains",
        "nearest good ones",
        "proportional gain",
        "limit 4.0 % below",
        "✗ break a tolerance",
    ):
        assert words in drawing.svg
    assert drawing.svg.startswith("<svg")
    assert drawing.svg.rstrip().endswith("</svg>")


def test_typical_gains_are_not_called_todays() -> None:
    typical = replace(hand_made(), advice_known=False)
    assert "typical gains (today's are not known)" in tuning_words("Fox", typical)


def test_a_map_without_good_gains_is_drawn_all_the_same() -> None:
    bad = tuple(replace(one, verdict=Outcome.FAIL, modulus_margin=0.0) for one in hand_made().points)
    none = replace(hand_made(), points=bad, today=bad[12], suggested=None)
    assert "nearest good ones" not in tuning_drawing("Fox", none).svg


@pytest.mark.parametrize("name", ["wren450", "fox600"])
def test_the_ramp_is_drawn_with_what_is_known(name: str, tmp_path: Path) -> None:
    one = ramp(ready(name), QUICK, case(name, "hover", 0.2).point, "normal", ())
    drawing = ramp_drawing(one, known_limits(machine(name)))
    assert ramp_words(one).endswith("limits or inputs not known") is (name == "wren450")
    assert ramp_words(one).startswith("✗ fail" if name == "fox600" else "? unknown")
    assert ("not known" in drawing.svg) is (name == "wren450")
    assert "ramp from rest to head speed (s)" in drawing.svg
    write_whole({tmp_path / "ramp.svg": drawing.svg.encode()})
    assert (tmp_path / "ramp.svg").read_text("utf-8") == drawing.svg


def test_no_ramp_that_keeps_the_limits_is_said() -> None:
    one = ramp(ready("fox600"), QUICK, case("fox600", "hover", 0.2).point, "normal", ())
    assert "no ramp looked at" in ramp_words(replace(one, shortest_s=None))


def test_the_answer_has_a_place_for_every_promised_figure() -> None:
    fields = set(GovernorAnswer.__dataclass_fields__)
    assert {"gains", "conditions", "steps", "tuning", "ramps", "checks", "verdict", "unknowns", "cautions"} <= fields
