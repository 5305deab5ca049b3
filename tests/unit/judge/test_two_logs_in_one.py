"""Two logs written into one file: a fresh pack shows in the voltage, though the head was never seen to stop."""

import numpy as np
import pytest

from tests.unit.judge.test_telemetry import flight, judged


@pytest.mark.parametrize("fresh_v", [49.5, None])
def test_a_fresh_pack_parts_two_flights_where_the_head_was_not_seen_to_stop(fresh_v: float | None) -> None:
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0)
    drawn = np.where(channels["duty"] > 0.1, 60.0, 0.3)
    used = np.cumsum(drawn) * 0.02 / 3600.0 / 4.0
    cell = np.interp(used, [0.0, 0.2, 0.5], [4.12, 3.88, 3.75])
    once = {**channels, "pack_current_a": drawn, "pack_voltage_v": 12.0 * cell - 0.028 * drawn}
    twice = {name: np.concatenate([values, values]) for name, values in once.items()}
    if fresh_v is None:
        twice["pack_voltage_v"][t.size :] = once["pack_voltage_v"] - (
            once["pack_voltage_v"][0] - once["pack_voltage_v"][-1]
        )
    got = judged(np.concatenate([t, t + t[-1] + 0.02]), twice)
    assert len(got.flights) == (2 if fresh_v else 1)
    if fresh_v:
        assert got.flights[1].pack_changed
        assert got.flights[1].start_s == pytest.approx(t[-1], abs=0.6)
