"""The quick kernels of the listener against the plain formulas they stand for, and against numpy and scipy."""

import math

import numpy as np
from scipy.signal import upfirdn

from steadyhead.physics.sound_comb import Hills, Looks, line_factor, multiplied, scores
from steadyhead.physics.sound_path import Course, decoded
from steadyhead.physics.sound_samples import noise_floors, thinned

LOOKS = Looks(28.0, 260.0, 1600.0, 5000.0, 0.24, 0.12, 0.06, 2.0, 4.0, 8.0, 0.025, 0.03, 0.0008)


def test_the_factor_of_a_line_is_that_of_the_plain_formula():
    away = np.linspace(-12.0, 12.0, 97)
    at_hz, doubt, odds = (x.astype(np.float32) for x in (1000.0 + away, np.full(97, 0.7), np.full(97, 20.0)))
    out = np.ones(97)
    multiplied(2, 0.6, 1000.0, math.sqrt(0.3), 0.12, (at_hz, doubt, odds), out)
    wanted = [line_factor(0.6, 20.0, 0.12, x, 1.0) for x in away]
    # The bell is within 0.0012 of exp(-x), beside chance 0.6, odds 20 and height 0.5984 / 0.12.
    assert np.allclose(np.sqrt(out), wanted, atol=0.0012 * 0.6 * 20.0 * 0.5984 / 0.12)
    assert max(wanted) > 50.0 * min(wanted)


def test_scores_are_the_product_over_the_lines_each_in_its_window():
    draw = np.random.default_rng(3)
    sizes = (160, 420, 640)
    at = tuple(
        (np.arange(n)[:, None] * b + draw.normal(0.0, 1.0, (n, 5))).astype(np.float32)
        for n, b in zip(sizes, (2.0, 4.0, 8.0), strict=True)
    )
    doubt = tuple(np.full((n, 5), 0.5, np.float32) for n in sizes)
    odds = tuple(draw.uniform(0.2, 30.0, (n, 5)).astype(np.float32) for n in sizes)
    speeds, orders = np.array([20.0, 20.1]), np.array([2.0, 40.0, 150.0, 1.0, 400.0])
    out = np.empty((2, 5))
    scores(LOOKS, orders, np.full(5, 0.5), speeds, Hills(at, doubt, odds), out)
    for v, speed in enumerate(speeds):
        for row in range(5):
            wanted = 1.0
            for look, (order, window_s, bin_hz) in enumerate(((2.0, 0.24, 2.0), (40.0, 0.12, 4.0), (150.0, 0.06, 8.0))):
                line_hz = order * speed
                k = int(line_hz / bin_hz + 0.5)
                own = math.sqrt(0.5 + (0.0008 * line_hz) ** 2 + (0.05 * order) ** 2)
                factor = line_factor(0.5, odds[look][k, row], window_s, at[look][k, row] - line_hz, own)
                wanted *= factor ** (1, 2, 4)[look]
            assert math.isclose(math.log(out[v, row]), math.log(wanted), abs_tol=0.3)


def test_the_noise_floor_is_the_mean_of_noise_by_its_quantile():
    power = np.random.default_rng(1).exponential(3.0, (200, 8)).astype(np.float32)
    power[10:20] *= 1e5  # lines
    floor = np.empty((2, 8), np.float32)
    noise_floors(power, np.array([0, 80, 200]), 0.4, floor)
    for band, (a, b) in enumerate(((0, 80), (80, 200))):
        assert np.allclose(floor[band], np.quantile(power[a:b], 0.4, axis=0) / -math.log(0.6), rtol=0.06)


def test_thinning_is_that_of_scipy():
    draw = np.random.default_rng(2)
    samples, taps = draw.normal(size=500).astype(np.float32), np.hanning(21).astype(np.float32)
    out = np.empty(90, np.float32)
    thinned(samples, taps, 0, 5, out)
    assert np.allclose(out, upfirdn(taps, samples, 1, 1)[20::5][:90], atol=1e-4)


def test_the_course_is_the_likeliest_of_all():
    """Against a plain search in float64 over all states, written out with whole matrices."""
    draw, count = np.random.default_rng(5), 12
    motion = np.array([0.1, 0.2, 0.4, 0.2, 0.1], np.float32)
    course = Course(motion, 0.01, 0.001, 0.1, 3)
    factors = np.exp(draw.normal(0.0, 1.5, (30, count))).astype(np.float32)
    silent = np.ones((30, 1), np.float32)
    start = np.full(2 * count, 1.0 / (2 * count), np.float32)
    path, sure = np.empty(30, np.int64), np.empty(30)
    decoded(course, factors, silent, 30, start.copy(), start.copy(), path, sure)
    step = np.array([[motion[b - a + 2] if abs(b - a) <= 2 else 0.0 for b in range(count)] for a in range(count)])
    move = np.block([[0.99 * step, 0.01 * step], [0.01 * step, 0.99 * step]])
    best_move, belief_move = move.copy(), move.copy()
    best_move[count:, count:] = np.maximum(move[count:, count:], 0.001 / count)
    belief_move[:, count:] *= 0.999
    belief_move[count:, count:] += 0.001 / count
    seen = np.concatenate((factors, np.repeat(silent, count, axis=1)), axis=1).astype(float)
    best, ways = start.astype(float), []
    ahead, aheads = start.astype(float), []
    for row in seen:
        way = best[:, None] * best_move
        ways.append(way.argmax(axis=0))
        best = way.max(axis=0) * row
        best /= best.sum()
        ahead = (ahead @ belief_move) * row
        ahead /= ahead.sum()
        aheads.append(ahead)
    state, wanted = int(best.argmax()), []
    for way in reversed(ways):
        wanted.append(state)
        state = int(way[state])
    assert path.tolist() == wanted[::-1]
    near = [v for v in range(count) if abs(v - path[-1]) <= max(1.0, 0.1 * (path[-1] + 3))]
    assert math.isclose(sure[-1], aheads[-1][near].sum(), rel_tol=1e-3)
