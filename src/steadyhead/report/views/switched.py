"""The exhaustive check of the switches: rules, and a switch story for each that is broken."""

from steadyhead.channel.logic_result import LogicAnswer, RuleAnswer
from steadyhead.report.check_tables import check_table
from steadyhead.report.content import Cell, Section, Table, columns, points
from steadyhead.report.names import key_name
from steadyhead.report.view import View, view


def logic_view(answer: LogicAnswer) -> View:
    """Return every safety rule with its verdict, and how each broken one breaks."""
    stories = tuple(_story(rule) for rule in answer.rules if rule.story)
    settings = Table(
        caption="Taken as",
        columns=columns("Setting", "Value", "Known", words=(0, 1, 2), weights=(2.0, 1.2, 0.8)),
        rows=tuple(
            (Cell(text=key_name(s.key)), Cell(text=s.value), Cell(text="yes" if s.known else "no, typical"))
            for s in answer.settings
        ),
        shape="pairs",
    )
    section = Section(
        anchor="rules",
        title="Every switch sequence, against the safety rules",
        short="Rules",
        lead=(f"{answer.states} states looked at; the switches were free to move every {answer.tick_s:g} s.",),
        tables=(check_table([rule.check for rule in answer.rules], "Safety rules"), *stories, settings),
        points=(*points("Not known", answer.unknowns), *points("Warnings", answer.warnings)),
    )
    return view(answer.machine, answer.verdict, [section], [f"Revision {answer.machine_revision}"])


def _story(rule: RuleAnswer) -> Table:
    return Table(
        caption=f"How it breaks: {rule.says}",
        columns=columns("Time", "Who", "What happens", words=(0, 1, 2), weights=(0.7, 1.0, 4.0)),
        rows=tuple((Cell(text=f"{s.time_s:.2f} s"), Cell(text=s.who), Cell(text=s.says)) for s in rule.story),
        shape="cards",
    )
