"""Learns a machine from its logs: fits, governor, set-point law, and the proposed machine file."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from steadyhead.channel.law_result import law_result
from steadyhead.channel.result import Reading
from steadyhead.channel.set_point_law import set_point_law
from steadyhead.judge.gearing_of import gearing_of
from steadyhead.judge.judging import judge
from steadyhead.judge.readings import readings
from steadyhead.judge.result import Judgement
from steadyhead.learn.agreement import agreement
from steadyhead.learn.blade_length import radius_seen
from steadyhead.learn.governor_gains import governor_seen
from steadyhead.learn.joint import Joint, joint, models_of
from steadyhead.learn.parameters import figures, not_told_apart, parameters
from steadyhead.learn.proposal import proposal, refuse_taken, write_proposal
from steadyhead.learn.replay import explains_better, flown_logs, replays
from steadyhead.learn.result import FlownLog, LawSeen, Learned, Parameter, Proposal
from steadyhead.learn.rows import Evidence, evidence
from steadyhead.learn.unknowns import LEARNED
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text, read_machine, read_machine_text
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace
from steadyhead.words.cautions import ALL
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome, Verdict, worst

LAW_NEEDS = "steady running at three channel values or more, with the throttle channel logged"


def learn(
    machine_file: Path,
    logs: Sequence[Path],
    columns: Mapping[str, str] | None = None,
    *,
    out: Path | None = None,
    say: Say = silent,
) -> Learned:
    """Return what log files tell of a machine; with `out` the proposed machine file is written there.

    Raises: InputError as the readers, and when `out` is there already.
    """
    machine = read_machine(machine_file)
    if out is not None:
        refuse_taken(out, machine_file)
    traces = [read_trace(log, gearing=gearing_of(machine), mapping=columns) for log in logs]
    told = learned(machine, read_machine_text(machine_file), traces, say)
    if out is None or not told.proposal.changes:
        return told
    return replace(told, proposal=replace(told.proposal, written=write_proposal(told.proposal.text, out, machine_file)))


def learned(machine: Machine, text: str, traces: Sequence[Trace], say: Say = silent) -> Learned:
    """Return what logs tell of a machine; `text` is its file, which the proposal is made from.

    Valid: logs of one machine in one build; what a log cannot tell is said per number, with what it would need.
    """
    found: list[Evidence] = []
    seen: list[Reading] = []
    judged: list[Judgement] = []
    warnings: list[str] = []
    for trace in traces:
        say(f"read {Path(trace.source).name}")
        one = evidence(machine, trace)
        warnings += [f"{trace.source}: {line}" for line in trace.warnings]
        if one is None:
            warnings.append(f"{trace.source}: the log is too short to tell anything")
            continue
        found.append(one)
        judged.append(judge(machine, trace))
        seen += readings(judged[-1])
    made = joint(machine, models_of(machine, found), say)
    told = parameters(machine, made)
    governors = tuple(governor_seen(one.log, one.found) for one in found)
    law = _law(seen)
    say("write the proposal")
    logs = tuple(trace.source for trace in traces)
    untold = [p for p in told if not p.told]
    warnings += _trouble(made, told)
    any_told = any(p.told for p in told) or any(g.told for g in governors) or law.told
    trusted = made.fitted.converged and not _limits(made)
    agreed = agreement(machine, told, governors, found, radius_seen(machine, made))
    another = agreed is not None and agreed.verdict is Outcome.FAIL
    if another:
        warnings.append("nothing is proposed: the logs and the file contradict each other")
    proposed = proposal(
        machine, text, logs, told if trusted and not another else (), () if another else governors,
        [] if another else seen,
    )  # fmt: skip
    flown = _flown(machine, proposed, judged, say)
    replayed = replays(flown)
    checks = tuple(check for check in (agreed, explains_better(replayed) if proposed.changes else None) if check)
    outcomes = (Outcome.PASS if any_told and trusted else Outcome.UNKNOWN, *(check.verdict for check in checks))
    return Learned(
        machine=machine.name,
        machine_revision=machine.revision,
        logs=logs,
        parameters=told,
        figures=figures(made),
        not_told_apart=not_told_apart(made),
        governors=governors,
        law=law,
        converged=made.fitted.converged,
        warnings=tuple(dict.fromkeys(warnings)),
        unknowns=tuple(f"{p.key}: {p.needs}" for p in untold),
        proposal=proposed,
        replayed=replayed,
        flown=flown,
        checks=checks,
        verdict=worst(outcomes),
        reasons=(*_reasons(made, told, any_told=any_told), *_compared(agreed), *(check.reason for check in checks)),
        cautions=ALL,
    )


def _law(seen: Sequence[Reading]) -> LawSeen:
    law = set_point_law(seen)
    told = law.known and law.tested
    return LawSeen(told=told, law=law_result(law, 0.0), readings=tuple(seen), needs="" if told else LAW_NEEDS)


def _flown(
    machine: Machine, proposed: Proposal, judged: Sequence[Judgement], say: Say
) -> tuple[FlownLog, ...]:  # fmt: skip
    """Return the logs flown with the file as it is and with the proposed one; none where nothing is proposed."""
    if not proposed.changes:
        return ()
    return flown_logs(machine, machine_from_text(proposed.text, "the proposed machine file"), judged, say)


def _compared(agreed: Verdict | None) -> tuple[str, ...]:
    return () if agreed else ("logs and file were not held against each other: the file states none of these numbers",)


def _limits(made: Joint) -> list[str]:
    """Return the keys that the fit ran to an end with, though the logs pulled at them."""
    fitted = made.fitted
    free = [unknown.name for unknown in fitted.unknowns if unknown.learned and unknown.name not in made.held]
    return [key for key in free if fitted.at_limit(key)]


def _trouble(made: Joint, told: Sequence[Parameter]) -> list[str]:
    words = []
    if not made.fitted.converged:
        words.append("the fit did not settle: nothing of it is proposed")
    words += [f"{key}: the fit ran to the end of what can be: nothing of the fit is proposed" for key in _limits(made)]
    words += [f"{p.key}: {remark}" for p in told if p.told for remark in p.remarks]
    return words


def _reasons(made: Joint, told: Sequence[Parameter], *, any_told: bool) -> tuple[str, ...]:
    if not any_told:
        return ("these logs tell nothing that the machine file holds",)
    keys = [p.key for p in told if p.told]
    said = f"told by these logs: {', '.join(keys)}" if keys else "told by these logs: no number of drive or rotor"
    return (said, f"taken from the file: {', '.join(sorted(made.held & set(LEARNED)))}") if made.held else (said,)
