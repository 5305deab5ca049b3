"""Random numbers of many draws at once: those of a draw depend on the seed and the draw alone."""

import numpy as np
from numpy.typing import NDArray

ROUNDS = 10
TIMES = (0xD2E7470EE14C6C93, 0xCA5A826395121157)
MORE = (0x9E3779B97F4A7C15, 0xBB67AE8584CAA73B)
ALL_BITS = 0xFFFFFFFFFFFFFFFF
LOW, HALF = np.uint64(0xFFFFFFFF), np.uint64(32)

Floats = NDArray[np.float64]
Words = NDArray[np.uint64]


def uniforms(seed: int, draws: NDArray[np.int64], count: int) -> Floats:
    """Return `count` numbers between 0 and 1 for every draw, those of numpy's Philox with the key (seed, draw).

    Shapes: draws (n,) -> (n, count).
    Source: Salmon et al., Parallel Random Numbers: As Easy as 1, 2, 3, 2011; Philox 4x64, 10 rounds.
    """
    blocks = [philox(seed, draws.astype(np.uint64), number) for number in range(1, -(-count // 4) + 1)]
    words = np.concatenate(blocks, axis=1)[:, :count] if blocks else np.empty((draws.size, 0), np.uint64)
    found: Floats = (words >> np.uint64(11)).astype(np.float64) * 2.0**-53
    return found


def philox(seed: int, draws: Words, block: int) -> Words:
    """Return four words of 64 bits for every draw.

    Shapes: draws (n,) -> (n, 4).
    """
    none = np.zeros_like(draws)
    counter, first_key, second_key = [none + np.uint64(block), none, none, none], seed, draws
    for _ in range(ROUNDS):
        high_0, low_0 = _product(TIMES[0], counter[0])
        high_1, low_1 = _product(TIMES[1], counter[2])
        counter = [high_1 ^ counter[1] ^ np.uint64(first_key), low_1, high_0 ^ counter[3] ^ second_key, low_0]
        first_key, second_key = (first_key + MORE[0]) & ALL_BITS, second_key + np.uint64(MORE[1])
    return np.stack(counter, axis=1)


def _product(times: int, words: Words) -> tuple[Words, Words]:
    """Return the upper and the lower 64 bits of a product."""
    a_high, a_low = np.uint64(times >> 32), np.uint64(times & 0xFFFFFFFF)
    b_high, b_low = words >> HALF, words & LOW
    middle = a_high * b_low + (a_low * b_low >> HALF)
    other = a_low * b_high + (middle & LOW)
    return a_high * b_high + (middle >> HALF) + (other >> HALF), np.uint64(times) * words
