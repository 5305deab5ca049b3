"""Learns a machine from its logs: fits, governor, set-point law, and the proposed machine file."""

from collections.abc import Container, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from steadyhead.channel.law_result import law_result
from steadyhead.channel.set_point_law import set_point_law
from steadyhead.judge.gearing_of import gearing_of
from steadyhead.judge.judging import judge
from steadyhead.judge.log_runs import runs_of, seam_words
from steadyhead.judge.readings import readings
from steadyhead.judge.same_log import once
from steadyhead.learn.agreement import agreement, kv_may_be_a_count, without_open_kv
from steadyhead.learn.blade_length import radius_seen
from steadyhead.learn.blades_seen import by_build
from steadyhead.learn.doubt import Doubt
from steadyhead.learn.doubts import ReadLog, doubts_of, fails, good_readings, open_for, stops
from steadyhead.learn.governor_gains import governor_seen
from steadyhead.learn.joint import Joint, joint, models_of
from steadyhead.learn.kv_counts import KV
from steadyhead.learn.not_shown import THROUGH_THE_GEARS
from steadyhead.learn.parameters import figures, not_told_apart, parameters
from steadyhead.learn.proposal import proposal, refuse_taken, write_proposal
from steadyhead.learn.replay import explains_better, flown_logs, replays
from steadyhead.learn.result import FlownLog, LawSeen, Learned, Parameter, Proposal
from steadyhead.learn.rows import evidence
from steadyhead.learn.unknowns import LEARNED
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text, read_machine, read_machine_text
from steadyhead.trace.each_read import each_read, left_out
from steadyhead.trace.reading import read_trace
from steadyhead.trace.simulated import FLOWN, NO_EVIDENCE
from steadyhead.trace.trace import Trace
from steadyhead.words.cautions import ALL
from steadyhead.words.errors import InputError
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome, Verdict, worst

NOT_FITTED = "logs and a file that can be of one machine: nothing was fitted to these"
SETTLE = "this settled first:"
NO_KV = (
    "motor.kv is not put into the proposed file: with one speed alone a wrong count of teeth or poles looks the same; "
    'count both and write from = "measured", or log head speed and motor speed'
)
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

    A log among others that cannot be read is left out, and named with why.

    Raises: InputError as the readers when no log can be read, and when `out` is there already.
    """
    machine = read_machine(machine_file)
    if out is not None:
        refuse_taken(out, machine_file)
    named = [(str(log), log) for log in logs]
    read, unread = each_read(lambda log: _proving(read_trace(log, gearing=gearing_of(machine), mapping=columns)), named)
    told = learned(machine, read_machine_text(machine_file), [trace for _, trace in read], say)
    told = replace(told, warnings=(*map(left_out, unread), *told.warnings))
    if out is None or not told.proposal.changes:
        return told
    return replace(told, proposal=replace(told.proposal, written=write_proposal(told.proposal.text, out, machine_file)))


def _proving(trace: Trace) -> Trace:
    """Return a trace of the machine itself. Raises: InputError when the file says that it was simulated."""
    if trace.simulated:
        raise InputError(trace.source, read=f"that it was simulated, and {NO_EVIDENCE}", right=FLOWN)
    return trace


def learned(machine: Machine, text: str, traces: Sequence[Trace], say: Say = silent) -> Learned:
    """Return what logs tell of a machine; `text` is its file, which the proposal is made from.

    Valid: logs of one machine, with blades and without; what a log cannot tell is said per number, with what it would
    need.
    """
    kept, same = once([(trace, trace) for trace in traces])
    parts, parted = _runs(kept)
    seen, warnings = _read(machine, parts, say)
    found = [one.evidence for one in seen]
    models = models_of(machine, found)
    doubts = doubts_of(machine, seen, models, say)
    made = None if stops(doubts) else joint(machine, models, say)
    held = {key: f"{SETTLE} {says}" for key, says in open_for(doubts).items()}
    if made is not None:
        made = replace(made, told=made.told - frozenset(held))
    told = parameters(machine, made, held if made is not None else dict.fromkeys(LEARNED, NOT_FITTED))
    governors = tuple(governor_seen(one.log, one.found) for one in found)
    law = _law(seen, doubts)
    say("write the proposal")
    logs = tuple(trace.source for trace in kept)
    trusted = made is not None and made.fitted.converged and not _limits(made)
    agreed = agreement(machine, told, governors, found, _radius(machine, made, held), doubts)
    told = without_open_kv(machine, told, found)
    any_told = any(p.told for p in told) or any(g.told for g in governors) or law.told
    another = agreed is not None and agreed.verdict is Outcome.FAIL
    warnings = [*same, *parted, *warnings, *_trouble(made, told), *(one.says for one in doubts if one.verdict is None)]
    if another:
        warnings.append("nothing is proposed: logs and file, or the logs themselves, contradict each other")
    uncounted = kv_may_be_a_count(agreed, found)
    if uncounted and any(one.key == KV and one.told for one in told):
        warnings.append(NO_KV)
    proposed = proposal(
        machine, text, logs,
        [one for one in told if one.key != KV or not uncounted] if trusted and not another else (),
        () if another else governors, () if another else good_readings(doubts, seen),
    )  # fmt: skip
    flown = _flown(machine, proposed, [one for one in seen if one.evidence.blades_known], say)
    replayed = replays(flown)
    checks = tuple(check for check in (agreed, explains_better(replayed) if proposed.changes else None) if check)
    outcomes = (Outcome.PASS if any_told and trusted else Outcome.UNKNOWN, *(check.verdict for check in checks))
    return Learned(
        machine=machine.name,
        machine_revision=machine.revision,
        logs=logs,
        parameters=told,
        figures=figures(made) if made else (),
        not_told_apart=not_told_apart(made) if made else (),
        governors=governors,
        law=law,
        converged=made is not None and made.fitted.converged,
        warnings=tuple(dict.fromkeys(warnings)),
        unknowns=tuple(f"{p.key}: {p.needs}" for p in told if not p.told),
        proposal=proposed,
        replayed=replayed,
        flown=flown,
        checks=checks,
        verdict=worst(outcomes),
        reasons=(*_reasons(made, told, any_told=any_told), *_compared(agreed), *(check.reason for check in checks)),
        cautions=ALL,
    )


def _radius(machine: Machine, made: Joint | None, held: Container[str]) -> tuple[float, float] | None:
    """Return the radius that hovers show; None where their torque comes through doubtful gears."""
    return None if made is None or all(key in held for key in THROUGH_THE_GEARS) else radius_seen(machine, made)


def _runs(traces: Sequence[Trace]) -> tuple[list[Trace], list[str]]:
    """Return the runs that the files hold, each a log of its own: another pack may lie between two of them."""
    parts, words = [], []
    for trace in traces:
        runs = runs_of(trace)
        if len(runs) == 1:
            parts.append(trace)
            continue
        words += [f"{trace.source}: {line}" for line in (*seam_words(runs, "learned from"), *trace.warnings)]
        parts += [replace(run, source=f"{trace.source}, run {k}", warnings=()) for k, run in enumerate(runs, 1)]
    return parts, words


def _read(machine: Machine, traces: Sequence[Trace], say: Say) -> tuple[list[ReadLog], list[str]]:
    """Return what each log holds, and what is to be said of them; logs that are too short are left out."""
    seen, words = [], []
    for trace in traces:
        say(f"read {Path(trace.source).name}")
        one = evidence(machine, trace)
        words += [f"{trace.source}: {line}" for line in trace.warnings]
        if one is None:
            words.append(f"{trace.source}: the log is too short to tell anything")
            continue
        judged = judge(machine, trace)
        seen.append(ReadLog(one, judged, readings(judged)))
    builds = by_build(one.evidence for one in seen)
    return [one._replace(evidence=build) for one, build in zip(seen, builds, strict=True)], words


def _law(seen: Sequence[ReadLog], doubts: Sequence[Doubt]) -> LawSeen:
    """Return the set-point law; it is told from readings alone that rest on nothing doubtful."""
    every = tuple(reading for one in seen for reading in one.readings)
    good = good_readings(doubts, seen)
    law = set_point_law(every)
    told = law.known and law.tested and len(good) == len(every) and not fails(doubts)
    why = [doubt.says for doubt in doubts if doubt.readings_of or doubt.verdict is Outcome.FAIL]
    needs = "" if told else f"{SETTLE} {why[0]}" if why and every else LAW_NEEDS
    return LawSeen(told=told, law=law_result(law, 0.0), readings=every, needs=needs)


def _flown(machine: Machine, proposed: Proposal, seen: Sequence[ReadLog], say: Say) -> tuple[FlownLog, ...]:
    """Return the logs flown with the file as it is and with the proposed one; none where nothing is proposed."""
    if not proposed.changes:
        return ()
    bare = {one.judged.log for one in seen if not one.evidence.blades_on}
    new = machine_from_text(proposed.text, "the proposed machine file")
    return flown_logs(machine, new, [one.judged for one in seen], say, bare)


def _compared(agreed: Verdict | None) -> tuple[str, ...]:
    return () if agreed else ("logs and file were not held against each other: the file states none of these numbers",)


def _limits(made: Joint) -> list[str]:
    """Return the keys that the fit ran to an end with, though the logs pulled at them."""
    fitted = made.fitted
    free = [unknown.name for unknown in fitted.unknowns if unknown.learned and unknown.name not in made.held]
    return [key for key in free if fitted.at_limit(key)]


def _trouble(made: Joint | None, told: Sequence[Parameter]) -> list[str]:
    if made is None:
        return []
    words = []
    if not made.fitted.converged:
        words.append("the fit did not settle: nothing of it is proposed")
    words += [f"{key}: the fit ran to the end of what can be: nothing of the fit is proposed" for key in _limits(made)]
    words += [f"{p.key}: {remark}" for p in told if p.told for remark in p.remarks]
    return words


def _reasons(made: Joint | None, told: Sequence[Parameter], *, any_told: bool) -> tuple[str, ...]:
    if made is None:
        return ("nothing was fitted: logs and file, or the logs themselves, contradict each other",)
    if not any_told:
        return ("these logs tell nothing that the machine file holds",)
    keys = [p.key for p in told if p.told]
    said = f"told by these logs: {', '.join(keys)}" if keys else "told by these logs: no number of drive or rotor"
    return (said, f"taken from the file: {', '.join(sorted(made.held & set(LEARNED)))}") if made.held else (said,)
