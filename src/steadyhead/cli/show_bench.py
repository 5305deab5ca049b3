"""The terminal view of `bench`: a card for each step, the verdict at once, where the run stands."""

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from rich.console import Console
from rich.table import Table

from steadyhead import job
from steadyhead.bench.answer_text import like
from steadyhead.bench.from_log import told_by_file
from steadyhead.bench.record import Record
from steadyhead.bench.run_summary import RunSummary
from steadyhead.bench.step import Step
from steadyhead.bench.void import CHANGES_IN_FULL
from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, checks_table, console, show_json, text, word
from steadyhead.report.views.benched import expected_words
from steadyhead.words.cautions import WHEN_DONE
from steadyhead.words.errors import InputError

HELP = "an answer, or: skip WHY, pause, repeat STEP, changed WHAT, log FILE"

CHANGED_MEANWHILE = (
    "throttle hold on, pack disconnected, and the bench opened again: the machine file was changed in another window; "
    "nothing was kept of this answer, and the run is paused"
)


def begun(record: Record, machine: Path, run: str | None, *, new: bool) -> RunSummary:
    """Begin a run, or go on with the one asked for, or with the last one of this machine that is not done."""
    last = run or job.bench.latest_run(record, job.read_machine(machine).name)
    if last is None or (new and run is None):
        return job.bench.start_run(record, machine)
    if run is None and job.bench.run_summary(record, last).done:
        return job.bench.start_run(record, machine)
    return job.bench.continue_run(record, last, machine)


def guide(record: Record, result: RunSummary, answers: list[str], *, as_json: bool) -> RunSummary:
    """Go from step to step until the run is done, stopped or paused, or the answers end; then it is paused."""
    out = Console(stderr=True) if as_json else console()
    if not as_json:
        _greet(out, result)
    by_hand, file = not answers, job.shelf.newest_key(record, result.machine)
    for step, words in _lines(out, record, result.run, answers):
        void = result.void
        if words != "pause" and job.shelf.newest_key(record, result.machine) != file:
            job.bench.pause(record, result.run)
            raise InputError("bench run", read=f"{text(words)}, by an older machine file", right=CHANGED_MEANWHILE)
        try:
            result = job.bench.heard(record, result.run, words, step)
        except InputError as error:
            if not by_hand:
                raise
            out.print(f"[yellow]{text(error)}[/]")
            continue
        if not as_json:
            _just_told(out, result, step)
            if result.void != void:
                bullets(out, "To run again", result.void)
        if result.paused:
            return result
    left = job.bench.run_summary(record, result.run)
    return left if left.current is None else job.bench.pause(record, result.run)


def _lines(out: Console, record: Record, run: str, answers: list[str]) -> Iterator[tuple[str | None, str]]:
    """Yield what is answered, and the step whose card was shown before it."""
    given: Iterable[str] = answers or sys.stdin
    shown = iter(given)
    while True:
        now = job.bench.run_summary(record, run)
        if now.current is not None:
            card(out, now, now.current)
        elif now.stopped and not now.paused:
            out.print(f"\n[bold red]{text(now.stopped)}[/]")
        else:
            return
        words = next(shown, None)
        if words is None:
            return
        if words.strip():
            yield now.current.step if now.current else None, words.strip()


def _greet(out: Console, result: RunSummary) -> None:
    out.print(f"[bold]{text(result.machine)}[/], revision {result.machine_revision}: bench run {text(result.run)}")
    out.print(f"type {text(HELP)}")
    out.print(f"changed WHAT: {text('; '.join(CHANGES_IN_FULL.values()))}; one word of it is enough")
    bullets(out, "Warnings", result.warnings)
    bullets(
        out, "Left out: the machine file does not say enough", (f"{one.step}: {one.why}" for one in result.left_out)
    )


def card(out: Console, result: RunSummary, step: Step) -> None:
    """Show one step: what to do, what to switch, what to expect, what is asked."""
    out.rule(f"{text(step.part)}, {result.steps_done} of {len(result.steps)} done", align="left")
    out.print(f"[bold]{text(step.title)}[/]  ({text(step.step)})")
    for line in step.action:
        out.print(f"  - {text(line)}")
    if step.switch:
        out.print(f"  switch: {text(step.switch)}")
    expects = expected_words(step)
    if expects and not step.is_safety:
        out.print(f"  expect: {text(expects)}")
    files = f"; or log and the name of {told_by_file(step)}" if told_by_file(step) else ""
    out.print(f"{text(step.asks)} ({text(like(step))}{files})")


def _just_told(out: Console, result: RunSummary, step: str | None) -> None:
    """Show the verdicts on the answer that was just given."""
    for one in result.steps:
        if one.step == step and one.state == "done":
            for check in one.checks:
                out.print(f"  {word(check.verdict)}  {text(check.reason)}")


def show_run(result: RunSummary, *, as_json: bool) -> None:
    """Show a run as it stands."""
    if as_json:
        show_json(result)
        return
    out = console()
    table = Table(title="Steps", title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading in ("verdict", "step", "expected", "found", "source", "state"):
        table.add_column(heading, overflow="fold")
    for one in result.steps:
        reopened = f"{one.state} by {one.void_by}" if one.void_by else one.state
        shown = "" if one.part == "safety" else word(one.verdict)
        table.add_row(
            shown, text(one.title), text(expected_words(one)), text(one.answer), text(one.source), text(reopened)
        )
    out.print()
    print_table(out, table)
    checks_table(out, "Checks", result.checks)
    if result.channel is not None:
        law = result.channel.law
        out.print(f"\n[bold]Set-point law[/] of this run: {text(law.kind)}, {text(law.chosen_because)}")
    bullets(out, "Open, failed or not known", result.reasons)
    bullets(
        out, "Left out: the machine file does not say enough", (f"{one.step}: {one.why}" for one in result.left_out)
    )
    bullets(out, "Cautions", result.cautions)
    if result.stopped:
        out.print(f"\n[bold]{text(result.stopped)}[/]")
    if result.done:
        out.print(f"\n[bold]Every step is done. {text(WHEN_DONE)}[/]")
    out.print(f"\n[bold]{text(result.machine)}[/]: bench {word(result.verdict)}, run {text(result.run)}")
