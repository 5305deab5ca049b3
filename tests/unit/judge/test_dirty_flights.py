"""Dirty logs of hidden flights: no fault passes, no sound figure fails. More: scripts/dirty_log_errors.py."""

from pathlib import Path

import pytest

from scripts.dirty_log_errors import Counts, try_log

ONCE_WRONG = {
    1: "rows lost at a bail-out",
    17: "rows lost in the last pump",
    25: "the lowest voltage between two rows of a hunting drive",
    29: "the head rises before the current shows the end of a climb",
    41: "no throttle channel: how soon after the switch is not known",
    46: "the current does not show where pumping ends",
    47: "hunting taken for pumps, so that no climb was looked at",
    53: "the end of a climb, seen in the current",
    63: "a faster mode taken for a climb, so the bench for a hover",
    82: "the speed before the climb was not seen",
    107: "a slow ramp without duty shows its start late",
}
"""Seeds that gave a wrong verdict when they were first judged."""


@pytest.mark.parametrize("seed", [*ONCE_WRONG, 6, 9, 13])
def test_a_dirty_log_gives_no_wrong_verdict(seed: int, tmp_path: Path) -> None:
    counts = Counts()
    try_log(counts, seed, tmp_path)
    assert counts.missed == []
    assert counts.alarms == []
    assert counts.refused == []
    assert sum(counts.verdicts[key] for key in counts.verdicts if key[1] == key[2]) >= 6
