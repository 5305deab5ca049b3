"""Why a law was taken or refuted, in sentences that name readings."""

from collections.abc import Sequence

import numpy as np

from steadyhead.channel.bow import bow_would_show
from steadyhead.channel.line_fit import Line, Points
from steadyhead.channel.result import Reading

WELL_WITHIN = 0.5
"""A miss that more than half of honest readings exceed needs no figure."""


def why_unknown(readings: Sequence[Reading]) -> str:
    """Say why fewer than two positions make no law."""
    if not readings:
        return "no reading yet: the law is known by measurement only"
    return (
        f"only one channel position was read ({readings[0].percent:g} %): "
        "a proportional law and one with an offset pass through it alike"
    )


def proportional_refuted_by(points: Points) -> str:
    """Say which pair of readings no proportional law passes through.

    Valid: two positions or more.
    """
    top = int(np.argmax(points.percent))
    would_be = points.rpm[top] * points.percent / points.percent[top]
    doubt = np.hypot(points.deviation_rpm, points.deviation_rpm[top] * points.percent / points.percent[top])
    other = int(np.argmax(np.abs(points.rpm - would_be) / doubt))
    return (
        f"a law in proportion does not hold: through {points.rpm[top]:.0f} rpm at {points.percent[top]:g} % it would "
        f"give {would_be[other]:.0f} rpm at {points.percent[other]:g} %, but {points.rpm[other]:.0f} was read"
    )


def proportional_not_kept(*, would_be_seen: bool) -> str:
    """Say why a proportional law that no reading refutes is not taken; `would_be_seen`: an offset would have shown."""
    why = (
        "no reading between the others tests that the law is straight"
        if would_be_seen
        else "the readings lie too close together to tell"
    )
    return f"a law in proportion would hold, too, but {why}: the line with an offset holds them"


def worst_miss(points: Points, line: Line) -> str:
    """Name the reading that lies farthest off a line, in its own doubt."""
    on_line = line.level_rpm + line.slope_rpm_per_percent * (points.percent - line.centre_percent)
    at = int(np.argmax(np.abs(points.rpm - on_line) / points.deviation_rpm))
    return f"{points.rpm[at]:.0f} rpm at {points.percent[at]:g} % by {points.rpm[at] - on_line[at]:+.0f} rpm"


def test_said(points: Points, chance: float, factor: float) -> str:
    """Say what tested a line with an offset, or that nothing did."""
    if points.positions < 3:
        return "two positions fix it and leave none to test it: read a third"
    if not bow_would_show(points, factor):
        return "no reading lies well enough between the others to show a bend: read one more between them"
    how = "well within their doubt" if chance > WELL_WITHIN else f"within their doubt ({miss_said(chance)})"
    return f"the readings beyond two agree with it, {how}"


def piecewise_said(points: Points, line: Line, chance: float, bend: int) -> str:
    """Say why only a law that rises is left, and what bounds it between the readings."""
    if line.slope_rpm_per_percent <= 0.0:
        return (
            "the head speed does not rise with the channel over these readings: "
            "check that the channel reaches the controller"
        )
    between = {
        -1: "the law flattens all along, which bounds it between the readings",
        0: "between the readings only the rise is certain",
        1: "the law steepens all along, which bounds it between the readings",
    }[bend]
    return (
        f"one straight line does not hold ({miss_said(chance)}): it misses {worst_miss(points, line)}, "
        f"and no flat end explains it; {between}"
    )


def miss_said(chance: float) -> str:
    """Say how often honest readings miss a right law by as much."""
    return f"honest readings miss a right law by as much {_often(chance)}"


def offset_said(chance: float) -> str:
    """Say how often an offset as large as this is read where there is none."""
    return f"honest readings show as much {_often(chance)}"


def _often(chance: float) -> str:
    """Say a chance as cases of a hundred."""
    return f"in {chance * 100.0:.0f} of 100 cases" if chance >= 0.01 else "in fewer than 1 of 100 cases"
