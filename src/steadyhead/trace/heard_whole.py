"""What is claimed must be the course of one rotor: a piece that no rotor could have come from or gone to is none."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.sound_tracker import CLAIMED_FROM, FASTEST_PER_S, Floats, Frames

SLACK_SHARE = 0.02
"""What the ear may be off at the ends of a piece; own choice."""
LONGEST_SLIP_S = 2.0
"""A longer piece that does not fit is no slip of the ear: a recording may have been cut and joined. Own choice."""
MOST_BEFORE = 60
"""So many pieces before one are looked at: among more, one that fits is found."""


def of_one_rotor(frames: Frames, top_rpm: float) -> Frames:
    """Return frames with the claim taken back from short pieces between which no rotor could move.

    Equation: of all chains of pieces in which each follows the one before at FASTEST_PER_S or slower, the one with most
    frames is kept.
    """
    claimed = frames.confidence >= CLAIMED_FROM
    pieces = _pieces(frames, claimed, top_rpm)
    kept = _longest_chain(frames, pieces, top_rpm)
    slips = [piece for piece in pieces if piece[0] not in kept and _span_s(frames, piece) < LONGEST_SLIP_S]
    if not slips:
        return frames
    confidence = frames.confidence.copy()
    for piece in slips:
        confidence[piece] = np.minimum(confidence[piece], 0.0)
    return replace(frames, confidence=confidence)


def _pieces(frames: Frames, claimed: NDArray[np.bool_], top_rpm: float) -> list[NDArray[np.int64]]:
    """Return the numbers of the claimed frames, cut wherever the next is farther off than a rotor moves."""
    at = np.flatnonzero(claimed)
    if not at.size:
        return []
    apart = ~_may_follow(frames.time_s[at[:-1]], frames.head_speed_rpm[at[:-1]], frames, at[1:], top_rpm)
    return np.split(at, np.flatnonzero(apart) + 1)


def _may_follow(
    time_s: Floats, speed_rpm: Floats, frames: Frames, after: NDArray[np.int64], top_rpm: float
) -> NDArray[np.bool_]:
    """Whether a rotor may come from one speed to another in the time between them. Shapes: (n,) each -> (n,)."""
    moved = np.abs(frames.head_speed_rpm[after] - speed_rpm)
    reach = FASTEST_PER_S * top_rpm * (frames.time_s[after] - time_s)
    return np.asarray(moved <= reach + SLACK_SHARE * np.maximum(frames.head_speed_rpm[after], speed_rpm))


def _longest_chain(frames: Frames, pieces: list[NDArray[np.int64]], top_rpm: float) -> set[int]:
    """Return the first frame of each piece of the chain with most frames."""
    if not pieces:
        return set()
    ends = np.array([piece[-1] for piece in pieces])
    sizes = np.array([piece.size for piece in pieces], np.float64)
    whole, before = sizes.copy(), np.full(len(pieces), -1)
    for number in range(1, len(pieces)):
        first = max(0, number - MOST_BEFORE)
        some = ends[first:number]
        start = np.full(some.size, pieces[number][0])
        fits = _may_follow(frames.time_s[some], frames.head_speed_rpm[some], frames, start, top_rpm)
        if fits.any():
            best = first + int(np.where(fits, whole[first:number], -1.0).argmax())
            whole[number], before[number] = whole[best] + sizes[number], best
    number, kept = int(whole.argmax()), set()
    while number >= 0:
        kept.add(int(pieces[number][0]))
        number = int(before[number])
    return kept


def _span_s(frames: Frames, piece: NDArray[np.int64]) -> float:
    return float(frames.time_s[piece[-1]] - frames.time_s[piece[0]])
