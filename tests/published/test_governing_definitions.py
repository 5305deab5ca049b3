"""Vocabulary of ISO 3046-4 and ISO 8528-5 with worked numbers: tests/data/governing/governing_definitions.csv.

Meanings from memory; rows 3 and 4 were read in a service manual. Read: each row's example and its value.
"""

import numpy as np
import pytest

from steadyhead.judge.governing import (
    head_room,
    speed_band_percent,
    speed_droop_percent,
    transient_deviation_percent,
)
from steadyhead.judge.transient import recovery_time_s
from tests.agrees import agrees
from tests.governing_rows import governing_rows

VALUE = {row["term"]: row["example_value"].removeprefix("+-") for row in governing_rows("governing_definitions.csv")}
EXACT = "the example is plain arithmetic on round numbers"
GOT = {
    "speed droop": speed_droop_percent(2080.0, 2000.0, 2000.0),
    "instantaneous (momentary) speed regulation on load removal": transient_deviation_percent(2160.0, 2000.0, 2000.0),
    "steady-state speed regulation on load removal": transient_deviation_percent(2040.0, 2000.0, 2000.0),
    "steady-state speed band": speed_band_percent(1988.0, 2012.0, 2000.0),
    "transient speed deviation from rated": transient_deviation_percent(1820.0, 2000.0, 2000.0),
    "transient speed deviation from initial": transient_deviation_percent(1820.0, 2040.0, 2000.0),
    "speed dead band": speed_band_percent(1999.8, 2000.2, 2000.0),
    "stability index (governing speed band)": speed_band_percent(1998.0, 2002.0, 2000.0) / 2.0,
    "head-room (ours)": 100.0 * head_room(50.0, 42.0),
}


@pytest.mark.parametrize("term", sorted(GOT))
def test_definition_gives_its_worked_value(term: str) -> None:
    assert agrees(GOT[term], float(VALUE[term]), percent=1e-8, because=EXACT)


def test_an_isochronous_governor_has_no_droop() -> None:
    assert float(VALUE["isochronous"]) == speed_droop_percent(2000.0, 2000.0, 2000.0)


@pytest.mark.parametrize("step_s", [0.01, 0.05])
def test_recovery_runs_from_leaving_the_band_to_entering_it_for_good(step_s: float) -> None:
    time_s = np.arange(0.0, 8.0, step_s)
    away = np.interp(
        time_s, [0.0, 2.9, 3.1, 3.6, 3.8, 4.0, 4.25, 4.45, 8.0], [0.0, 0.0, 2.0, 2.0, 0.5, 2.0, 2.0, 0.0, 0.0]
    )
    got, left = recovery_time_s(time_s, 2000.0 - 20.0 * away, 2000.0, 20.0)
    assert left
    assert got is not None
    assert agrees(got, float(VALUE["recovery time"]), percent=0.5, because="corners fall between two samples")
