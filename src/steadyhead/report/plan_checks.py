"""The plan against its limits: each check of a flight mode in the condition where it is closest to failing."""

from steadyhead.plan.result import ModePlan, Plan
from steadyhead.report.content import Cell, Table, columns, doubtful, verdict_cell
from steadyhead.report.names import check_name
from steadyhead.report.wording import limit_words, verdict_figure
from steadyhead.words.verdict import Outcome, Verdict

_ORDER = {Outcome.FAIL: 0, Outcome.UNKNOWN: 1, Outcome.PASS: 2}
Found = tuple[Verdict, str]
"""A check and the condition it was made in."""


def plan_check_tables(plan: Plan) -> tuple[Table, ...]:
    """Return, for each flight mode, every limit with the figure that comes closest to it."""
    return tuple(_mode_checks(mode) for mode in plan.modes if any(c.checks for c in mode.conditions))


def worst_checks(mode: ModePlan) -> tuple[Found, ...]:
    """Return each check of a mode once: failed before unknown before passed, then the one nearest to its limit."""
    found: dict[str, list[Found]] = {}
    for condition in mode.conditions:
        for check in condition.checks:
            found.setdefault(check.check, []).append((check, condition.condition))
    worst = [
        min(entries, key=lambda pair: (_ORDER[pair[0].verdict], -_nearness(pair[0]))) for entries in found.values()
    ]
    return tuple(sorted(worst, key=lambda pair: _ORDER[pair[0].verdict]))


def _nearness(check: Verdict) -> float:
    """Return how much of its limit the figure takes, more being worse; 0 when either is not known."""
    if check.figure is None or not check.limit:
        return 0.0
    share = check.figure / check.limit
    return -share if check.limit_text.startswith(">=") else share


def _mode_checks(mode: ModePlan) -> Table:
    return Table(
        caption=f"{mode.mode}, {mode.head_speed_rpm:.0f} rpm: each limit where the drive comes closest to it",
        columns=columns(
            *("Check", "Verdict", "Figure", "Limit", "Where the limit comes from", "In"),
            words=(0, 1, 4, 5),
            weights=(2.0, 0.9, 1.2, 0.9, 1.6, 1.8),
        ),
        rows=tuple(
            (
                Cell(text=check_name(check.check)),
                verdict_cell(check.verdict),
                doubtful(verdict_figure(check)),
                Cell(text=limit_words(check)),
                Cell(text=check.limit_origin or "not known"),
                Cell(text=condition),
            )
            for check, condition in worst_checks(mode)
        ),
        note="A figure whose 90 % interval reaches over its limit is unknown, never pass.",
        shape="checks",
    )
