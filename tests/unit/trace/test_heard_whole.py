"""What is claimed is the course of one rotor: a short piece that none could come from or go to is a slip."""

import numpy as np

from steadyhead.trace.heard_whole import of_one_rotor
from steadyhead.trace.sound_spectrum import HOP_S
from steadyhead.trace.sound_tracker import CLAIMED_FROM, Frames

TOP_RPM = 3000.0


def frames(speed_rpm) -> Frames:
    """Claimed wherever a speed is given."""
    speed = np.asarray(speed_rpm, float)
    nothing = np.zeros((speed.size, 6))
    return Frames(
        time_s=HOP_S * np.arange(speed.size), head_speed_rpm=speed, confidence=1.0 * np.isfinite(speed),
        doubt_rpm=np.ones(speed.size), heard=nothing, blades=nothing[:, :2], source=np.zeros(speed.size, np.int64),
        rival_times=np.zeros(speed.size),
    )  # fmt: skip


def claimed(speed_rpm):
    return of_one_rotor(frames(speed_rpm), TOP_RPM).confidence >= CLAIMED_FROM


def test_a_short_piece_that_no_rotor_could_have_come_from_is_not_claimed() -> None:
    speed = np.full(400, 2000.0)
    speed[100:120] = 2900.0
    speed[0:16], speed[16:18] = 2700.0, np.nan
    kept = claimed(speed)
    assert not kept[100:120].any()
    assert not kept[:18].any()
    assert kept[18:100].all()
    assert kept[120:].all()


def test_a_rise_a_fall_and_a_gap_stay_claimed() -> None:
    speed = np.concatenate((np.linspace(300.0, 2500.0, 60), np.full(100, 2500.0), np.linspace(2500.0, 900.0, 60)))
    assert claimed(speed).all()
    speed[80:110] = np.nan
    assert (claimed(speed) == np.isfinite(speed)).all()


def test_a_recording_that_was_cut_and_joined_keeps_both_its_parts() -> None:
    assert claimed(np.repeat((1700.0, 2500.0), 200)).all()


def test_nothing_claimed_stays_nothing() -> None:
    assert not claimed(np.full(50, np.nan)).any()
