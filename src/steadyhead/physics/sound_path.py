"""The likeliest course of a speed through evidence over time, and how sure each instant of it is.

A rotor that is not heard still turns: the belief has one half for speeds that are heard and one for the same speeds
unheard, so that a gap in the sound is no leave to jump.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import kernel, wide_kernel

Floats = NDArray[np.float64]
Shares = NDArray[np.float32]
Counts = NDArray[np.int64]


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
    """Carry one half of a belief by the chance of each move; what leaves the grid is lost.

    Shapes: motion (2 k + 1,), before (n,), spare (n + 2 k,), zero at both ends -> after (n,)
    Valid: motion symmetric.
    Source: convolution.
    """
    count, reach = before.size, motion.size // 2
    for v in range(count):
        spare[reach + v] = before[v]
        after[v] = motion[reach] * before[v]
    for step in range(1, reach + 1):
        chance, below, above = motion[reach + step], spare[reach - step :], spare[reach + step :]
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
    for v in range(count):
        spare[reach + v] = before[v]
        after[v] = motion[reach] * before[v]
    for step in range(1, reach + 1):
        chance, below, above = motion[reach + step], spare[reach - step :], spare[reach + step :]
        for v in range(count):
            after[v] = max(after[v], chance * max(below[v], above[v]))


@kernel
def moved(course: Course, before: Shares, spare: Shares, after: Shares) -> None:
    """Carry a belief one instant on; forwards and backwards are alike.

    h' = (1 - s) M h + s M u,  u' = (1 - l) ((1 - s) M u + s M h) + l mean(u)
    Shapes: before (2 n,), after (2 n,): n heard speeds, then n unheard ones; spare (n + 2 k,)
    Valid: motion symmetric, summing to 1.
    Source: forward recursion of a hidden Markov model, any speech processing textbook.
    """
    count = before.size // 2
    blurred(course.motion, before[:count], spare, after[:count])
    blurred(course.motion, before[count:], spare, after[count:])
    leap = np.float32(course.leap_share)
    mean = np.float32(0.0)
    for v in range(count):
        mean += before[count + v]
    mean *= leap / np.float32(count)
    switch, stay = np.float32(course.switch_share), np.float32(1.0 - course.switch_share)
    still = np.float32(1.0) - leap
    for v in range(count):
        heard, unheard = after[v], after[count + v]
        after[v] = stay * heard + switch * unheard
        after[count + v] = still * (stay * unheard + switch * heard) + mean


@kernel
def best_moved(course: Course, before: Shares, spare: Shares, after: Shares) -> None:
    """Carry the likeliest way into each state one instant on.

    Shapes: as `moved`
    Valid: as `moved`.
    Source: Viterbi recursion of a hidden Markov model, any speech processing textbook.
    """
    count = before.size // 2
    likeliest(course.motion, before[:count], spare, after[:count])
    likeliest(course.motion, before[count:], spare, after[count:])
    top = np.float32(0.0)
    for v in range(count):
        top = max(top, before[count + v])
    leap = np.float32(course.leap_share) * top / np.float32(count)
    switch, stay = np.float32(course.switch_share), np.float32(1.0 - course.switch_share)
    for v in range(count):
        heard, unheard = after[v], after[count + v]
        after[v] = max(stay * heard, switch * unheard)
        after[count + v] = max(stay * unheard, switch * heard, leap)


@kernel
def came_from(course: Course, before: Shares, state: int) -> int:
    """Which state the likeliest way into a state came from, one instant earlier.

    Shapes: before (2 n,)
    Valid: before as `best_moved` took it.
    Source: Viterbi recursion of a hidden Markov model, any speech processing textbook.
    """
    count, reach = before.size // 2, course.motion.size // 2
    v, is_heard = state % count, state < count
    best, found = -1.0, state
    for j in range(max(0, v - reach), min(count, v + reach + 1)):
        chance = float(course.motion[v - j + reach])
        heard = chance * before[j] * (1.0 - course.switch_share if is_heard else course.switch_share)
        unheard = chance * before[count + j] * (course.switch_share if is_heard else 1.0 - course.switch_share)
        if heard > best:
            best, found = heard, j
        if unheard > best:
            best, found = unheard, count + j
    if not is_heard:
        top = count
        for j in range(count, 2 * count):
            if before[j] > before[top]:
                top = j
        if course.leap_share * before[top] / count > best:
            found = top
    return found


@wide_kernel
def weighed(belief: Shares, factors: Shares, silent: Shares) -> None:
    """Multiply a belief with the factors of one instant and make it sum to 1; unheard speeds have one factor.

    Shapes: belief (2 n,), factors (n,), silent (1,)
    Valid: factors 0 to 1.
    Source: Bayes' rule.
    """
    count = factors.size
    total, quiet = 0.0, float(silent[0])
    for v in range(count):
        total += float(belief[v]) * factors[v] + belief[count + v] * quiet
    whole = 1.0 / total
    for v in range(count):
        belief[v] = max(float(belief[v]) * factors[v] * whole, 1e-30)
        belief[count + v] = max(float(belief[count + v]) * quiet * whole, 1e-30)


@kernel
def near_share(course: Course, state: int, ahead: Shares, later: Shares) -> float:
    """Share of the belief that is heard near a state, forward and backward belief taken together.

    Shapes: ahead (2 n,), later (2 n,)
    Valid: beliefs above 0.
    Source: forward-backward recursion of a hidden Markov model, any speech processing textbook.
    """
    count = ahead.size // 2
    total, near = 0.0, 0.0
    for v in range(2 * count):
        total += float(ahead[v]) * later[v]
    reach = int(max(1.0, course.near_share * (state + course.first)))
    for v in range(max(0, state - reach), min(count, state + reach + 1)):
        near += float(ahead[v]) * later[v]
    return near / total


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
    ahead = np.empty((length, 2 * count), np.float32)
    likely = np.empty((length, 2 * count), np.float32)
    spare = np.zeros(count + course.motion.size, np.float32)
    for t in range(length):
        moved(course, belief if t == 0 else ahead[t - 1], spare, ahead[t])
        weighed(ahead[t], factors[t], silent[t])
        best_moved(course, best if t == 0 else likely[t - 1], spare, likely[t])
        weighed(likely[t], factors[t], silent[t])
    belief[:] = ahead[kept - 1]
    best[:] = likely[kept - 1]
    later, earlier = np.ones(2 * count, np.float32), np.empty(2 * count, np.float32)
    state = int(np.argmax(likely[length - 1]))
    for t in range(length - 1, -1, -1):
        path[t] = state
        sure[t] = near_share(course, state, ahead[t], later)
        if t > 0:
            state = came_from(course, likely[t - 1], state)
        weighed(later, factors[t], silent[t])
        moved(course, later, spare, earlier)
        later[:] = earlier
