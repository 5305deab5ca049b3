"""Logs before and after a change: which figures changed beyond noise, and what else could have done it."""

import math
from collections.abc import Sequence

from steadyhead.judge.compare_result import Change, Comparison, Said
from steadyhead.report.content import Cell, Section, Table, columns, points
from steadyhead.report.names import figure_name, figure_shown, file_name
from steadyhead.report.sentences import counted, listed, sentence
from steadyhead.report.view import View, view
from steadyhead.report.wording import figure, number, outwards, percent
from steadyhead.words.verdict import Outcome

DASH = "–"
OF_LOGS = "of the logs"
"""Unit of a condition that is a share of a side's logs; bare, a share of 1 reads as one log."""
_ALL_OR_NONE = {0.0: "none", 1.0: "all"}
SAYS = {
    Outcome.PASS: "Something became better beyond noise, and nothing worse.",
    Outcome.FAIL: "Something became worse beyond noise.",
    Outcome.UNKNOWN: "Neither better nor worse is shown: that is no proof that nothing changed.",
}


def compared_view(result: Comparison) -> View:
    """Return every figure before and after with its change, the conditions that differ, and what is said of them."""
    changed = [one for one in result.changes if one.said in (Said.BETTER, Said.WORSE, Said.CHANGED)]
    first = Section(
        anchor="changes",
        title="Figures before and after",
        short="Figures",
        lead=(f"{len(changed)} of {counted(len(result.changes), 'figure')} changed beyond noise.",),
        tables=(_changes(result),) if result.changes else (),
        points=(
            *points("In short", reasons_said(result)),
            *points("Note", [*result.warnings, *_reasons(result.changes)]),
        ),
    )
    second = Section(
        anchor="conditions",
        title="What else may differ",
        short="Conditions",
        lead=("A change of the day can look like a change of the machine.",),
        tables=(_conditions(result),) if result.conditions else (),
    )
    facts = [f"Before: {_listed(result.before)}", f"after: {_listed(result.after)}"]
    says = SAYS[result.verdict]
    return view(f"{result.machine}, before and after", result.verdict, [first, second], facts, says=says)


def reasons_said(result: Comparison) -> list[str]:
    """Return the reasons with the figures called as in the table."""
    names = {one.figure.replace("_", " "): figure_name(one.figure)[0] for one in result.changes}
    said = []
    for reason in result.reasons:
        name = max((name for name in names if reason.startswith(f"{name} ")), key=len, default="")
        said.append(f"{names[name]}{reason.removeprefix(name)}" if name else reason)
    return said


def _reasons(changes: Sequence[Change]) -> list[str]:
    """Return each reason once, with the figures that it is said of."""
    said: dict[str, list[str]] = {}
    for one in changes:
        said.setdefault(one.reason, []).append(figure_name(one.figure)[0])
    return [f"{listed(list(dict.fromkeys(names)))}: {reason}" for reason, names in said.items() if reason]


def _listed(logs: tuple[str, ...]) -> str:
    return ", ".join(file_name(log) for log in logs)


def _changes(result: Comparison) -> Table:
    return Table(
        caption="Figures",
        columns=columns(
            *(
                "Figure",
                "At",
                "Before",
                "After",
                "Change",
                "Change, 90 %",
                "Counted, before and after",
                "Beyond noise?",
                "Or was it this",
            ),
            words=(0, 6, 7, 8),
            weights=(1.8, 0.9, 0.9, 0.9, 0.9, 1.2, 1.2, 1.1, 1.6),
        ),
        rows=tuple(_row(one) for one in result.changes),
        shape="cards",
        note="The 90 % interval is that of one figure by itself: of many figures a few lie on one side of zero by "
        "chance. A figure counts as changed when it is beyond that, all figures of this table taken together. "
        f"Counted: {listed(list(dict.fromkeys(one.counted for one in result.changes)))}.",
    )


def _row(one: Change) -> tuple[Cell, ...]:
    at = one.set_rpm if one.set_rpm is not None else one.set_rpm_after
    span = one.change_interval
    name, unit, times = figure_shown(one.figure)
    between = DASH if span is None else f"{_ends((times * span[0], times * span[1]))} {unit}".strip()
    return (
        Cell(text=name),
        Cell(text="whole flight" if at is None else figure(at, "rpm", step=1.0)),
        Cell(text=_known(one.before, unit, times)),
        Cell(text=_known(one.after, unit, times)),
        Cell(text=DASH if one.change is None else f"{signed(times * one.change)} {unit}".strip()),
        Cell(text=between),
        Cell(text=f"{one.before_count} and {one.after_count}"),
        Cell(text=one.said.value, strong=one.said in (Said.BETTER, Said.WORSE, Said.CHANGED)),
        Cell(text="; ".join(one.could_be) or DASH),
    )


def _ends(span: tuple[float, float]) -> str:
    """Return both ends of an interval to a tenth to a hundredth of its width, rounded outwards: `0 to +0.12`."""
    width = span[1] - span[0]
    if not width or not math.isfinite(width):
        return f"{signed(span[0])} to {signed(span[1])}"
    step = 10.0 ** (math.floor(math.log10(width)) - 1)
    low, high = (signed(end, step=step) for end in outwards(span, step))
    return f"{low} to {high}"


def signed(change: float, *, step: float | None = None) -> str:
    """Return a change with its sign: `+1.2`, `−0.4`."""
    words = number(change, step=step, trim=True)
    return words if words.startswith("−") or words == "0" else f"+{words}"


def _known(value: float | None, unit: str, times: float = 1.0) -> str:
    if unit == OF_LOGS and value is not None:
        return f"{_ALL_OR_NONE.get(value) or percent(value, digits=2)} {unit}"
    return DASH if value is None else figure(times * value, unit)


def _conditions(result: Comparison) -> Table:
    return Table(
        caption="Conditions",
        columns=columns("Condition", "Before", "After", "Differs", "Why it matters", words=(0, 3, 4)),
        rows=tuple(
            (
                Cell(text=sentence(one.condition).rstrip(".")),
                Cell(text=_known(one.before, one.unit)),
                Cell(text=_known(one.after, one.unit)),
                Cell(text={True: "yes", False: "no", None: "not known"}[one.differs], strong=one.differs is not False),
                Cell(text=sentence(f"{one.reason} ({one.origin})" if one.origin else one.reason)),
            )
            for one in result.conditions
        ),
        shape="cards",
    )
