"""One rule for all verdicts on a log: neither pass nor fail where the interval lies on both sides of the limit."""

import numpy as np
import pytest

from steadyhead.judge.result import Judgement
from steadyhead.words.verdict import Outcome, Verdict
from tests.naive.drive_log import Drive
from tests.recorded import flight
from tests.unit.judge.test_faults import check
from tests.unit.judge.test_faults import judged as flown
from tests.unit.judge.test_telemetry import SET, judged
from tests.unit.judge.test_telemetry import flight as plain

DRIVES = (
    Drive(), Drive(pack_resistance=0.046), Drive(pack_resistance=0.06), Drive(kp=0.4, ki=1.5), Drive(soft_s=9.9),
    Drive(quick_s=2.95), Drive(quick_s=3.4), Drive(kp=6.0, delay_s=0.04), Drive(windup=True),
)  # fmt: skip


def decided(got: Judgement) -> list[Verdict]:
    return [each for each in got.checks if each.verdict is not Outcome.UNKNOWN and each.figure_interval is not None]


@pytest.mark.parametrize("hertz", [5.0, 50.0])
@pytest.mark.parametrize("drive", DRIVES)
def test_no_verdict_lies_inside_its_own_doubt(drive: Drive, hertz: float) -> None:
    got = decided(flown(drive, flight(), hertz=hertz))
    assert got
    for each in got:
        ends, limit = each.figure_interval, each.limit
        assert ends is not None
        assert limit is not None
        sides = {end <= limit for end in ends}
        assert len(sides) == 1 or limit in ends or each.check in ("charge_left", "recovery"), each.reason


def test_a_fail_is_unknown_where_it_may_hold_and_stays_where_it_may_not() -> None:
    near, far = (check(flown(Drive(pack_resistance=r), flight()), "pack_resistance") for r in (0.047, 0.08))
    assert near.verdict is Outcome.UNKNOWN, near.reason
    assert "it may hold" in near.reason
    assert far.verdict is Outcome.FAIL


@pytest.mark.parametrize(("noise", "swing", "said"), [(12.0, 0.0, "unknown"), (2.0, 40.0, "fail")])
def test_noise_in_uneven_rows_makes_no_wide_band_and_a_swing_does(noise: float, swing: float, said: str) -> None:
    t, channels = plain(restart_s=1.2, cut_rpm=1000.0)
    rng = np.random.default_rng(8)
    t = t + rng.uniform(-0.006, 0.006, t.size)
    head = np.where(channels["motor_side_speed_rpm"] > 30.0, channels.pop("motor_side_speed_rpm"), 0.0)
    calm = (head > 0.9 * SET) & (t > 25.0)
    head = head + np.where(calm, rng.normal(0.0, noise, t.size) + swing * np.sin(2.0 * np.pi * 2.0 * t), 0.0)
    channels["head_speed_rpm"] = head
    assert check(judged(t, channels), "steady_band").verdict == said
