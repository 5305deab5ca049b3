"""What logs tell of the machine, held against its file, and the machine file that is proposed."""

from collections.abc import Sequence

from steadyhead.channel.fitted_law import law_name
from steadyhead.learn.result import Change, GovernorSeen, Learned, Parameter, Replayed
from steadyhead.report.check_tables import check_table
from steadyhead.report.content import Cell, Section, Table, columns, doubtful, points
from steadyhead.report.names import figure_name, file_name, key_name
from steadyhead.report.sentences import listed, sentence, tidy
from steadyhead.report.view import View, view
from steadyhead.report.wording import NOT_KNOWN, UNIT_WORDS, figure, number, percent, ranged
from steadyhead.words.verdict import Outcome

SAYS = {
    Outcome.PASS: "The logs tell something of this machine, and the fit can be trusted as far as its intervals say.",
    Outcome.FAIL: "What the logs tell and what the file says cannot both be right.",
    Outcome.UNKNOWN: "The logs do not tell enough, or the fit cannot be trusted. Unknown is not a pass.",
}


def learned_view(result: Learned) -> View:
    """Return checks, what was told and what was not, gains, law, each new line, and logs flown with both files."""
    told = [one for one in result.parameters if one.told]
    gains = [one for one in result.governors if one.told]
    first = Section(
        anchor="told",
        title="Told by these logs",
        short="Told",
        lead=_reasons(result),
        tables=(
            *((check_table(result.checks, "Checks"),) if result.checks else ()),
            *((_told(told),) if told else ()),
            *((_figures(result),) if result.figures else ()),
        ),
        points=(
            *points("Warnings", result.warnings),
            *(points("Which logs tell which number", _told_by(told)) if len(result.logs) > 1 else ()),
            *points(
                "Not told by these logs",
                [f"{key_name(one.key)}: needs {one.needs}" for one in result.parameters if not one.told],
            ),
            *points("Hardly told apart", result.not_told_apart),
        ),
    )
    second = Section(
        anchor="governor",
        title="Governor and set-point law",
        short="Governor",
        lead=("Gains in physical units: no device shows them. To change one, move its own by the same share.",),
        tables=(_governors(gains),) if gains else (),
        points=(
            *points(
                "Gains not told",
                [f"the log {file_name(one.log)} needs {one.needs}" for one in result.governors if not one.told],
            ),
            *points("Set-point law", _law(result)),
        ),
    )
    third = Section(
        anchor="proposal",
        title="Proposed machine file",
        short="Proposal",
        lead=("Nothing is kept until you say so.",) if result.proposal.changes else ("Nothing is proposed.",),
        tables=(
            *((_changes(result.proposal.changes),) if result.proposal.changes else ()),
            *((_replayed(result.replayed),) if result.replayed else ()),
        ),
    )
    facts = [
        f"Revision {result.machine_revision}",
        f"from {listed([file_name(log) for log in result.logs])}",
    ]
    says = SAYS[result.verdict]
    return view(f"{result.machine}, learned", result.verdict, [first, second, third], facts, says=says)


def _reasons(result: Learned) -> tuple[str, ...]:
    """Return the reasons that stand in no row of the checks."""
    by_check = {check.reason for check in result.checks}
    return tuple(sentence(reason) for reason in result.reasons if reason not in by_check)


def _told_by(known: Sequence[Parameter]) -> list[str]:
    return [f"{key_name(one.key)}: {listed([file_name(log) for log in one.told_by])}" for one in known]


def _told(known: Sequence[Parameter]) -> Table:
    return Table(
        caption="Numbers of the machine file",
        columns=columns(
            *("Number", "Logs say (90 %)", "File says (90 %)", "Where the file has it from", "Doubt rests on"),
            words=(0, 3, 4),
            weights=(1.6, 1.5, 1.5, 1.2, 1.6),
        ),
        rows=tuple(
            (
                Cell(text=key_name(one.key)),
                doubtful(ranged(one.value, one.value_interval, one.unit)),
                doubtful(ranged(one.file_value, one.file_value_interval, one.unit, stated=True)),
                Cell(text=one.file_origin or "–"),
                Cell(text=", ".join(key_name(on) if " " not in on else on for on in one.rests_on) or "–"),
            )
            for one in known
        ),
        shape="cards",
    )


def _figures(result: Learned) -> Table:
    return Table(
        caption="Sums and ratios that the logs tell",
        columns=columns("Figure", "Value (90 %)", "What it is", words=(0, 2), weights=(1.5, 1.3, 3.0)),
        rows=tuple(
            (
                Cell(text=sentence(one.name.replace("_", " ")).rstrip(".")),
                doubtful(ranged(one.value, one.value_interval, one.unit)),
                Cell(text=one.says),
            )
            for one in result.figures
        ),
        shape="cards",
    )


def _governors(seen: Sequence[GovernorSeen]) -> Table:
    return Table(
        caption="Governor as it acted in flight",
        columns=columns(
            *("Log", "Duty for an error of the whole set speed", "More each second", "Integral time"),
        ),
        rows=tuple(
            (
                Cell(text=file_name(one.log)),
                doubtful(ranged(one.gain, one.gain_interval)),
                doubtful(ranged(one.gain_per_s, one.gain_per_s_interval)),
                doubtful(ranged(one.integral_time_s, one.integral_time_s_interval, "s")),
            )
            for one in seen
        ),
        shape="cards",
    )


def _law(result: Learned) -> list[str]:
    seen = result.law
    rows = [f"{number(r.percent)} % gives {ranged(r.head_speed_rpm, _ends(r.head_speed_rpm, r.spread_rpm), 'rpm')}"
            for r in seen.readings]  # fmt: skip
    if not seen.told:
        return [*rows, f"not told by these logs: needs {seen.needs}"]
    slope = seen.law.slope_rpm_per_percent
    told = NOT_KNOWN if slope is None else f"{number(slope)} {UNIT_WORDS.get('rpm', 'rpm')} for each percent"
    return [*rows, f"{law_name(seen.law.kind)}: {told}, {seen.law.chosen_because}"]


def _ends(value: float, half: float) -> tuple[float, float]:
    return value - half, value + half


def _changes(changes: Sequence[Change]) -> Table:
    return Table(
        caption="Lines that would read otherwise",
        columns=columns("Line", "Before", "Proposed", "Why", words=(0, 1, 2, 3), weights=(1.5, 1.4, 1.8, 2.4)),
        rows=tuple(
            (
                Cell(text=key_name(one.key)),
                Cell(text=tidy(one.before)),
                Cell(text=tidy(one.after), strong=True),
                Cell(text=sentence(one.why)),
            )
            for one in changes
        ),
        shape="cards",
    )


def _replayed(found: Sequence[Replayed]) -> Table:
    return Table(
        caption="Logs flown again, with the file as it is and with the proposed one",
        columns=columns(
            *("Log", "Figure", "Your file misses by", "Proposed file misses by"),
            words=(0, 1),
            weights=(2.0, 1.2, 1.2, 1.2),
        ),
        rows=tuple(
            (
                Cell(text=file_name(one.log)),
                Cell(text=figure_name(one.figure)[0]),
                Cell(text=_missed(one.before_rms, one.unit)),
                Cell(text=_missed(one.after_rms, one.unit)),
            )
            for one in found
        ),
        note="Root mean square of simulation less log while the motor drives; of the voltage about its mean. "
        "Smaller is better.",
        shape="cards",
    )


def _missed(rms: float, unit: str) -> str:
    return figure(rms, unit) if unit else percent(rms)
