"""What the rows of a study say: shares that pass, influence of inputs, the trade front, the worst corner."""

import math

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.study.asked import Question, Study
from steadyhead.study.design import points, rows
from steadyhead.study.influence import influences
from steadyhead.study.result import Corner, FigureSpread, Interval, PointTold, StudyAnswer
from steadyhead.study.table import TROUBLE, column, figure_names, words
from steadyhead.words import cautions
from steadyhead.words.errors import InputError, did_you_mean
from steadyhead.words.verdict import Limit, Outcome, Verdict, worst

LEVEL = 0.9
FEW = 30
MORE_IS_WORSE = ("_a", "_c", "percent", "sink_m_s", "recovery_s", "height_lost_m", "to_set_speed_s", "start_delay_s")
"""Endings of figures of which more is worse: the worst corner is their highest, not their lowest."""


def answered(study: Study, table: pl.DataFrame) -> StudyAnswer:
    """Return what the rows of a study say.

    Raises: InputError when the study asks for a check or a figure that its command does not give.
    """
    _refuse_names(study, table)
    by_point = [table.filter(pl.col("point") == number) for number in range(len(points(study)))]
    told = [_point(study, number, found) for number, found in enumerate(by_point)]
    if study.question is Question.TRADE:
        told = _with_front(study, told)
    corner = _worst_corner(study, table) if study.question is Question.WORST else None
    checks = _checks(study, told, corner)
    return StudyAnswer(
        study=study.name,
        machine=study.machine_name,
        collects=study.collects,
        question=study.question,
        rows=table.height,
        seed=study.seed,
        inputs=tuple(varied.key for varied in study.varied),
        points=tuple(told),
        influences=influences(study, table) if study.question is Question.SENSITIVITY else (),
        influence_of=study.figure if study.question is Question.SENSITIVITY else None,
        trade_of=study.against if study.question is Question.TRADE else None,
        worst=corner,
        checks=checks,
        verdict=worst(check.verdict for check in checks) if checks else None,
        warnings=_warnings(study, table),
        cautions=cautions.ALL,
        table=table,
    )


def pass_interval(passed: int, machines: int) -> Interval:
    """Return the 90 % interval of a share that was counted.

    Source: Clopper and Pearson, Biometrika 26, 1934, by the quantiles of the beta distribution.
    """
    from scipy.special import betaincinv

    tail, failed = 0.5 * (1.0 - LEVEL), machines - passed
    low = float(betaincinv(passed, failed + 1, tail)) if passed else 0.0
    high = float(betaincinv(passed + 1, failed, 1.0 - tail)) if failed else 1.0
    return low, high


def front(pairs: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return which points of two figures no other point beats: at least as much of both, and more of one.

    Shapes: pairs (n, 2) -> (n,). A point with a figure that is not known is never on the front.
    """
    known = np.isfinite(pairs).all(axis=1)
    beaten = np.array([bool(((pairs >= one).all(axis=1) & (pairs > one).any(axis=1) & known).any()) for one in pairs])
    on: NDArray[np.bool_] = known & ~beaten
    return on


def _point(study: Study, number: int, found: pl.DataFrame) -> PointTold:
    verdicts = words(found, _verdict_column(study), Outcome.UNKNOWN.value)
    passed, failed = (int((verdicts == one.value).sum()) for one in (Outcome.PASS, Outcome.FAIL))
    return PointTold(
        point=point_words(study, number),
        machines=found.height,
        passed=passed,
        failed=failed,
        unknown=found.height - passed - failed,
        pass_share=passed / found.height,
        pass_share_interval=pass_interval(passed, found.height),
        figures=tuple(_spread(name, found) for name in figure_names(found)),
    )


def point_words(study: Study, number: int) -> str:
    """Say one point of the grid as the study file does."""
    said = points_said(study)[number]
    return ", ".join(f"{swept.key} {one}" for swept, one in zip(study.swept, said, strict=True)) or "as described"


def points_said(study: Study) -> list[tuple[str, ...]]:
    """Return every point of the grid in the words of the study file."""
    from itertools import product

    return list(product(*(swept.said for swept in study.swept)))


def _spread(name: str, found: pl.DataFrame) -> FigureSpread:
    values = column(found, name)
    values = values[np.isfinite(values)]
    if not values.size:
        return FigureSpread(figure=name, mean=math.nan, interval=(math.nan, math.nan), known=0)
    low, high = np.quantile(values, (0.05, 0.95))
    return FigureSpread(
        figure=name, mean=float(values.mean()), interval=(float(low), float(high)), known=int(values.size)
    )


def _with_front(study: Study, told: list[PointTold]) -> list[PointTold]:
    from dataclasses import replace

    means = [{one.figure: one.mean for one in point.figures} for point in told]
    pairs = np.array([[row.get(figure, math.nan) for figure in study.against] for row in means])
    return [replace(point, on_front=bool(on)) for point, on in zip(told, front(pairs), strict=True)]


def _worst_corner(study: Study, table: pl.DataFrame) -> Corner:
    """Return the corner with the worst verdict, and among those the worst figure."""
    rank = {Outcome.FAIL.value: 0, Outcome.UNKNOWN.value: 1, Outcome.PASS.value: 2}
    sign = -1.0 if study.figure.endswith(MORE_IS_WORSE) else 1.0
    values = np.nan_to_num(sign * column(table, study.figure), nan=-math.inf)
    verdicts = words(table, _verdict_column(study), Outcome.UNKNOWN.value).to_list()
    at = min(range(table.height), key=lambda number: (rank[verdicts[number]], values[number]))
    cells = table.row(at, named=True)
    row = rows(study, at, at + 1)[0]
    ends = {v.key: "high" if off > 0.0 else "low" for v, off in zip(study.varied, row.half_widths, strict=True)}
    failing = [name.removeprefix("check ") for name, got in cells.items() if name.startswith("check ")
               and got == Outcome.FAIL.value]  # fmt: skip
    return Corner(
        point=point_words(study, row.point),
        row=row.number,
        at=ends,
        figure=study.figure,
        value=float(sign * values[at]) if math.isfinite(values[at]) else None,
        verdict=Outcome(verdicts[at]),
        why=str(cells.get(TROUBLE) or ("fails " + ", ".join(failing) if failing else "no check fails")),
    )


def _checks(study: Study, told: list[PointTold], corner: Corner | None) -> tuple[Verdict, ...]:
    if study.question is Question.VERDICT:
        limit = Limit(value=study.needed_share, unit="", origin="study file, needed_share")
        return tuple(
            Verdict.at_least(
                "share_that_passes", point.pass_share, limit, interval=point.pass_share_interval,
                what=f"the share of drawn machines that pass, {point.point},",
            )
            for point in told
        )  # fmt: skip
    if corner is None:
        return ()
    figure = "not known" if corner.value is None else f"{corner.value:.4g}"
    says = f"{corner.figure} is {figure} at the worst corner, {corner.point}; {corner.why}"
    return (Verdict(check="worst_corner", verdict=corner.verdict, reason=says, figure=corner.value),)


def _verdict_column(study: Study) -> str:
    return f"check {study.check}" if study.check else "verdict"


def _refuse_names(study: Study, table: pl.DataFrame) -> None:
    """Refuse a check or a figure that no row has: a misspelt name would pass for one that is not known."""
    checks = {name.removeprefix("check ") for name in table.columns if name.startswith("check ")}
    if study.check and study.check not in checks:
        raise InputError(f"{study.source}, check", read=study.check, right=did_you_mean(study.check, checks))
    wanted = {Question.TRADE: study.against}.get(study.question, (study.figure,))
    if study.question is Question.VERDICT:
        return
    figures = figure_names(table)
    for name in wanted:
        if name not in figures:
            raise InputError(f"{study.source}, figure", read=name, right=did_you_mean(name, figures))


def _warnings(study: Study, table: pl.DataFrame) -> tuple[str, ...]:
    found = []
    troubles = [one for one in words(table, TROUBLE, "") if one]
    if troubles:
        found.append(f"{len(troubles)} of {table.height} machines have no figures and count as unknown: {troubles[0]}")
    if study.varied:
        found.append("inputs are drawn independently of each other, and as far as the machine file doubts them")
    if study.question in (Question.VERDICT, Question.TRADE) and study.varied and study.draws < FEW:
        found.append(f"{study.draws} draws say little of the ends of a spread: {FEW} or more do better")
    if study.question is Question.WORST:
        found.append("corners are the ends of the 90 % intervals: a worse machine is possible")
    return tuple(found)
