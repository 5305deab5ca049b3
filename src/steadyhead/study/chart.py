"""What the chart of a study shows."""

import math

from steadyhead.report.figures.chart import Bar, Chart, Dot
from steadyhead.report.names import figure_name, humanised, key_name
from steadyhead.study.asked import Question
from steadyhead.study.result import StudyAnswer
from steadyhead.words.verdict import Outcome, worst

MOST_BARS = 24


def study_chart(answer: StudyAnswer) -> Chart:
    """Return the chart that answers the question of a study."""
    if answer.question == Question.SENSITIVITY:
        return _influence_chart(answer)
    if answer.question == Question.TRADE:
        return _trade_chart(answer)
    return _share_chart(answer)


def _share_chart(answer: StudyAnswer) -> Chart:
    """Return the share that passes at each point of the grid, against the share that is needed."""
    limit = next((check.limit for check in answer.checks if check.limit is not None), None)
    outcomes = [check.verdict for check in answer.checks]
    corners = answer.question == Question.WORST
    rows = tuple(
        Bar(
            label=humanised(point.point),
            value=100.0 * point.pass_share,
            interval=_percent((point.pass_share,) * 2 if corners else point.pass_share_interval),
            outcome=outcomes[number] if len(outcomes) == len(answer.points) else None,
        )
        for number, point in enumerate(answer.points[:MOST_BARS])
    )
    least = min(point.pass_share for point in answer.points)
    kind = "corners" if corners else "drawn machines"
    return Chart(
        name="study",
        says=f"{answer.collects}: at least {100.0 * least:.0f} % of the {kind} pass, {worst(outcomes).value}",
        x_label="corners that pass (%): all of them, so without a doubt of counting"
        if corners
        else "drawn machines that pass (%), with 90 % interval",
        y_label="",
        outcome=worst(outcomes),
        bars=rows,
        limit=None if limit is None else 100.0 * limit,
        limit_says="" if limit is None else f"needed {100.0 * limit:.3g} %",
    )


def _percent(ends: tuple[float, float]) -> tuple[float, float]:
    return 100.0 * ends[0], 100.0 * ends[1]


def _influence_chart(answer: StudyAnswer) -> Chart:
    rows = []
    for one in answer.influences[:MOST_BARS]:
        low, high = one.total_interval
        rows.append(Bar(label=key_name(one.key), value=100.0 * one.total, interval=(100.0 * low, 100.0 * high)))
    first = answer.influences[0]
    return Chart(
        name="study",
        says=f"{key_name(first.key)} matters most to {_named(answer.influence_of or '')}: no verdict",
        x_label="total share of the variance (%), with 90 % interval",
        y_label="",
        outcome=Outcome.UNKNOWN,
        bars=tuple(rows),
    )


def _trade_chart(answer: StudyAnswer) -> Chart:
    across, up = answer.trade_of or ("", "")
    dots = []
    for point in answer.points:
        means = {one.figure: one.mean for one in point.figures}
        x, y = means.get(across, math.nan), means.get(up, math.nan)
        dots.append(Dot(label=humanised(point.point), x=x, y=y, joined=bool(point.on_front)))
    on = sum(dot.joined for dot in dots)
    return Chart(
        name="study",
        says=f"{on} of {len(dots)} choices that no other beats in both: no verdict",
        x_label=f"{_named(across)}, mean of the draws",
        y_label=f"{_named(up)}, mean of the draws",
        outcome=Outcome.UNKNOWN,
        dots=tuple(dots),
    )


def _named(key: str) -> str:
    """Return a figure's key as an axis says it: the mode before it, its unit behind."""
    before, colon, figure = key.rpartition(": ")
    name, unit = figure_name(figure)
    return f"{before}{colon}{name[:1].lower()}{name[1:]}{f' ({unit})' if unit else ''}"
