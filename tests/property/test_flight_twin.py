"""The engine against a plain twin in numpy and scipy's LSODA, on drawn machines, duties and collectives."""

import math

import numpy as np
import pytest

from steadyhead.flight.begin import hovering
from steadyhead.flight.rig import rig
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.books import ENTRIES
from steadyhead.physics.craft import Acting
from steadyhead.physics.flight_step import flight_step
from tests.naive.flight_twin import flown
from tests.unit.flight.plain_numbers import plain, plain_state

END_S, STEP_S = 1.5, 1e-3
RPM = 30.0 / math.pi


@pytest.mark.parametrize(("name", "seed"), [("fox600", 1), ("wren450", 3), ("heron520", 4)])
def test_the_engine_agrees_with_the_plain_twin(name, seed):
    draw = np.random.default_rng(seed)
    ready = rig(read_machine(bundled(name)), blades_on=True)
    now, (flow, _) = hovering(ready, mode=0, channel_percent=60.0, height_m=80.0, charge=float(draw.uniform(0.4, 0.95)))
    trim, held = now.collective_rad, now.governor.duty
    swing, rate = float(draw.uniform(0.01, 0.03)), float(draw.uniform(2.0, 6.0))
    more, slow = float(draw.uniform(0.01, 0.03)), float(draw.uniform(1.0, 3.0))

    def collective(time_s):
        return trim + swing * (1.0 - math.cos(rate * time_s))

    def duty(time_s):
        return held + more * (1.0 + math.sin(slow * time_s))

    start = plain_state(now.state, flow)
    times, wanted = flown(plain(ready.craft), start, duty, collective, END_S, 16)
    state, carried, books = now.state, now.carried, np.zeros(len(ENTRIES))
    track = [state]
    for step in range(round(END_S / STEP_S)):
        middle = (step + 0.5) * STEP_S
        acting = Acting(duty(middle), collective(middle), 0.0, 0.0, 1.0, 0.0, math.nan)
        state, carried, _ = flight_step(ready.craft, state, acting, carried, flow, books, STEP_S)
        if (step + 1) % 100 == 0:
            track.append(state)
    assert all(one.locked == 1.0 for one in track)
    head = np.array([one.head_rad_s for one in track])
    assert np.abs(head - wanted[:, 0]).max() * RPM < 0.02
    assert np.abs(np.array([one.climb_m_s for one in track]) - wanted[:, 1]).max() < 1e-3
    assert np.abs(np.array([one.charge for one in track]) - wanted[:, 3]).max() < 1e-6
    assert np.abs(np.array([one.slow_v for one in track]) - wanted[:, 4]).max() < 1e-5
    assert np.abs(np.array([one.winding_k for one in track]) - wanted[:, 5]).max() < 1e-3
    assert np.abs(np.array([one.controller_k for one in track]) - wanted[:, 7]).max() < 1e-3
    assert np.ptp(head) * RPM > 5.0
    assert times[-1] == END_S
