"""Foreign logs by the public command: no fault passes, no sound figure fails, no column is misread.

More: scripts/foreign_log_errors.py.
"""

from pathlib import Path

import pytest

from scripts.foreign_log_errors import Counts, try_log

ONCE_WRONG = {
    5: "a duty of 0 to 255, most of it thrown away",
    9: "doubled rows, thirty in a row",
    19: "two lost rows of a motor speed on a trembling clock",
    23: "a soft ramp that began at half speed",
    62: "the same with slow sensors",
    101: "two logs in one file, and electrical speed over 100",
    116: "thousands grouped by points beside decimal commas, after a long rest",
    2224: "a restart that a speed sensor of 0.4 s shows late",
    2232: "a recovery that the noise of an electrical speed lengthened",
    2247: "a climb by the current alone, found half a second late, half of its droop lost",
    2250: "a head speed in steps of 30 rpm, wider than the band of recovery",
    2272: "a quick start from rest without a throttle channel",
    2289: "a band that was still the way back from the load before",
    2425: "a duty worked out from the speed that fails within its doubt",
    2496: "a recovery in steps of 30 rpm with bridged rows between",
    3009: "a head that swung about its set speed after a hard load of current, taken for not yet arrived",
    3089: "a head that swung by 5 % about a new set speed for 14 s, taken for not yet arrived",
    3397: "a hover that ended with the first tenth of an autorotation, its switch logged more seldom than the speed",
    252: "the sixth cell taken for six volts a count",
}
"""Seeds that gave a wrong verdict or a wrong figure when they were first judged."""


@pytest.mark.parametrize("seed", ONCE_WRONG)
def test_a_foreign_log_gives_no_wrong_verdict(seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    counts = Counts()
    try_log(counts, seed, tmp_path)
    for kind in ("passed", "alarms", "misread", "off", "refused"):
        assert counts.lines[kind] == []
    assert sum(counts.verdicts[key] for key in counts.verdicts if key[1] == key[2]) >= 5


ANSWERED = {
    (2231, "recovery"): "a climb that takes three quarters more current than hover",
    (2231, "climb_droop"): "the same",
    (2265, "recovery"): "seen from the motor side, which drives the head again soon after each load",
    (2316, "recovery"): "the same with a sensor of quick rows",
}


@pytest.mark.parametrize(("seed", "name"), ANSWERED)
def test_a_foreign_log_answers_what_it_shows(
    seed: int, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    counts = Counts()
    try_log(counts, seed, tmp_path)
    assert counts.verdicts[name, "pass", "pass"] == 1
