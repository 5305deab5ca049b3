"""The quick kernels of the listener against the plain formulas they stand for, and against numpy and scipy."""

import math

import numpy as np
import pytest
from scipy.fft import rfft
from scipy.signal import upfirdn

from steadyhead.physics.sound_comb import Comb, Looks, Places, line_factor, multiplied, placed, scores, sharpened
from steadyhead.physics.sound_path import Course, decoded
from steadyhead.physics.sound_peaks import Bins, Hills, peaks
from steadyhead.physics.sound_samples import noise_floors, roots, thinned, windowed
from steadyhead.physics.sound_series import families_apart, series_end

LOOKS = Looks(28.0, 260.0, 1600.0, 5000.0, 0.24, 0.12, 0.06, 2.0, 4.0, 8.0, 160, 580, 1220, 0.025, 0.0008)


def test_the_factor_of_a_line_is_that_of_the_plain_formula():
    away = np.linspace(-12.0, 12.0, 97)
    at_hz, doubt, odds = (x.astype(np.float32) for x in (1000.0 + away, np.full(97, 0.7), np.full(97, 20.0)))
    out = np.ones(97, np.float32)
    steep, tall, most = (np.empty(97, np.float32) for _ in range(3))
    sharpened(np.float32(0.6), np.float32(0.3), np.float32(0.5984 / 2.0**16 / 0.12), doubt, odds, steep, tall, most)
    multiplied(np.float32(0.6), np.float32(1000.0), at_hz, steep, tall, most, out)
    wanted = [line_factor(0.6, 20.0, 0.12, x, 1.0) for x in away]
    # The bell is within 0.0012 of exp(-x), beside chance 0.6, odds 20 and height 0.5984 / 0.12.
    assert np.allclose(out, wanted, atol=0.0012 * 0.6 * 20.0 * 0.5984 / 0.12)
    assert max(wanted) > 50.0 * min(wanted)


def test_scores_are_the_product_over_the_lines_each_in_its_window():
    draw = np.random.default_rng(3)
    sizes, starts, instants = (160, 420, 640), (0, 160, 580), 8
    wide = zip(sizes, (2.0, 4.0, 8.0), strict=True)
    at = np.concatenate([np.arange(n)[:, None] * b + draw.normal(0.0, 1.0, (n, 4)) for n, b in wide])
    # Two sources of four instants each.
    hills = Hills(
        np.stack((at, at + 0.5)).astype(np.float32),
        np.full((2, 1220, 4), 0.5, np.float32),
        draw.uniform(0.2, 30.0, (2, 1220, 4)).astype(np.float32),
    )
    speeds, orders = np.array([20.0, 20.1]), np.array([1.0, 2.0, 40.0, 150.0, 400.0])
    places = Places(
        np.zeros((2, 5), np.int64), np.zeros((2, 5), np.float32), np.zeros((2, 5), np.float32),
        np.zeros((2, 4), np.int64), np.zeros(5, np.float32),
    )  # fmt: skip
    placed(LOOKS, Comb(orders, np.full(5, 0.5), np.zeros(5, np.int64)), speeds, places)
    out = np.empty((8, 2), np.float32)
    scores(LOOKS, places, hills, out)
    for v, speed in enumerate(speeds):
        for instant in range(instants):
            group, lane = instant // 4, instant % 4
            wanted = 1.0
            for look, (order, window_s, bin_hz) in enumerate(((2.0, 0.24, 2.0), (40.0, 0.12, 4.0), (150.0, 0.06, 8.0))):
                line_hz = order * speed
                row = starts[look] + int(line_hz / bin_hz + 0.5)
                own = math.sqrt(0.5 + (0.0008 * line_hz) ** 2 + (0.05 * order) ** 2)
                away = hills.at_hz[group, row, lane] - line_hz
                factor = line_factor(0.5, hills.odds[group, row, lane], window_s, away, own)
                wanted *= factor ** (1, 2, 4)[look]
            assert math.isclose(4.0 * math.log(out[instant, v]), math.log(wanted), abs_tol=0.3)


def test_every_bin_has_the_summit_that_it_climbs_to():
    """Against a plain climb, bin by bin, to the higher neighbour, the one above first."""
    root = np.random.default_rng(4).uniform(0.5, 3.0, (60, 7)).astype(np.float32)
    table = np.stack((np.arange(200.0), 1000.0 - np.arange(200.0))).astype(np.float32)
    at_hz, doubt, odds = (np.zeros_like(root) for _ in range(3))
    peaks(root, Bins(2, 0, 10.0), table, at_hz, doubt, odds)
    for lane in range(7):
        line = root[:, lane].astype(float)
        for k in range(4, 56):
            top = k
            while line[top + 1] > line[top] or line[top - 1] > line[top]:
                top += 1 if line[top + 1] > line[top] else -1
            if not 3 < top < 57:
                continue
            a, b, c = line[top - 1 : top + 2]
            assert math.isclose(at_hz[k, lane], 10.0 * (top + 0.5 * (a - c) / (a - 2.0 * b + c)), rel_tol=1e-4)
            assert odds[k, lane] == table[0, int(64.0 * root[top, lane] + 0.5)]
            assert doubt[k, lane] == 1000.0 - odds[k, lane]


def test_the_noise_floor_is_the_mean_of_noise_by_its_quantile():
    power = np.random.default_rng(1).exponential(3.0, (200, 8))
    power[10:20] *= 1e5  # lines
    floor = np.empty((2, 8), np.float32)
    noise_floors((power**0.25).astype(np.float32), np.array([0, 80, 200]), 0.4, 1e-3, floor)
    for band, (a, b) in enumerate(((0, 80), (80, 200))):
        # One step between neighbours in order is about 4 % of the power, the halvings end within 2 % of it.
        assert np.allclose(floor[band] ** 4, np.quantile(power[a:b], 0.4, axis=0) / -math.log(0.6), rtol=0.08)


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


def tones(*tones_hz: float) -> Hills:
    """Hills of one instant: a tone at each of some frequencies, nothing elsewhere."""
    wide = np.concatenate([np.arange(n) * b for n, b in zip((160, 420, 640), (2.0, 4.0, 8.0), strict=True)])
    at_hz, odds = wide.astype(np.float32)[None, :, None], np.full((1, 1220, 1), 0.2, np.float32)
    for tone_hz in tones_hz:
        near = np.abs(wide - tone_hz) <= 8.0
        at_hz[0, near, 0], odds[0, near, 0] = tone_hz, 30.0
    return Hills(at_hz, np.full((1, 1220, 1), 0.25, np.float32), odds)


def test_a_series_is_followed_to_its_last_tone():
    base, last = series_end(LOOKS, tones(*(50.1 * k for k in range(1, 31))), 0, 0, 50.0, 1)
    assert last == 30
    assert math.isclose(base, 50.1, rel_tol=1e-4)
    base, last = series_end(LOOKS, tones(*(50.1 * k for k in range(1, 31, 2))), 0, 0, 50.0, 2)
    assert last == 29


def test_tones_with_gaps_are_no_series():
    assert series_end(LOOKS, tones(*(50.0 * k for k in (1, 2, 5, 10, 12, 15, 20, 24, 30))), 0, 0, 50.0, 1)[1] == 0


def test_what_one_series_explains_counts_as_one_family():
    comb = Comb(np.array([2.0, 9.0, 18.0, 45.0, 108.0]), np.full(5, 0.6), np.array([0, 1, 1, 2, 3]))
    buzz, machine = np.zeros(4), np.zeros(4)
    families_apart(LOOKS, comb, 20.0, 0, 0, tones(*(180.0 * k for k in range(1, 28))), buzz)
    families_apart(LOOKS, comb, 20.0, 0, 0, tones(40.0, 180.0, 360.0, 900.0, 2160.0), machine)
    # Of the buzz, tail, motor and mesh fall on tones 1, 2, 5 and 12 of 180 Hz: one family speaks, no other.
    assert (buzz > 0.0).sum() == 1
    # The same lines without the tones between them are four families.
    assert (machine > 0.0).sum() == 4
    assert math.isclose(buzz.max(), machine[1:].sum(), rel_tol=1e-3)


@pytest.mark.parametrize(("length", "size"), [(2700, 2646), (1000, 661), (480, 480), (24, 20)])
def test_powers_of_pieces_side_by_side_are_those_of_a_plain_fourier_transform(length: int, size: int) -> None:
    draw = np.random.default_rng(length)
    samples, window = draw.standard_normal(2 * length + 9).astype(np.float32), np.hanning(size).astype(np.float32)
    starts = np.sort(draw.integers(0, samples.size - size, 16))
    pieces, root = np.empty((16, length), np.float32), np.zeros((length // 2, 16), np.float32)
    windowed(samples, starts, window, pieces)
    roots(rfft(pieces, axis=1), 0, root)
    plain = np.stack([samples[start : start + size] * window for start in starts])
    wanted = np.sqrt(np.abs(np.fft.rfft(plain, length, axis=1)[:, : length // 2])).T
    assert np.allclose(root, wanted, atol=2e-6 * wanted.max())


def test_a_full_load_of_instants_is_scored_as_a_part_of_it_is() -> None:
    draw = np.random.default_rng(9)
    at_hz, doubt, odds = (draw.uniform(low, high, 32) for low, high in ((990.0, 1010.0), (0.3, 3.0), (0.2, 30.0)))
    peaks_of = [x.astype(np.float32) for x in (at_hz, doubt, odds)]
    found = []
    for count in (32, 20):
        where, doubts, ratios = (x[:count].copy() for x in peaks_of)
        steep, tall, most = (np.empty(count, np.float32) for _ in range(3))
        out = np.ones(count, np.float32)
        width = np.float32(0.5984 / 2.0**16 / 0.12)
        sharpened(np.float32(0.6), np.float32(0.3), width, doubts, ratios, steep, tall, most)
        multiplied(np.float32(0.6), np.float32(1000.0), where, steep, tall, most, out)
        found.append(out)
    assert np.allclose(found[0][:20], found[1], rtol=1e-6)
    assert found[0].max() > 10.0 * found[0].min()
