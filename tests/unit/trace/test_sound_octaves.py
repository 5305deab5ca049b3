"""Twice and three times a speed explain many of its lines: those between them are heard, and tell which it is."""

import numpy as np
import pytest

from steadyhead.trace.sound_lines import odd_orders
from steadyhead.trace.sound_tracker import CLAIMED_FROM
from tests.heard_rotor import error_percent, lines_of_rotor, tracked
from tests.naive.rotor_sound import Made, Rotor, at_ratio, coloured

RATE_HZ = 22050
OWN = Rotor(pinion=12, gear=113, pole_pairs=5, blades=3, tail_blades=2, tail_ratio=4.77, top_rpm=4200.0)
SHARING = Rotor(pinion=12, gear=108, pole_pairs=3, blades=2, tail_blades=2, tail_ratio=4.5, top_rpm=4300.0)


def made(rotor: Rotor, rpm: float, seed: int, *, blades_on: bool) -> Made:
    """Four seconds at one speed; every line of the machine, uneven, and more multiples than are listened for."""
    draw = np.random.default_rng(seed)
    at = np.arange(4 * RATE_HZ) / RATE_HZ
    families = [(rotor.gear, 4, 0.5), (2 * rotor.pole_pairs * rotor.ratio, 1, 0.2)]
    families += [(6 * rotor.pole_pairs * rotor.ratio, 3, 0.4), (1.0, 1, 0.12)]
    if blades_on:
        families += [(rotor.blades, 14, 1.0), (rotor.tail_blades * rotor.tail_ratio, 9, 0.6)]
    out = np.zeros(at.size)
    for order, count, size in families:
        for multiple in range(1, count + 1):
            hz = order * multiple * rpm / 60.0
            level = size * multiple**-0.7 * draw.uniform(0.4, 1.4) * (hz < 0.45 * RATE_HZ)
            out += level * np.sin(2 * np.pi * hz * at + 6 * draw.random())
    out = at_ratio(out, coloured(out.size, RATE_HZ, seed + 1, slope=1.0), 12.0)
    time_s = np.arange(0.0, 4.0, 0.01)
    return Made(sound=out, rate_hz=RATE_HZ, time_s=time_s, head_rpm=np.full(time_s.size, rpm), rotor=rotor)


def off_and_claimed(given: Made):
    frames = tracked(given)
    claimed = frames.confidence >= CLAIMED_FROM
    return np.abs(error_percent(frames, given.time_s, given.head_rpm))[claimed], float(claimed.mean())


@pytest.mark.parametrize(
    ("rotor", "rpm", "seed"), [(OWN, 1930.0, 0), (OWN, 1930.0, 3), (SHARING, 1700.0, 1), (SHARING, 2080.0, 4)]
)
def test_twice_a_speed_is_not_told_while_the_lines_between_are_heard(rotor, rpm, seed):
    off, claimed = off_and_claimed(made(rotor, rpm, seed, blades_on=True))
    assert claimed > 0.5
    assert (off < 0.5).mean() > 0.95


def test_lines_between_are_those_that_nothing_of_the_machine_sounds():
    odd = [order for order, _ in odd_orders(lines_of_rotor(OWN), 2.0)]
    assert {1.5, 4.5, 7.5} <= {round(order, 6) for order in odd}, "every second line of three blades"
    assert 56.5 in odd, "and of 113 teeth"
    assert not any(order in odd for order in (3.0, 9.0, 113.0))
    shared = [order for order, _ in odd_orders(lines_of_rotor(SHARING), 2.0)]
    assert 54.0 not in shared, "half of the mesh of 108 teeth is twice the electrical turns of three pole pairs"
    assert odd_orders((), 2.0) == ()
