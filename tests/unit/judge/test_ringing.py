"""A head that is steady in hover and swings on after its climb-outs; one that overshoots once does not."""

import numpy as np
import pytest

from steadyhead.words.verdict import Verdict
from tests.unit.judge.test_telemetry import SET, judged

CLIMBS_S = (35.0, 55.0, 75.0)


def hunting(
    *,
    percent: float,
    hertz: float = 2.0,
    dies_s: float = 1e9,
    loads: int = 3,
    stick: bool = False,
    noise: float = 0.6,
    collective: bool = True,
) -> Verdict:
    """A flight with three climb-outs of 3 s; after the first `loads` of them the head swings for 3.5 s."""
    t = np.arange(0.0, 110.0, 0.02)
    rng = np.random.default_rng(5)
    head = np.interp(t, [5.3, 20.3, 100.0, 106.0], [0.0, SET, SET, 0.0]) + rng.normal(0.0, noise, t.size)
    pitch = np.interp(t, [24.0, 25.0, 95.0, 96.0], [0.0, 4.5, 4.5, 0.0])
    for k, start_s in enumerate(CLIMBS_S):
        climbing = (t > start_s) & (t < start_s + 3.0)
        pitch[climbing] = 11.0
        since = t - start_s - 3.0
        head -= np.where(climbing, 25.0 * np.exp(-(t - start_s) / 0.3), 0.0)
        head += np.where(since > 0.0, 30.0 * np.exp(-np.maximum(since, 0.0) / 0.25), 0.0)
        after = (since > 0.0) & (since < 3.5)
        if k < loads:
            swing = np.sin(2.0 * np.pi * hertz * since) * np.exp(-np.maximum(since, 0.0) / dies_s)
            head += np.where(after, percent / 100.0 * SET * swing, 0.0)
            pitch += np.where(after & stick, 3.0 * np.sin(2.0 * np.pi * hertz * since), 0.0)
    duty = np.where((t > 5.3) & (t < 100.0), 0.74 + 0.015 * pitch, 0.0)
    channels = {
        "head_speed_rpm": np.maximum(head, 0.0), "duty": duty,
        "throttle_percent": np.interp(t, [5.0, 5.01, 100.0, 100.01], [0.0, 80.0, 80.0, 0.0]),
        "pack_current_a": np.where(duty > 0.0, np.maximum(6.0 + 6.0 * pitch, 2.0), 0.3),
    }  # fmt: skip
    if collective:
        channels["collective_deg"] = pitch
    return next(found for found in judged(t, channels).checks if found.check == "no_hunting")


def test_a_swing_that_goes_on_after_every_climb_out_is_hunting() -> None:
    found = hunting(percent=0.9)
    assert found.verdict == "fail", found.reason
    assert "after 3 of 3 hard loads the head swung on, 2.0 Hz" in found.reason
    assert found.figure == pytest.approx(0.9, abs=0.1)


def test_a_sound_governor_overshoots_once_and_passes() -> None:
    assert hunting(percent=0.0).verdict == "pass"
    assert hunting(percent=1.5, dies_s=0.3).verdict == "pass"
    assert hunting(percent=0.0, noise=10.0).verdict != "fail"


def test_a_swing_of_the_stick_is_not_the_loop() -> None:
    assert hunting(percent=0.9, stick=True).verdict == "pass"


@pytest.mark.parametrize(("hertz", "said"), [(2.0, "unknown"), (3.8, "fail")])
def test_without_collective_only_a_swing_quicker_than_a_hand_fails(hertz: float, said: str) -> None:
    assert hunting(percent=1.0, hertz=hertz, collective=False).verdict == said


def test_ringing_after_a_third_of_the_loads_is_told_by_none_of_them() -> None:
    assert hunting(percent=0.9, loads=1).verdict == "pass"
    assert hunting(percent=0.9, loads=2).verdict == "fail"
