"""Which of several verdicts on one check is shown: the worst of them, by its figure."""

from collections.abc import Sequence
from dataclasses import replace

from steadyhead.words.verdict import Outcome, Verdict, worst


def worst_of(checks: Sequence[Verdict]) -> Verdict:
    """Return the worst verdict on one check: of those that say the same, the one whose figure is nearest to its limit,
    or farthest beyond it; the first where none has a figure, or where it has a limit on either side and keeps both.

    Valid: one verdict or more, all of one check.
    """
    outcome = worst(check.verdict for check in checks)
    return worst_figure([check for check in checks if check.verdict is outcome])


def worst_figure(checks: Sequence[Verdict]) -> Verdict:
    """Return the verdict with the worst figure of several that say the same; the first where no figure tells.

    Valid: one verdict or more, all of one check.
    """
    told = [check for check in checks if check.figure is not None]
    if not told or any("," in check.limit_text and check.verdict is Outcome.PASS for check in told):
        return (told or checks)[0]
    return max(told, key=_beyond_share)


def shown_of(checks: Sequence[Verdict], outcome: Outcome, where: str) -> Verdict:
    """Return what is shown of one check over several runs or logs that make `outcome` together.

    It is one that says the same, with the worst figure of all that say so; an unknown figure is shown as the worse
    one of those that pass. `where` says what the one shown is of, as in `with_worst_figure`.
    Valid: one verdict or more that says `outcome`.
    """
    return with_worst_figure(worst_figure([check for check in checks if check.verdict is outcome]), checks, where)


def with_worst_figure(shown: Verdict, others: Sequence[Verdict], where: str) -> Verdict:
    """Return an unknown verdict with the figure of another that passes, where that figure is nearer to the limit.

    `where` says what the shown one is of: another run.
    """
    passed = [check for check in others if check.verdict is Outcome.PASS and check.figure is not None]
    two_sided = any("," in check.limit_text for check in (shown, *passed))
    if shown.verdict is not Outcome.UNKNOWN or shown.figure is None or not passed or two_sided:
        return shown
    worse = max(passed, key=_beyond_share)
    if _beyond_share(worse) <= _beyond_share(shown):
        return shown
    return replace(
        shown,
        figure=worse.figure,
        figure_interval=_worst_interval(worse, shown),
        reason=f"{worse.reason}; but {where} {shown.reason}",
    )


def _worst_interval(one: Verdict, other: Verdict) -> tuple[float, float] | None:
    """Return between what the worse of two figures lies."""
    ends = [check.figure_interval for check in (one, other) if check.figure_interval is not None]
    if not ends:
        return None
    worse = min if one.limit_text.startswith(">=") else max
    return worse(low for low, _ in ends), worse(high for _, high in ends)


def _beyond_share(check: Verdict) -> float:
    """Return how far a figure lies beyond its limit, as a share of it; the figure itself where no limit is known."""
    figure = check.figure or 0.0
    if check.limit is None:
        return figure
    beyond = check.limit - figure if check.limit_text.startswith(">=") else figure - check.limit
    return beyond / (abs(check.limit) or 1.0)
