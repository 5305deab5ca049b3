"""The full sheet: settings, plan, channel, evidence, unknowns, what a change makes void, every condition."""

from collections.abc import Sequence

from steadyhead.flight.ramp_limits import known_limits
from steadyhead.machine.description import Machine
from steadyhead.report.bail_out_tables import bail_out_section
from steadyhead.report.bench_tables import bench_sections
from steadyhead.report.channel_tables import law_table, reading_table
from steadyhead.report.check_tables import check_table, event_table, log_figures, segment_table, together_table
from steadyhead.report.content import Cell, FullSheet, Heading, Section, Table, columns, points
from steadyhead.report.descent_tables import descent_section, known_doubts
from steadyhead.report.evidence import Evidence
from steadyhead.report.names import key_name
from steadyhead.report.plan_checks import plan_check_tables
from steadyhead.report.plan_tables import choice_tables, condition_tables, hardest_tables, mode_table, power_table
from steadyhead.report.sentences import sentence
from steadyhead.report.settings_tables import mode_settings, other_settings
from steadyhead.report.void import void_table
from steadyhead.report.wording import figure, origin_words, percent, value_words


def full_sheet(top: Heading, evidence: Evidence) -> FullSheet:
    """Return the full version."""
    sections = [
        _settings(evidence),
        *plan_sections(evidence),
        *channel_sections(evidence),
        *bench_sections(evidence.bench),
        *log_sections(evidence),
        descent_section(evidence.descent, evidence.drawn("glide")),
        *_bail_out(evidence),
        _unknown(evidence),
    ]
    sections += [_typical(evidence), _void(), *_conditions(evidence)]
    return FullSheet(heading=top, sections=tuple(section for section in sections if section is not None))


def _bail_out(evidence: Evidence) -> list[Section]:
    """Return the section on bail-out and landing; without any descent its own section says that nothing is known."""
    if evidence.descent is None:
        return []
    drawn = evidence.drawn("bail-out", "height-velocity")
    return [bail_out_section(evidence.descent, drawn, known_limits(evidence.machine))]


def _settings(evidence: Evidence) -> Section:
    tables = (mode_settings(evidence.plan, evidence.channel), other_settings(evidence.machine, evidence.channel))
    return Section(anchor="settings", title="Settings to enter", short="Settings", tables=tables)


def plan_sections(evidence: Evidence) -> list[Section]:
    """Return the part that says what the drive can hold."""
    plan = evidence.plan
    if plan is None:
        return [Section(anchor="plan", title="Plan", short="Plan", lead=("The head speeds were not planned.",))]
    air = f"Worked out for air of {figure(plan.density_kg_m3, 'kg/m³')}."
    return [
        Section(
            anchor="plan",
            title="Plan: what the drive can hold",
            short="Plan",
            lead=(air, *map(sentence, plan.reasons)),
            drawings=evidence.drawn("duty", "head-room"),
            tables=(
                mode_table(plan),
                *plan_check_tables(plan),
                *hardest_tables(plan),
                power_table(plan),
                *choice_tables(plan),
            ),
            points=points("Warnings of the plan", plan.warnings),
        )
    ]


def channel_sections(evidence: Evidence) -> list[Section]:
    """Return the part of the throttle channel."""
    channel = evidence.channel
    if channel is None:
        return [
            Section(
                anchor="channel", title="Throttle channel", short="Channel", lead=("The channel was not worked out.",)
            )
        ]
    lead = [sentence(reason) for reason in channel.reasons]
    if channel.next_reading_percent is not None:
        lead.append(f"Next reading: {channel.next_reading_percent:.4g} %. {sentence(channel.next_reading_because)}")
    return [
        Section(
            anchor="channel",
            title="Throttle channel",
            short="Channel",
            lead=tuple(lead),
            drawings=evidence.drawn("law"),
            tables=(
                law_table(channel),
                reading_table(channel),
                check_table(evidence.channel_checks(), "Checks of the throttle channel"),
            ),
            points=points("Warnings of the channel", channel.warnings),
        )
    ]


def log_sections(evidence: Evidence) -> list[Section]:
    """Return every check over all logs, and each log with its stretches."""
    said = (f"Of the logs kept: {evidence.kept_logs}",) if evidence.kept_logs else ()
    if not evidence.judgements:
        lead = ("No log was judged. Nothing on this sheet is proved until one is.", *said)
        return [Section(anchor="evidence", title="Evidence", short="Evidence", lead=lead)]
    tables = (together_table(evidence.judgements),)
    sections = [Section(anchor="evidence", title="Evidence", short="Evidence", lead=said, tables=tables)]
    for index, judgement in enumerate(evidence.judgements):
        shown = [
            check_table(judgement.checks, f"Checks of {judgement.log}"),
            segment_table(judgement.segments, judgement.log),
        ]
        shown += [event_table(judgement)] if judgement.events else []
        sections.append(
            Section(
                anchor=f"log-{index + 1}",
                title=f"Log {judgement.log}",
                short=f"Log {index + 1}",
                lead=log_figures(judgement),
                drawings=evidence.drawn(f"log-{index + 1}"),
                tables=tuple(shown),
                points=(
                    *points("Advice", judgement.advice),
                    *points("Warnings of the file", judgement.warnings),
                    *points("What was done to the file", judgement.history),
                ),
            )
        )
    return sections


def _unknown(evidence: Evidence) -> Section:
    words = [
        *(evidence.plan.unknowns if evidence.plan else ()),
        *(evidence.channel.unknowns if evidence.channel else ()),
    ]
    words += list(evidence.descent.unknowns) if evidence.descent else []
    words += [unknown for judgement in evidence.judgements for unknown in judgement.unknowns]
    words += [f"Not in the machine file: {key_name(key)}" for key in evidence.machine.missing()]
    doubts = (*(evidence.plan.doubts if evidence.plan else ()), *known_doubts(evidence.descent))
    table = Table(
        caption="What to measure next: the inputs that carry the doubt",
        columns=columns(
            "Input", "Now", "Share of the doubt", "On", "Do this", words=(0, 1, 3, 4), weights=(1.3, 1.2, 0.8, 1.2, 3.0)
        ),
        rows=tuple(
            (
                Cell(text=key_name(doubt.key)),
                Cell(text=value_words(evidence.machine.value(doubt.key))),
                Cell(text=percent(doubt.share, digits=2)),
                Cell(text=doubt.figure),
                Cell(text=sentence(doubt.sentence.partition(f": {doubt.key} carries")[0])),
            )
            for doubt in doubts
        ),
    )
    return Section(
        anchor="unknown",
        title="Unknown, and what to measure next",
        short="Unknown",
        tables=(table,) if doubts else (),
        points=points("Not known, or needed to know more", words or ["Nothing is noted as unknown"]),
    )


def _typical(evidence: Evidence) -> Section:
    keys = evidence.machine.typical()
    inputs = [key for key in keys if not key.startswith("limits.")]
    limits = [key for key in keys if key.startswith("limits.")]
    lead = (
        "These are typical of the size class. Measure them, write them into the machine file, and make the sheet again."
    )
    tables = []
    if inputs:
        tables.append(_typical_table(evidence.machine, inputs, "Inputs that nobody measured"))
    if limits:
        tables.append(_typical_table(evidence.machine, limits, "Limits of common practice, no source"))
    return Section(
        anchor="typical",
        title="What is only typical",
        short="Typical",
        lead=(lead,) if keys else ("Nothing: every input was measured or comes from a maker.",),
        tables=tuple(tables),
    )


def _typical_table(machine: Machine, keys: Sequence[str], caption: str) -> Table:
    values = [(key, machine.value(key)) for key in keys]
    return Table(
        caption=caption,
        columns=columns("Input", "Value used", "From", words=(0, 1, 2), weights=(2.0, 1.5, 2.0)),
        rows=tuple((Cell(text=key_name(k)), Cell(text=value_words(v)), Cell(text=origin_words(v))) for k, v in values),
        shape="pairs",
    )


def _void() -> Section:
    return Section(anchor="void", title="After a change", short="After a change", tables=(void_table(),))


def _conditions(evidence: Evidence) -> list[Section]:
    if evidence.plan is None or not any(mode.conditions for mode in evidence.plan.modes):
        return []
    return [
        Section(
            anchor="conditions",
            title="Every condition solved",
            short="All conditions",
            tables=condition_tables(evidence.plan),
        )
    ]
