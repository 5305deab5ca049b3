"""A study as a page shows it: its chart, shares that pass, figures, influences, the worst corner."""

from collections.abc import Sequence

from steadyhead.report.check_tables import check_table
from steadyhead.report.content import Cell, Section, Table, columns, doubtful, points
from steadyhead.report.figures.chart import chart_drawing
from steadyhead.report.names import figure_name, figure_shown, humanised, key_name
from steadyhead.report.sentences import counted
from steadyhead.report.view import View, view
from steadyhead.report.wording import NOT_KNOWN, figure, percent_ranged, ranged
from steadyhead.study.chart import study_chart
from steadyhead.study.result import FigureSpread, PointTold, StudyAnswer
from steadyhead.words.verdict import Outcome

FAILS = "Every machine fails at every choice: none of these choices holds the limits."
NO_VERDICT = "This question lays choices side by side; it has no verdict, and what it shows is no pass."
MOST_FIGURES = 12
"""How many figures of a point are shown; the rest stand in rows.parquet."""


def study_view(answer: StudyAnswer) -> View:
    """Return a study with its chart; a question without a verdict is stamped unknown, and says so."""
    lost = answer.verdict is None and fails_everywhere(answer.points)
    first = Section(
        anchor="study",
        title="What the machines say",
        short="Machines",
        lead=(
            "What is drawn is the doubt that the machine file states: a spread that is too small gives a share that is "
            "too good.",
            *(() if answer.verdict or lost else ("This question has no verdict.",)),
        ),
        drawings=(chart_drawing(study_chart(answer)),),
        tables=(_points(answer), *((check_table(answer.checks, "Checks"),) if answer.checks else ())),
        points=(
            *points("On the front: no other has more of both", [p.point for p in answer.points if p.on_front]),
            *points("Worst corner", _corner(answer)),
            *points("Warnings", answer.warnings),
        ),
    )
    more = Section(
        anchor="figures",
        title="Figures",
        short="Figures",
        tables=(*((_influences(answer),) if answer.influences else ()), *(_figures(one) for one in answer.points)),
    )
    facts = [answer.machine, answer.collects, counted(answer.rows, "machine"), f"seed {answer.seed}"]
    if answer.verdict is not None:
        return view(answer.study, answer.verdict, [first, more], facts)
    says = FAILS if lost else NO_VERDICT
    return view(answer.study, Outcome.FAIL if lost else Outcome.UNKNOWN, [first, more], facts, says=says)


def fails_everywhere(points: Sequence[PointTold]) -> bool:
    """Whether every machine that was drawn fails, at every choice."""
    return bool(points) and all(one.machines and one.failed == one.machines for one in points)


def _points(answer: StudyAnswer) -> Table:
    return Table(
        caption="Machines at each point",
        columns=columns(
            "At", "Machines", "Pass", "Fail", "Unknown", "Share that pass (90 %)", weights=(2.4, *[1.0] * 5)
        ),
        rows=tuple(
            (
                Cell(text=humanised(one.point)),
                *(Cell(text=f"{count}") for count in (one.machines, one.passed, one.failed, one.unknown)),
                doubtful(percent_ranged(one.pass_share, one.pass_share_interval)),
            )
            for one in answer.points
        ),
        shape="cards",
    )


def _figures(point: PointTold) -> Table:
    return Table(
        caption=f"{humanised(point.point)}: mean, and where nine in ten lie",
        columns=columns("Figure", "Mean (nine in ten)", "Known of", weights=(2.0, 1.6, 0.8)),
        rows=tuple(
            (
                Cell(text=name),
                doubtful(_ranged(one, unit, times) if one.known else NOT_KNOWN),
                Cell(text=f"{one.known} of {point.machines}"),
            )
            for one in [known for known in point.figures if ": " not in known.figure][:MOST_FIGURES]
            for name, unit, times in (figure_shown(one.figure),)
        ),
        shape="pairs",
    )


def _ranged(one: FigureSpread, unit: str, times: float) -> str:
    """Return a figure over the draws in the unit that it is shown in."""
    return ranged(times * one.mean, (times * one.interval[0], times * one.interval[1]), unit)


def _influences(answer: StudyAnswer) -> Table:
    return Table(
        caption=f"What carries the doubt on {_said(answer.influence_of or '')}: share of the variance",
        columns=columns("Input", "By itself (90 %)", "With the others (90 %)", weights=(2.0, 1.2, 1.2)),
        rows=tuple(
            (
                Cell(text=key_name(one.key)),
                doubtful(percent_ranged(one.first_order, one.first_order_interval)),
                doubtful(percent_ranged(one.total, one.total_interval)),
            )
            for one in answer.influences
        ),
        shape="pairs",
    )


def _corner(answer: StudyAnswer) -> list[str]:
    corner = answer.worst
    if corner is None:
        return []
    ends = ", ".join(f"{key_name(key)} {end}" for key, end in corner.at.items())
    _, unit, times = figure_shown(corner.figure)
    value = NOT_KNOWN if corner.value is None else figure(times * corner.value, unit)
    return [f"{ends}: {_said(corner.figure)} {value}, {corner.verdict.value} ({corner.why})"]


def _said(key: str) -> str:
    return figure_name(key)[0].lower()
