"""Recovery seen from the motor side alone: the head is known again once the motor drives it."""

import pytest

from steadyhead.judge.checks_sensor import recovery_through_bearing
from steadyhead.words.verdict import Outcome, Verdict

SOUND = Verdict(check="recovery", verdict=Outcome.PASS, reason="recovery is 0.4 s", figure=0.4, unit="s", limit=1.0)


@pytest.mark.parametrize(
    ("free_s", "said"),
    [(0.0, Outcome.PASS), (0.9, Outcome.PASS), (1.2, Outcome.UNKNOWN), (None, Outcome.UNKNOWN)],
)
def test_recovery_passes_only_where_the_motor_drove_again_within_the_limit(free_s: float | None, said: Outcome) -> None:
    assert recovery_through_bearing(SOUND, free_s).verdict is said
