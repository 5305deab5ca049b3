"""Whether a true head stands still below the speed before a climb, by its slope; numpy only."""

import numpy as np

STILL, MOVES = 0.13, 0.3
"""Share of its droop that a head makes good, or loses, a second: clearly at rest, clearly on its way."""


def lower_level(below: np.ndarray, step_s: float, room: bool) -> tuple[str, float]:
    """Return still, moves or between, and how much lower it stands; `below` is the last 40 % of a climb, rpm.

    With the duty at its stop a head is held by nothing, and moves.
    """
    level = float(below.mean())
    slope = float(np.polyfit(np.arange(below.size) * step_s, below, 1)[0])
    share = abs(slope) / max(abs(level), 1e-9)
    if not room or level <= 0.0 or share > MOVES:
        return "moves", level
    return ("still" if share < STILL else "between"), level
