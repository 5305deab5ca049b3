"""A bench run as a page shows it: what is expected of a step, and every step with its verdict."""

import math

from steadyhead.bench.run_summary import RunSummary, StepTold
from steadyhead.bench.step import Interval, Step
from steadyhead.report.check_tables import check_table
from steadyhead.report.content import Cell, Section, Table, columns, points, verdict_cell
from steadyhead.report.names import humanised
from steadyhead.report.sentences import tidy
from steadyhead.report.view import View, view
from steadyhead.report.wording import moment, unit_shown

HAND_TIMED_S = 10.0
"""A time below this is shown to two digits. Common practice, no source."""
SAME = 1e-6
"""Share of a rounding step within which an end counts as standing on it."""
WAYS = (math.ceil, math.floor)
STATE_WORDS = {"done": "done", "open": "open", "reopened": "run again", "current": "now"}


def expected_words(step: Step | StepTold) -> str:
    """Say what a step expects, or why nothing is; empty for a step that asks for a confirmation alone."""
    unit = unit_shown(step.unit)
    middle = "" if step.expected is None else f"{_shown(step.expected, step.unit)} {unit}"
    if step.expected_interval is not None:
        low, high = _inwards(step.expected_interval, step.unit)
        return f"{middle}{', ' if middle else ''}within {low} to {high} {unit}"
    if middle:
        return middle
    return step.expected_word or humanised(step.expected_from)


def _inwards(ends: Interval, unit: str) -> tuple[str, str]:
    """Return both ends as finely as they can be read, never outside of what passes: `1097`, `1099` for 1096.5, 1099.5.

    Where nothing would be left between them, a digit finer.
    """
    most = _grain(max(map(abs, ends)), unit)
    for step in (most, most / 10.0, most / 100.0):
        low, high = (way(end / step - sign * SAME) * step for way, end, sign in zip(WAYS, ends, (1, -1), strict=True))
        if low <= high:
            break
    return f"{round(low, 9):.6g}", f"{round(high, 9):.6g}"


def _grain(figure: float, unit: str) -> float:
    """Return the step that `_shown` rounds a figure to."""
    digits = 2 if unit == "s" and figure < HAND_TIMED_S else 4
    return 10.0 ** (math.floor(math.log10(figure)) - digits + 1) if figure > 0.0 else 0.1


def _shown(figure: float, unit: str) -> str:
    """Return a figure as finely as it can be read: nobody times a thousandth by hand."""
    return f"{figure:.2g}" if unit == "s" and figure < HAND_TIMED_S else f"{figure:.4g}"


def run_view(run: RunSummary) -> View:
    """Return every step with what was expected, what was seen, and its verdict; then every check that stands."""
    section = Section(
        anchor="run",
        title="Where the run stands",
        short="Run",
        lead=(f"{run.steps_done} of {len(run.steps)} steps done.",),
        tables=(_steps(run), *((check_table(run.checks, "Checks that stand"),) if run.checks else ())),
        points=(
            *points("Open, failed or not known", run.reasons),
            *points(
                "Left out: the machine file does not say enough", [f"{one.step}: {one.why}" for one in run.left_out]
            ),
            *points("Warnings", run.warnings),
        ),
    )
    facts = [f"Revision {run.machine_revision}", f"begun {moment(run.started_on)}"]
    return view(f"{run.machine}, bench", run.verdict, [section], facts)


def _steps(run: RunSummary) -> Table:
    return Table(
        caption="Steps",
        columns=columns(
            "Step", "State", "Expected", "Seen", "Read from", "Verdict", words=(0, 1, 2, 3, 4, 5),
            weights=(2.4, 0.8, 1.6, 1.2, 1.2, 0.8),
        ),
        rows=tuple(_row(one) for one in run.steps),
        shape="cards",
    )  # fmt: skip


def _row(one: StepTold) -> tuple[Cell, ...]:
    state = STATE_WORDS[one.state] + (f", after {one.void_by}" if one.void_by else "")
    judged = verdict_cell(one.verdict) if one.part != "safety" else Cell(text="–")
    return (
        Cell(text=one.title),
        Cell(text=state, strong=one.state in ("current", "reopened")),
        Cell(text=expected_words(one) or "–"),
        Cell(text=tidy(one.answer) or "–"),
        Cell(text=one.source or "–"),
        judged,
    )
