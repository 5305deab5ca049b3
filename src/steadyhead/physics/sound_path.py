"""The likeliest course of a speed through evidence over time, and how sure each instant of it is.

A rotor that is not heard still turns: the belief has one half for speeds that are heard and one for the same speeds
unheard, so that a gap in the sound is no leave to jump.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import kernel

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]


class Course(NamedTuple):
    """How a speed moves from one instant to the next, in steps of a grid whose number v is (v + first) steps.

    `motion` is the chance of each move, `switch_share` of becoming heard or unheard, `leap_share` of an unheard speed
    being any other (another recording was joined on), `near_share` how near counts as the same speed.
    Shapes: motion (2 k + 1,)
    """

    motion: Floats
    switch_share: float
    leap_share: float
    near_share: float
    first: int


@kernel
def moved(course: Course, before: Floats, after: Floats) -> None:
    """Carry a belief one instant on; forwards and backwards are alike.

    h' = (1 - s) M h + s M u,  u' = (1 - l) ((1 - s) M u + s M h) + l mean(u)
    Shapes: before (2 n,), after (2 n,): n heard speeds, then n unheard ones
    Valid: motion symmetric, summing to 1.
    Source: forward recursion of a hidden Markov model, any speech processing textbook.
    """
    count = before.size // 2
    reach = course.motion.size // 2
    switch, leap = course.switch_share, course.leap_share
    mean = 0.0
    for v in range(count):
        mean += before[count + v] / count
    for v in range(count):
        heard, unheard = 0.0, 0.0
        low, high = max(0, v - reach), min(count, v + reach + 1)
        for j in range(low, high):
            chance = course.motion[v - j + reach]
            heard += chance * before[j]
            unheard += chance * before[count + j]
        after[v] = (1.0 - switch) * heard + switch * unheard
        after[count + v] = (1.0 - leap) * ((1.0 - switch) * unheard + switch * heard) + leap * mean


@kernel
def likeliest(course: Course, before: Floats, after: Floats, came_from: Counts) -> None:
    """Carry the likeliest way into each state one instant on, and say where it came from.

    Shapes: before (2 n,) -> after (2 n,), came_from (2 n,)
    Valid: as `moved`.
    Source: Viterbi recursion of a hidden Markov model, any speech processing textbook.
    """
    count = before.size // 2
    reach = course.motion.size // 2
    switch, top = course.switch_share, count
    for v in range(count):
        if before[count + v] > before[top]:
            top = count + v
    leap = course.leap_share * before[top] / count
    for v in range(count):
        heard, unheard, heard_at, unheard_at = 0.0, 0.0, v, count + v
        for j in range(max(0, v - reach), min(count, v + reach + 1)):
            chance = course.motion[v - j + reach]
            if chance * before[j] > heard:
                heard, heard_at = chance * before[j], j
            if chance * before[count + j] > unheard:
                unheard, unheard_at = chance * before[count + j], count + j
        stays, comes = (1.0 - switch) * heard, switch * unheard
        after[v] = max(stays, comes)
        came_from[v] = heard_at if stays >= comes else unheard_at
        stays, comes = (1.0 - switch) * unheard, switch * heard
        after[count + v] = max(stays, comes, leap)
        came_from[count + v] = top if leap > max(stays, comes) else unheard_at if stays >= comes else heard_at


@kernel
def weighed(belief: Floats, evidence: Floats) -> None:
    """Multiply a belief with the evidence of one instant and make it sum to 1; unheard speeds meet no evidence.

    b[v] <- b[v] exp(e[v]) / sum
    Shapes: belief (2 n,), evidence (n,)
    Valid: any finite evidence, natural units.
    Source: Bayes' rule.
    """
    count = evidence.size
    top = 0.0
    for v in range(count):
        top = max(top, evidence[v])
    silent, total = math.exp(-top), 0.0
    for v in range(count):
        belief[v] *= math.exp(evidence[v] - top)
        belief[count + v] *= silent
        total += belief[v] + belief[count + v]
    for v in range(2 * count):
        belief[v] = max(belief[v] / total, 1e-30)


@kernel
def decoded(course: Course, evidence: Floats, kept: int, belief: Floats, best: Floats) -> tuple[Counts, Floats]:
    """Likeliest course through the evidence (n and above: unheard), and how sure it is that it is heard there.

    Shapes: evidence (t, n), belief (2 n,) and best (2 n,), both brought to the instant `kept - 1` -> (t,), (t,)
    Valid: instants after `kept` serve as a look ahead.
    Source: forward-backward and Viterbi recursions of a hidden Markov model, any speech processing textbook.
    """
    length, count = evidence.shape
    ahead = np.empty((length, 2 * count))
    back = np.empty((length, 2 * count), np.int64)
    likely = np.empty((length, 2 * count))
    for t in range(length):
        moved(course, belief if t == 0 else ahead[t - 1], ahead[t])
        weighed(ahead[t], evidence[t])
        likeliest(course, best if t == 0 else likely[t - 1], likely[t], back[t])
        weighed(likely[t], evidence[t])
    belief[:] = ahead[kept - 1]
    best[:] = likely[kept - 1]
    path = np.empty(length, np.int64)
    sure = np.empty(length)
    later, spare = np.ones(2 * count), np.empty(2 * count)
    state = int(np.argmax(likely[length - 1]))
    for t in range(length - 1, -1, -1):
        path[t] = state
        total, near = 0.0, 0.0
        reach = max(1.0, course.near_share * (state + course.first))
        for v in range(2 * count):
            share = ahead[t, v] * later[v]
            total += share
            if v < count and abs(v - state) <= reach:
                near += share
        sure[t] = near / total
        state = back[t, state]
        weighed(later, evidence[t])
        moved(course, later, spare)
        later[:] = spare
    return path, sure
