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
