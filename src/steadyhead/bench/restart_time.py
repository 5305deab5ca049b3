"""Whether the time that was taken of a restart goes with its word, soft or quick."""

from dataclasses import replace

from steadyhead.bench.fixed_steps import Bench
from steadyhead.bench.step import Answer
from steadyhead.words.verdict import Limit, Outcome, Verdict

FROM_REST = "late"
"""The restart that waits until the head should stand; at the others it may still turn, and any ramp is shorter."""


def time_goes_with(bench: Bench, check: str, which: str, answer: Answer, spread: float) -> Verdict | None:
    """Judge the time of a restart that was soft or quick, s; None where none was taken.

    quick: within the limits of the quick restart · soft: no longer than a soft start may take, and longer than a quick
    one; from rest, no shorter than a soft start. One that is too short is unknown: the head may still have turned.
    `which`: soon, late or after hold. `spread`: half width of the time's 90 % interval, s.
    """
    took, word = answer.figure, answer.word
    if took is None:
        return None
    low, high = _limits(bench, which, word)
    narrow = low is not None and high is not None and high.value - low.value < 2.0 * spread
    judged = Verdict.between(
        check,
        took,
        low,
        high,
        what=f"the time of a {word} start",
        interval=None if narrow else (max(took - spread, 0.0), took + spread),
    )
    if judged.verdict is Outcome.FAIL and low is not None and took < low.value:
        why = f"{judged.reason}; it may be so only where the head still turned: let it stand, or log it, and repeat"
        judged = replace(judged, verdict=Outcome.UNKNOWN, reason=why, needs=(f"the time of a {word} start from rest",))
    return judged


def _limits(bench: Bench, which: str, word: str) -> tuple[Limit | None, Limit | None]:
    """Return the shortest and the longest time that goes with a word, s."""
    of = bench.machine.limit
    if word == "quick":
        return of("limits.quick_spool_low"), of("limits.quick_spool_high")
    shortest = of("limits.soft_spool_low") if which == FROM_REST else of("limits.quick_spool_high")
    return shortest, of("limits.soft_spool_high")
