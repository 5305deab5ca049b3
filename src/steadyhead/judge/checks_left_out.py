"""Takes back a pass of band and hunting where the head moved in running that the log does not explain."""

from dataclasses import replace

from steadyhead.judge.hunting import BY_CHANCE
from steadyhead.judge.left_out import LeftOut
from steadyhead.judge.measured import QUICKER_THAN_A_HAND_HZ, Measured
from steadyhead.words.verdict import Outcome, Verdict

REGULAR = 0.5
FAR, FAR_UNSTEADY = 3.0, 5.0
"""A head that is moved by a light load stays within so many times its limits for hover, of band and of hunting; own
choice."""
GROWS = 2.0
"""A swing that grows or fades is no single line: what it moves the head by says more; own choice."""
NEEDS = ("collective_deg",)


def as_left_out(check: Verdict, found: Measured) -> Verdict:
    """Return the band as unknown where the head left it unexplained, hunting as failed where no hand is so quick."""
    if check.limit is None or not found.left_out or check.verdict is Outcome.FAIL:
        return check
    if check.check == "no_hunting":
        return _no_hunting(check, check.limit, found.left_out)
    if check.check != "steady_band" or check.verdict is not Outcome.PASS:
        return check
    swinging = [part for part in found.left_out if _swings(part) and part.half_range_percent > check.limit]
    far = [part for part in found.left_out if part.half_range_percent > FAR * check.limit]
    if not (swinging or far):
        return check
    worst = max(swinging or far, key=lambda part: part.half_range_percent)
    why = (
        f"{_span(worst)} the head moved by "
        f"{worst.half_range_percent:.1f} % to either side, and the log does not show whether the stick did it"
    )
    return check.but(why, needs=NEEDS)


def _no_hunting(check: Verdict, limit: float, parts: tuple[LeftOut, ...]) -> Verdict:
    large = [(part.line, part) for part in parts if part.line and _swings(part) and part.line.amplitude_percent > limit]
    quick = [(line, part) for line, part in large if line.frequency_hz > QUICKER_THAN_A_HAND_HZ]
    if quick:
        line, part = max(quick, key=lambda pair: pair[0].amplitude_percent)
        if line.amplitude_percent_low > limit:
            return replace(
                check,
                verdict=Outcome.FAIL,
                figure=line.amplitude_percent,
                figure_interval=(line.amplitude_percent_low, line.amplitude_percent_high),
                reason=f"{_span(part)} the head swings regularly by {line.amplitude_percent:.2g} % at "
                f"{line.frequency_hz:.1f} Hz, limit {check.limit_text}: quicker than any hand on the stick",
                needs=(),
            )
    if check.verdict is not Outcome.PASS:
        return check
    if large:
        line, part = max(large, key=lambda pair: pair[0].amplitude_percent)
        told = f"swings regularly by {line.amplitude_percent:.2g} % at {line.frequency_hz:.1f} Hz"
    else:
        moved = [p for p in parts if p.half_range_percent > limit * (GROWS if _swings(p) else FAR_UNSTEADY)]
        if not moved:
            return check
        part = max(moved, key=lambda p: p.half_range_percent)
        told = f"moved by {part.half_range_percent:.1f} % to either side"
    why = f"{_span(part)} the head {told}, and the log does not show whether the stick did it"
    return check.but(why, needs=NEEDS)


def _span(part: LeftOut) -> str:
    return f"from {part.start_s:.0f} to {part.end_s:.0f} s"


def _swings(part: LeftOut) -> bool:
    line = part.line
    return line is not None and (line.regular or 0.0) >= REGULAR and line.chance < BY_CHANCE
