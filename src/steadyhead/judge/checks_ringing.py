"""Judges a head that rings on after its hard loads, though it runs steadily in hover."""

from dataclasses import replace
from statistics import median

from steadyhead.judge.measured import QUICKER_THAN_A_HAND_HZ, Measured
from steadyhead.judge.ringing import Ring
from steadyhead.words.verdict import Outcome, Verdict

FEWEST_LOADS = 2
"""What one load shows, a gust or a hand may have made; own choice."""
NEEDS = ("a log with three climb-outs, the collective held still after each",)


def unless_it_rings(verdict: Verdict, found: Measured) -> Verdict:
    """Return a pass of hunting as fail, or unknown, where the head rang after half of its hard loads or more.

    Fail: regular and lasting after two loads or more, noise taken off, and no hand in it: the collective still, or a
    swing quicker than any hand. Else unknown.
    """
    rang = [ring for ring in found.rings if ring.half_swings]
    if verdict.verdict is not Outcome.PASS or verdict.limit is None:
        return verdict
    if not rang or 2 * len(rang) < len(found.rings):
        return verdict
    sure = [ring for ring in rang if _is_sure(ring, verdict.limit)]
    told = sure if len(sure) >= FEWEST_LOADS and 2 * len(sure) >= len(found.rings) else rang
    amplitude = median(ring.amplitude_percent for ring in told)
    hertz = median(ring.frequency_hz for ring in told)
    what = (
        f"after {len(told)} of {len(found.rings)} hard loads the head swung on, {hertz:.1f} Hz, {amplitude:.2g} %, "
        f"the first at {told[0].at_s:.1f} s; in steady running it does not"
    )
    if told is sure:
        least = min(ring.least_percent for ring in sure)
        most = max(ring.amplitude_percent for ring in sure)
        return replace(
            verdict,
            verdict=Outcome.FAIL,
            reason=f"{what}, limit <= {verdict.limit:g} % ({verdict.limit_origin})",
            figure=amplitude,
            figure_interval=(least, most),
        )
    why = f"{what}: loop, hand or wind"
    return verdict.but(why, needs=NEEDS)


def _is_sure(ring: Ring, limit_percent: float) -> bool:
    no_hand = ring.stick_still or ring.frequency_hz > QUICKER_THAN_A_HAND_HZ
    return ring.lasts and no_hand and ring.least_percent > limit_percent
