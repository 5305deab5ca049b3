"""The set-up sheet: one page to print and a full version, each as HTML and PDF."""

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from steadyhead.channel.result import ChannelAnswer
from steadyhead.flight.descend_result import DescendAnswer
from steadyhead.judge.result import Judgement
from steadyhead.plan.result import Plan
from steadyhead.report.evidence import Evidence
from steadyhead.report.files import write_whole
from steadyhead.report.names import file_name
from steadyhead.report.plots import duty_curves
from steadyhead.words.verdict import Outcome

if TYPE_CHECKING:
    from steadyhead.report.figures.canvas import Drawing

STEM = "setup-sheet"


@dataclass(frozen=True, kw_only=True)
class SheetFiles:
    """Where the sheet was written."""

    html: Path
    pdf: Path
    page_html: Path
    page_pdf: Path


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """The sheet as written, and everything on it."""

    machine: str
    files: SheetFiles
    plan: Plan
    channel: ChannelAnswer
    judgements: tuple[Judgement, ...]
    descent: DescendAnswer | None
    """Null where it was not worked out."""
    verdict: Outcome
    """Of plan, channel, descent and all logs together; a log that cannot tell takes nothing from one that passes."""


def made_sheet(folder: Path, evidence: Evidence, made_on: date) -> Sheet:
    """Write the set-up sheet into `folder` and return it with its verdict.

    Raises: OSError when the folder or a file cannot be written; older files then stay as they were.
    """
    from steadyhead.judge.advice_together import checks_of_plan, told_together
    from steadyhead.report.heading import heading

    planned, channel = evidence.plan, evidence.channel
    if planned is None or channel is None:
        raise TypeError("a sheet with its verdict is made from a plan and a channel")
    logs = told_together(evidence.judgements, checks_of_plan(planned))
    evidence = replace(evidence, judgements=logs)
    return Sheet(
        machine=evidence.machine.name,
        files=write_sheet(folder, evidence, made_on),
        plan=planned,
        channel=channel,
        judgements=evidence.judgements,
        descent=evidence.descent,
        verdict=heading(evidence, made_on).verdict,
    )


def write_sheet(folder: Path, evidence: Evidence, made_on: date) -> SheetFiles:
    """Write the set-up sheet into `folder`, all four files or none, and say where they are.

    Its drawings are made here.

    Raises: OSError when the folder or a file cannot be written; older files then stay as they were.
    """
    from steadyhead.report.full import full_sheet
    from steadyhead.report.heading import heading
    from steadyhead.report.html import full_html, page_html
    from steadyhead.report.page import page_sheet
    from steadyhead.report.pdf import full_pdf, page_pdf

    named = tuple(replace(judgement, log=file_name(judgement.log)) for judgement in evidence.judgements)
    evidence = drawn(replace(evidence, judgements=named))
    top = heading(evidence, made_on)
    full, page = full_sheet(top, evidence), page_sheet(top, evidence)
    files = SheetFiles(
        html=folder / f"{STEM}.html",
        pdf=folder / f"{STEM}.pdf",
        page_html=folder / f"{STEM}-one-page.html",
        page_pdf=folder / f"{STEM}-one-page.pdf",
    )
    write_whole(
        {
            files.html: full_html(full).encode(),
            files.pdf: full_pdf(full, made_on),
            files.page_html: page_html(page).encode(),
            files.page_pdf: page_pdf(page, made_on),
        }
    )
    return files


def drawn(evidence: Evidence) -> Evidence:
    """Return the evidence with every drawing of what it holds."""
    from steadyhead.flight.ramp_limits import known_limits
    from steadyhead.report.figures.bail_out import bail_out_drawing
    from steadyhead.report.figures.duty import duty_drawing
    from steadyhead.report.figures.glide import glide_drawing
    from steadyhead.report.figures.head_room import head_room_drawing
    from steadyhead.report.figures.height_velocity import height_velocity_drawing
    from steadyhead.report.figures.law import law_drawing
    from steadyhead.report.figures.log_trace import log_drawing

    machine, plan, channel, descent = evidence.machine, evidence.plan, evidence.channel, evidence.descent
    duty_max = machine.limit("limits.duty_max")
    made: list[Drawing] = []
    if plan is not None and any(mode.conditions for mode in plan.modes):
        made += [duty_drawing(plan, duty_curves(machine), duty_max), head_room_drawing(plan, duty_max)]
    if channel is not None and (channel.readings or channel.law.knots):
        made.append(law_drawing(channel))
    if descent is not None:
        made.append(glide_drawing(descent))
        made += [bail_out_drawing(descent.bail_outs, known_limits(machine))] if descent.bail_outs else []
        made += [height_velocity_drawing(descent.height_velocity)] if descent.height_velocity else []
    for index, judgement in enumerate(evidence.judgements):
        made.append(log_drawing(judgement, name=f"log-{index + 1}", duty_max=duty_max))
    return replace(evidence, drawings=tuple(made))
