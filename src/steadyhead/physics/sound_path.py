"""The likeliest course of a speed through evidence over time, and how sure each instant of it is.

A rotor that is not heard still turns: the belief has one half for speeds that are heard and one for the same speeds
unheard, so that a gap in the sound is no leave to jump.

At each instant only a stretch of speeds is worked on, the one that holds the belief; what lies outside is taken as 0.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import kernel, wide_kernel

Floats = NDArray[np.float64]
Shares = NDArray[np.float32]
Counts = NDArray[np.int64]
Single = np.float32
FORGOTTEN_SHARE = np.float32(1e-12)
"""Belief in a speed below which it is no longer followed at the ends of the stretch: some 28 natural units behind."""
OVER = (1.5, 2.0, 3.0)
"""Lines of a speed so many times as high are lines of this one, too, every second or third of them."""
UNHEARD_SHARE = np.float32(2e-4)
"""Belief in silence from which all speeds are followed: a leap to one of them is then likelier than 1e-7."""


class Course(NamedTuple):
    """How a speed moves from one instant to the next, in steps of a grid whose number v is (v + first) steps.

    `motion` is the chance of each move, `switch_share` of becoming heard or unheard, `leap_share` of an unheard speed
    being any other (another recording was joined on), `near_share` how near counts as the same speed.
    Shapes: motion (2 k + 1,), the same forwards as backwards
    """

    motion: Shares
    switch_share: float
    leap_share: float
    near_share: float
    first: int


@wide_kernel
def blurred(motion: Shares, before: Shares, spare: Shares, after: Shares) -> None:
    """Carry one half of a belief by the chance of each move; what leaves the stretch is lost.

    Shapes: motion (2 k + 1,), before (n,), spare (n + 2 k,) or more -> after (n,)
    Valid: motion symmetric.
    Source: convolution.
    """
    count, reach = before.size, motion.size // 2
    laid_out(before, reach, spare)
    for v in range(count):
        after[v] = motion[reach] * before[v]
    for step in range(1, reach, 2):
        chance, below, above = motion[reach + step], spare[reach - step :], spare[reach + step :]
        further, lower, higher = motion[reach + step + 1], spare[reach - step - 1 :], spare[reach + step + 1 :]
        for v in range(count):
            after[v] += chance * (below[v] + above[v]) + further * (lower[v] + higher[v])
    if reach % 2:
        chance, below, above = motion[2 * reach], spare, spare[2 * reach :]
        for v in range(count):
            after[v] += chance * (below[v] + above[v])


@wide_kernel
def likeliest(motion: Shares, before: Shares, spare: Shares, after: Shares) -> None:
    """Chance of the likeliest way into each speed, one half of the states.

    Shapes: as `blurred`
    Valid: as `blurred`.
    Source: Viterbi recursion of a hidden Markov model, any speech processing textbook.
    """
    count, reach = before.size, motion.size // 2
    laid_out(before, reach, spare)
    for v in range(count):
        after[v] = motion[reach] * before[v]
    for step in range(1, reach, 2):
        chance, below, above = motion[reach + step], spare[reach - step :], spare[reach + step :]
        further, lower, higher = motion[reach + step + 1], spare[reach - step - 1 :], spare[reach + step + 1 :]
        for v in range(count):
            farther = max(chance * max(below[v], above[v]), further * max(lower[v], higher[v]))
            after[v] = max(after[v], farther)
    if reach % 2:
        chance, below, above = motion[2 * reach], spare, spare[2 * reach :]
        for v in range(count):
            after[v] = max(after[v], chance * max(below[v], above[v]))


@wide_kernel
def laid_out(before: Shares, reach: int, spare: Shares) -> None:
    """Lay a stretch out with zeros at both ends.

    Shapes: before (n,) -> spare (n + 2 reach,) or more
    Valid: any.
    Source: definition.
    """
    middle, end = spare[reach:], spare[reach + before.size :]
    for v in range(reach):
        spare[v] = end[v] = np.float32(0.0)
    for v in range(before.size):
        middle[v] = before[v]


@kernel
def moved(course: Course, low: int, high: int, before: Shares, spare: Shares, after: Shares) -> None:
    """Carry a belief one instant on, between two speeds; forwards and backwards are alike.

    h' = (1 - s) M h + s M u,  u' = (1 - l) ((1 - s) M u + s M h) + l sum(u) / n
    Shapes: before (2 n,), after (2 n,): n heard speeds, then n unheard ones; spare (n + 2 k,)
    Valid: motion symmetric, summing to 1; before is 0 outside.
    Source: forward recursion of a hidden Markov model, any speech processing textbook.
    """
    count, wide = before.size // 2, high - low
    heard, unheard = after[low:high], after[count + low : count + high]
    old = before[count + low : count + high]
    blurred(course.motion, before[low:high], spare, heard)
    blurred(course.motion, old, spare, unheard)
    mean = np.float32(0.0)
    for v in range(wide):
        mean += old[v]
    mean *= np.float32(course.leap_share / count)
    switch, stay = np.float32(course.switch_share), np.float32(1.0 - course.switch_share)
    still = np.float32(1.0 - course.leap_share)
    for v in range(wide):
        one, other = heard[v], unheard[v]
        heard[v] = stay * one + switch * other
        unheard[v] = still * (stay * other + switch * one) + mean


@kernel
def best_moved(course: Course, low: int, high: int, before: Shares, spare: Shares, after: Shares) -> None:
    """Carry the likeliest way into each state one instant on, between two speeds.

    Shapes: as `moved`
    Valid: as `moved`.
    Source: Viterbi recursion of a hidden Markov model, any speech processing textbook.
    """
    count, wide = before.size // 2, high - low
    heard, unheard = after[low:high], after[count + low : count + high]
    old = before[count + low : count + high]
    likeliest(course.motion, before[low:high], spare, heard)
    likeliest(course.motion, old, spare, unheard)
    top = np.float32(0.0)
    for v in range(wide):
        top = max(top, old[v])
    leap = np.float32(course.leap_share / count) * top
    switch, stay = np.float32(course.switch_share), np.float32(1.0 - course.switch_share)
    for v in range(wide):
        one, other = heard[v], unheard[v]
        heard[v] = max(stay * one, switch * other)
        unheard[v] = max(stay * other, switch * one, leap)


@kernel
def came_from(course: Course, low: int, high: int, before: Shares, state: int) -> int:
    """Which state the likeliest way into a state came from, one instant earlier, between two speeds.

    Shapes: before (2 n,)
    Valid: before as `best_moved` took it.
    Source: Viterbi recursion of a hidden Markov model, any speech processing textbook.
    """
    count, reach = before.size // 2, course.motion.size // 2
    v, is_heard = state % count, state < count
    best, found = -1.0, state
    for j in range(max(low, v - reach), min(high, v + reach + 1)):
        chance = float(course.motion[v - j + reach])
        heard = chance * before[j] * (1.0 - course.switch_share if is_heard else course.switch_share)
        unheard = chance * before[count + j] * (course.switch_share if is_heard else 1.0 - course.switch_share)
        if heard > best:
            best, found = heard, j
        if unheard > best:
            best, found = unheard, count + j
    if not is_heard:
        top = count + low
        for j in range(count + low, count + high):
            if before[j] > before[top]:
                top = j
        if course.leap_share * before[top] / count > best:
            found = top
    return found


@wide_kernel
def weighed(low: int, high: int, belief: Shares, factors: Shares, silent: Shares) -> None:
    """Multiply a belief with the factors of one instant and make it sum to 1; unheard speeds have one factor.

    Shapes: belief (2 n,), 0 outside low to high; factors (n,), silent (1,)
    Valid: factors 0 to 1.
    Source: Bayes' rule.
    """
    count, wide = factors.size, high - low
    heard, unheard, factor = belief[low:high], belief[count + low : count + high], factors[low:high]
    total, quiet, least = np.float32(0.0), silent[0], np.float32(1e-30)
    for v in range(wide):
        heard[v] *= factor[v]
        unheard[v] *= quiet
        total += heard[v] + unheard[v]
    whole = np.float32(1.0) / max(total, least)
    for v in range(wide):
        heard[v] = max(heard[v] * whole, least)
        unheard[v] = max(unheard[v] * whole, least)


@kernel
def near_share(course: Course, state: int, low: int, high: int, ahead: Shares, later: Shares) -> float:
    """Share of the belief that is heard near a state, forward and backward belief taken together.

    Shapes: ahead (2 n,), later (2 n,)
    Valid: beliefs above 0 between low and high.
    Source: forward-backward recursion of a hidden Markov model, any speech processing textbook.
    """
    count = ahead.size // 2
    total, near = 0.0, 0.0
    for v in range(low, high):
        total += float(ahead[v]) * later[v] + float(ahead[count + v]) * later[count + v]
    reach = int(max(1.0, course.near_share * (state % count + course.first)))
    for v in range(max(low, state - reach), min(high, state + reach + 1)):
        near += float(ahead[v]) * later[v]
    return near / max(total, 1e-300)


@kernel
def low_end(belief: Shares, best: Shares, low: int, high: int) -> int:
    """The first speed between two that still counts.

    Shapes: belief (2 n,), best (2 n,)
    Valid: low < high.
    Source: definition.
    """
    count = belief.size // 2
    v = low
    while v < high - 1 and max(belief[v], belief[count + v], best[v], best[count + v]) < FORGOTTEN_SHARE:
        v += 1
    return v


@kernel
def high_end(belief: Shares, best: Shares, low: int, high: int) -> int:
    """One past the last speed between two that still counts.

    Shapes: belief (2 n,), best (2 n,)
    Valid: low < high.
    Source: definition.
    """
    count = belief.size // 2
    v = high - 1
    while v > low and max(belief[v], belief[count + v], best[v], best[count + v]) < FORGOTTEN_SHARE:
        v -= 1
    return v + 1


@kernel
def stretched(course: Course, belief: Shares, best: Shares, held: Counts) -> None:
    """Take in every speed that can be reached in an instant from the stretch that counts; all of them by a leap.

    Shapes: belief (2 n,), best (2 n,), held (2,), first speed and one past the last, changed
    Valid: belief and best after the same instant.
    Source: definition; a leap goes anywhere, so while one may matter nothing is left out.
    """
    count, reach = belief.size // 2, course.motion.size // 2
    low = low_end(belief, best, held[0], held[1])
    high = high_end(belief, best, low, held[1])
    unheard = np.float32(0.0)
    for v in range(low, high):
        unheard += max(belief[count + v], best[count + v])
    leaps = unheard > UNHEARD_SHARE
    held[0] = 0 if leaps else max(0, low - reach)
    held[1] = count if leaps else min(count, high + reach)


@kernel
def looked_back(
    course: Course, factors: Shares, silent: Shares, held: Counts, ahead: Shares, likely: Shares, path: Counts,
    sure: Floats,
) -> None:  # fmt: skip
    """Follow the likeliest course back from the last instant, and say how sure each instant of it is.

    Shapes: factors (t, n), silent (t, 1), held (t, 2), ahead (t, 2 n), likely (t, 2 n) -> path (t,), sure (t,)
    Valid: ahead and likely are 0 outside what is held.
    Source: forward-backward and Viterbi recursions of a hidden Markov model, any speech processing textbook.
    """
    length, count = factors.shape
    spare = np.zeros(count + course.motion.size, np.float32)
    later, earlier = np.ones(2 * count, np.float32), np.zeros(2 * count, np.float32)
    state = int(np.argmax(likely[length - 1]))
    for t in range(length - 1, -1, -1):
        low, high = held[t, 0], held[t, 1]
        path[t] = state
        sure[t] = near_share(course, state, low, high, ahead[t], later)
        if t == 0:
            break
        before_low, before_high = held[t - 1, 0], held[t - 1, 1]
        state = came_from(course, before_low, before_high, likely[t - 1], state)
        weighed(low, high, later, factors[t], silent[t])
        moved(course, min(low, before_low), max(high, before_high), later, spare, earlier)
        for v in range(count):
            inside = before_low <= v < before_high
            later[v] = earlier[v] if inside else np.float32(0.0)
            later[count + v] = earlier[count + v] if inside else np.float32(0.0)


@wide_kernel
def tempered(scores: Shares, top: Shares, temper_share: Single, furthest: Single, powers: Shares) -> None:
    """Evidence of each speed beside the best of its instant, its worth lowered, as a power of e.

    p = w max(s - t, -f)
    Shapes: scores (t, n), top (t, 1) -> powers (t, n)
    Valid: top at least the highest of its row.
    Source: definition.
    """
    for t in range(scores.shape[0]):
        row, out, best = scores[t], powers[t], top[t, 0]
        for v in range(row.size):
            out[v] = temper_share * max(row[v] - best, -furthest)


@kernel
def decoded(
    course: Course, factors: Shares, silent: Shares, kept: int, belief: Shares, best: Shares, path: Counts,
    sure: Floats,
) -> None:  # fmt: skip
    """Likeliest course through the evidence (n and above: unheard), and how sure it is that it is heard there.

    Shapes: factors (t, n) and silent (t, 1), each row over its highest; belief (2 n,) and best (2 n,), both brought to
    the instant `kept - 1` -> path (t,), sure (t,)
    Valid: instants after `kept` serve as a look ahead.
    Source: forward-backward and Viterbi recursions of a hidden Markov model, any speech processing textbook.
    """
    length, count = factors.shape
    ahead = np.zeros((length, 2 * count), np.float32)
    likely = np.zeros((length, 2 * count), np.float32)
    spare = np.zeros(count + course.motion.size, np.float32)
    held, now = np.empty((length, 2), np.int64), np.array([0, count])
    for t in range(length):
        old, way = (belief, best) if t == 0 else (ahead[t - 1], likely[t - 1])
        stretched(course, old, way, now)
        held[t] = now
        moved(course, now[0], now[1], old, spare, ahead[t])
        weighed(now[0], now[1], ahead[t], factors[t], silent[t])
        best_moved(course, now[0], now[1], way, spare, likely[t])
        weighed(now[0], now[1], likely[t], factors[t], silent[t])
    belief[:] = ahead[kept - 1]
    best[:] = likely[kept - 1]
    looked_back(course, factors, silent, held, ahead, likely, path, sure)
