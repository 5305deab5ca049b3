"""Droop of a plain 2 hp induction motor: tests/data/governing/droop_induction_motor.csv.

Case Western Reserve University bearing rig, speeds read from a stored copy; droop to three decimals in the file.
"""

import pytest

from steadyhead.judge.governing import speed_droop_percent
from tests.agrees import agrees
from tests.governing_rows import governing_rows

ROWS = governing_rows("droop_induction_motor.csv")
IDLE = float(ROWS[0]["speed_rev_per_min"])


@pytest.mark.parametrize("row", ROWS[1:], ids=lambda row: f"{row['load_hp']} hp")
def test_droop_of_the_motor_is_the_printed_one(row: dict[str, str]) -> None:
    speed, printed = float(row["speed_rev_per_min"]), float(row["droop_percent_to_this_load"])
    got = speed_droop_percent(IDLE, speed, speed)
    assert agrees(got, printed, percent=100.0 * 0.000501 / printed, because="the table prints three decimals")


def test_droop_to_no_load_is_nothing() -> None:
    assert speed_droop_percent(IDLE, IDLE, IDLE) == float(ROWS[0]["droop_percent_to_this_load"])
