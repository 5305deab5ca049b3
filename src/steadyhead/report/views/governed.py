"""The governor: margins, load steps, gains, spool-up and quick ramp."""

from collections.abc import Sequence

from steadyhead.flight.governor_result import GovernorAnswer, Ramp
from steadyhead.machine.description import Machine
from steadyhead.report.check_tables import check_table
from steadyhead.report.content import Cell, Section, Table, columns, doubtful, points, verdict_cell
from steadyhead.report.governor_plots import drawn_map, drawn_ramp
from steadyhead.report.names import check_name
from steadyhead.report.sentences import sentence
from steadyhead.report.view import View, view
from steadyhead.report.wording import figure, number, percent, ranged
from steadyhead.words.verdict import Outcome


def governor_view(machine: Machine, answer: GovernorAnswer) -> View:
    """Return everything that is known of the loop, with the map of gains and the quick ramp drawn."""
    gains = answer.gains
    whose = "Today's gains" if gains.own else "Typical gains, today's are not known"
    lead = (
        f"{whose}: {gains.gain:g} duty for a speed error as large as the set speed, integral time "
        f"{gains.integral_time_s:g} s, {gains.collective_feed:g} duty ahead for 10° of collective.",
        sentence(answer.tuning.advice),
        *map(sentence, answer.tuning.explanation),
    )
    first = Section(
        anchor="gains",
        title="Gains and margins",
        short="Gains",
        lead=lead,
        drawings=(drawn_map(machine, answer),),
        tables=(check_table(answer.checks, "Checks of the governor"), _margins(answer), _steps(answer)),
        points=(*points("Warnings", answer.warnings), *points("Not known", answer.unknowns)),
    )
    second = Section(
        anchor="spool",
        title="Spool-up and quick ramp",
        short="Spool-up",
        drawings=(drawn_ramp(machine, answer),),
        tables=(_ramps(answer.ramps),),
        points=points(
            "The shortest ramp may break what is not known", [key for r in answer.ramps for key in r.unknown_limits]
        ),
    )
    return view(answer.machine, answer.verdict, [first, second], [f"Revision {answer.machine_revision}"])


def _margins(answer: GovernorAnswer) -> Table:
    rows = []
    for one in answer.conditions:
        held = "not held" if not one.solved else "" if one.stable else "unstable"
        rows.append(
            (
                Cell(text=f"{one.mode}, {one.load}, charge {percent(one.charge, digits=2)}"),
                Cell(text=percent(one.duty)),
                Cell(text=held or number(one.gain_margin)),
                Cell(text=held or figure(one.phase_margin_deg, "deg", step=1.0)),
                doubtful(held or ranged(one.modulus_margin, one.modulus_margin_interval)),
                Cell(text=figure(one.crossover_hz, "Hz")),
            )
        )
    return Table(
        caption="Margins of the loop, with the governor's own pace of sampling",
        columns=columns("Condition", "Duty", "Gain margin ×", "Phase margin", "From hunting", "Crossover"),
        rows=tuple(rows),
        shape="slide",
    )


def _steps(answer: GovernorAnswer) -> Table:
    return Table(
        caption="Load steps, hover to full collective and back, simulated",
        columns=columns("Step", "Drop", "Rise", "Recovery"),
        rows=tuple(
            (
                Cell(text=f"{s.mode}, {s.step}, charge {percent(s.charge, digits=2)}"),
                doubtful(ranged(s.drop_percent, s.drop_percent_interval, "%")),
                doubtful(ranged(s.rise_percent, s.rise_percent_interval, "%")),
                Cell(
                    text="duty is full"
                    if not s.solved
                    else "never"
                    if s.recovery_s is None
                    else f"{s.recovery_s:.2f} s"
                ),
            )
            for s in answer.steps
        ),
        shape="slide",
    )


def _ramps(ramps: Sequence[Ramp]) -> Table:
    return Table(
        caption="The shortest ramp that keeps the limits that are known",
        columns=columns("Spool-up", "Verdict", "Today", "Shortest (90 %)", "Set by", words=(0, 1, 4)),
        rows=tuple(
            (
                Cell(text=f"{ramp.kind}, {ramp.mode}"),
                verdict_cell(ramp.verdict),
                Cell(text=figure(ramp.today_s, "s", trim=True)),
                _shortest(ramp),
                Cell(text=check_name(ramp.set_by) if ramp.set_by else "–"),
            )
            for ramp in ramps
        ),
    )


def _shortest(ramp: Ramp) -> Cell:
    """Return the shortest ramp; one that was looked for and not found is no unknown."""
    if ramp.shortest_s is None and ramp.verdict is Outcome.FAIL:
        return Cell(text="none found")
    return doubtful(ranged(ramp.shortest_s, ramp.shortest_s_interval, "s"))
