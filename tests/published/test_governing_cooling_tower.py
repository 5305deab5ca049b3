"""A real tachometer log of governed fans, every 10 s for four hours: tests/data/governing/cooling_tower_fan_speed.csv.

sandialabs/fsea, MIT licence (beside the data); S. W. Eaton et al., Applied Acoustics 199 (2022) 109105. Read: fans A
and B hold one fixed speed, D is varied. The expected statistics come from the standard library, not from ours.
"""

import statistics

import numpy as np
import pytest

from steadyhead.judge.governing import speed_band_percent
from steadyhead.judge.set_speed import plateau
from tests.agrees import agrees
from tests.governing_rows import governing_rows

ROWS = governing_rows("cooling_tower_fan_speed.csv")
FAN = {fan: [float(row[f"fan_{fan}_motor_rev_per_min"]) for row in ROWS] for fan in "ABD"}


@pytest.mark.parametrize("fan", ["A", "B"])
def test_the_plateau_of_a_fixed_fan_is_its_median(fan: str) -> None:
    got = plateau(np.array(FAN[fan]), 100)
    assert got is not None
    assert agrees(got, statistics.median(FAN[fan]), percent=1e-6, because="one speed only, so the plateau is all of it")


@pytest.mark.parametrize("fan", ["A", "B"])
def test_a_fixed_fan_keeps_the_narrowest_class_and_the_varied_one_keeps_none(fan: str) -> None:
    fixed, varied = FAN[fan], FAN["D"]
    assert speed_band_percent(min(fixed), max(fixed), statistics.mean(fixed)) < 1.0
    assert speed_band_percent(min(varied), max(varied), statistics.mean(varied)) > 25.0


def test_the_varied_fan_has_a_plateau_inside_its_range() -> None:
    got = plateau(np.array(FAN["D"]), 100)
    assert got is not None
    assert min(FAN["D"]) < got < max(FAN["D"])
