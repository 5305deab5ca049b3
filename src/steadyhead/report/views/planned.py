"""The plan and the throttle channel, as the sheet shows them."""

from steadyhead.channel.result import ChannelAnswer
from steadyhead.machine.description import Machine
from steadyhead.plan.result import Plan
from steadyhead.report.content import Section, points
from steadyhead.report.evidence import Evidence
from steadyhead.report.full import channel_sections, plan_sections
from steadyhead.report.plan_tables import condition_tables
from steadyhead.report.sheet import drawn
from steadyhead.report.view import View, view


def plan_view(machine: Machine, plan: Plan) -> View:
    """Return the head speeds that the drive can hold, every condition, pinions and packs, the doubts."""
    evidence = drawn(Evidence(machine=machine, plan=plan))
    more = Section(
        anchor="conditions",
        title="Every condition solved",
        short="All conditions",
        tables=condition_tables(plan),
        points=(
            *points("What would sharpen this most", [doubt.sentence for doubt in plan.doubts]),
            *points("Not known", plan.unknowns),
        ),
    )
    return view(plan.machine, plan.verdict, [*plan_sections(evidence), more], [f"Revision {plan.machine_revision}"])


def channel_view(machine: Machine, answer: ChannelAnswer) -> View:
    """Return end points, thresholds, set-point law, curve values, window, next reading."""
    from steadyhead.report.settings_tables import mode_settings, other_settings

    evidence = drawn(Evidence(machine=machine, channel=answer))
    settings = Section(
        anchor="settings",
        title="Settings to enter",
        short="Settings",
        tables=(mode_settings(None, answer), other_settings(machine, answer)),
    )
    return view(
        answer.machine,
        answer.verdict,
        [settings, *channel_sections(evidence)],
        [f"Revision {answer.machine_revision}"],
    )
