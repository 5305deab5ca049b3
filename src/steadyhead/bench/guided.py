"""The guided bench procedure for both faces: every call reads the run from the record, and what it adds is committed
to the disk before the call returns. Several windows may show one run; an answer that came too late is refused.

    with open_record() as record:
        run = start_run(record, Path("kite.toml")).run
        step = current_step(record, run)
        summary = answer(record, run, step.step, "yes")
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from sqlalchemy import Connection, select

from steadyhead.bench import tables
from steadyhead.bench.answer_text import answer_from_text, refuse_impossible
from steadyhead.bench.from_log import check_in, head_speed_heard, head_speed_in, refuse_unheard
from steadyhead.bench.judged_answer import judged
from steadyhead.bench.moment import now
from steadyhead.bench.record import (
    Record,
    Revision,
    keep_log,
    keep_machine,
    keep_recording,
    kept_machine,
    new_id,
    open_record,
    put,
    put_reading,
    put_verdicts,
    revision_of,
)
from steadyhead.bench.run_state import Event, Kind, State, body_of, event_from, state_of, stopped, without
from steadyhead.bench.run_state import current_step as _current
from steadyhead.bench.run_summary import Named, RunSummary, summary
from steadyhead.bench.set_points import channel_of
from steadyhead.bench.step import RECORDING, SKIP, Answer, Step
from steadyhead.bench.void import change_named, changes_between
from steadyhead.channel.result import Reading
from steadyhead.judge.gearing_of import gearing_of
from steadyhead.judge.judging import judge
from steadyhead.judge.listening import Listening, listen
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.trace.reading import read_trace
from steadyhead.trace.sound_file import is_sound
from steadyhead.words.errors import InputError, did_you_mean
from steadyhead.words.verdict import Verdict

Decide = Callable[[State], Event]

__all__ = [
    "answer",
    "answer_from_file",
    "answer_from_judgement",
    "answer_from_listening",
    "answer_from_log",
    "answer_from_recording",
    "continue_run",
    "current_step",
    "evidence",
    "heard",
    "latest_run",
    "machine_of",
    "note_change",
    "open_record",
    "pause",
    "repeat",
    "resume",
    "run_summary",
    "start_run",
]


def start_run(record: Record, machine_file: Path) -> RunSummary:
    """Begin a run on a machine file as it is now; nothing is confirmed yet."""
    revision = keep_machine(record, machine_file)
    run = new_id()
    with record.writing() as connection:
        put(connection, tables.bench_run, {"id": run, "machine_revision_id": revision.id, "started_on": now()})
    return run_summary(record, run)


def latest_run(record: Record, machine: str) -> str | None:
    """Return the run of a machine that was begun last; None when there is none."""
    asked = select(tables.bench_run.c.id).join(tables.machine_revision)
    asked = asked.where(tables.machine_revision.c.machine == machine)
    last = asked.order_by(tables.bench_run.c.started_on.desc(), tables.bench_run.c.id)
    with record.reading() as connection:
        return connection.execute(last.limit(1)).scalar()


def continue_run(record: Record, run: str, machine_file: Path | None = None) -> RunSummary:
    """Go on with a run in a new sitting: safety is confirmed anew, and an edited machine file reopens what it voids.

    Raises: InputError when the file is of another machine.
    """
    if machine_file is not None:
        take_machine(record, run, machine_file)
    return resume(record, run)


def run_summary(record: Record, run: str) -> RunSummary:
    """Return a run as it stands."""
    with record.reading() as connection:
        named, state = _run(record, connection, run)
    return summary(named, state)


def current_step(record: Record, run: str) -> Step | None:
    """Return the step to do now; None when the run is paused, stopped, or done."""
    with record.reading() as connection:
        return _current(_run(record, connection, run)[1])


def answer(record: Record, run: str, step: str | None, words: str | Answer, *, source: str = "by hand") -> RunSummary:
    """Answer the current step, by typed words or with a figure; judged and committed before this returns.

    `step`: the one that was shown, None for whichever is current.
    Raises: InputError when it is not the current step, no answer to it, or a reading that contradicts the others.
    """

    def decide(state: State) -> Event:
        now_doing = _doing(state, step)
        given = answer_from_text(now_doing, words, source) if isinstance(words, str) else words
        refuse_impossible(now_doing, given)
        return _answered(state, now_doing, given, judged(state.bench, now_doing, given))

    return _happens(record, run, decide)


def answer_from_file(record: Record, run: str, path: Path, step: str | None = None) -> RunSummary:
    """Let a log or a recording answer the current step; what it is is seen from its first bytes.

    Raises: InputError as `answer_from_log` and `answer_from_recording`.
    """
    return (answer_from_recording if is_sound(path) else answer_from_log)(record, run, path, step)


def answer_from_log(record: Record, run: str, log: Path, step: str | None = None) -> RunSummary:
    """Let a log answer the current step; the log and every verdict on it are kept as well.

    Raises: InputError when the log cannot be read, or cannot answer this step.
    """
    now_doing, machine = _told_now(record, run, step)[0], machine_of(record, run)
    judgement = judge(machine, read_trace(log, gearing=gearing_of(machine)))
    return answer_from_judgement(record, run, judgement, now_doing.step)


def answer_from_recording(record: Record, run: str, recording: Path, step: str | None = None) -> RunSummary:
    """Let a recording of sound answer the current step; the recording is kept as well.

    Raises: InputError when it cannot be heard, or cannot answer this step.
    """
    now_doing = _told_now(record, run, step)[0]
    return answer_from_listening(record, run, listen(machine_of(record, run), recording), recording, now_doing.step)


def answer_from_judgement(record: Record, run: str, judgement: Judgement, step: str | None = None) -> RunSummary:
    """Let a judged log answer the step it was read for; its trace and verdicts are kept.

    Raises: InputError when it cannot answer this step.
    """
    now_doing, revision = _told_now(record, run, step)
    source = f"log {Path(judgement.log).name}"
    check = check_in(now_doing, judgement)
    given = head_speed_in(now_doing, judgement, source) if check is None else Answer(source=source)
    keep_log(record, revision, judgement)
    return _told_by(record, run, now_doing, given, check)


def answer_from_listening(
    record: Record, run: str, heard: Listening, recording: Path, step: str | None = None
) -> RunSummary:
    """Let a recording that was heard answer the step it was made for; it is kept as it is.

    Raises: InputError when this machine is not heard in it, its blades are, or it cannot answer this step.
    """
    now_doing, revision = _told_now(record, run, step)
    refuse_unheard(now_doing, heard)
    source = f"{RECORDING} {Path(heard.wav).name}"
    check = check_in(now_doing, heard.judgement)
    given = head_speed_heard(now_doing, heard, source) if check is None else Answer(source=source)
    keep_recording(record, revision, recording, duration_s=heard.duration_s)
    return _told_by(record, run, now_doing, given, check)


def machine_of(record: Record, run: str) -> Machine:
    """Return the machine that a run stands on now."""
    with record.reading() as connection:
        return _run(record, connection, run)[1].bench.machine


def pause(record: Record, run: str) -> RunSummary:
    """Pause a run; when it goes on, safety is confirmed anew."""
    return _happens(record, run, lambda state: _event(state, Kind.PAUSED))


def resume(record: Record, run: str) -> RunSummary:
    """Go on with a run; safety is confirmed anew."""
    return _happens(record, run, lambda state: _event(state, Kind.RESUMED))


def repeat(record: Record, run: str, step: str) -> RunSummary:
    """Open a step again that was answered; what was answered before stays in the record.

    Raises: InputError when no step of that name was answered.
    """

    def decide(state: State) -> Event:
        if step not in state.told:
            raise InputError(
                "repeat", read=repr(step[:80]), right=did_you_mean(step, state.told or ["a step that was done"])
            )
        return _event(state, Kind.REPEATED, step=step)

    return _happens(record, run, decide)


def note_change(record: Record, run: str, change: str) -> RunSummary:
    """Note that a part or setting was changed: what it makes void is reopened, and safety is confirmed anew.

    Raises: InputError when it is not known what that change is.
    """
    named = change_named(change)
    return _happens(record, run, lambda state: _event(state, Kind.CHANGED, changes=(named,)))


def take_machine(record: Record, run: str, machine_file: Path) -> RunSummary:
    """Go on with the machine file as it is now; what differs and voids a check reopens it. The same text is no event.

    Raises: InputError when the file is of another machine.
    """
    revision = keep_machine(record, machine_file)
    after = kept_machine(record, revision.id)
    with record.reading() as connection:
        before = _run(record, connection, run)[1].bench.machine
        same = _revision_now(connection, run) == revision.id
    if after.name != before.name:
        raise InputError(str(machine_file), read=f"the machine {after.name}", right=f"{before.name}, whose run this is")
    if same:
        return run_summary(record, run)
    changes = changes_between(before, after)
    return _happens(
        record, run, lambda state: _event(state, Kind.MACHINE_CHANGED, changes=changes, revision=revision.id)
    )


def heard(record: Record, run: str, words: str, step: str | None = None) -> RunSummary:
    """Take one line as a person types it: an answer, or `pause`, `resume`, `repeat STEP`, `changed WHAT`, `log FILE`.

    `step`: the one whose card was shown; an answer counts for no other.
    Raises: InputError when it is none of these.
    """
    first, _, rest = words.strip().partition(" ")
    match first.lower():
        case "pause":
            return pause(record, run)
        case "resume":
            return resume(record, run)
        case "repeat":
            return repeat(record, run, rest.strip())
        case "changed":
            return note_change(record, run, rest)
        case "log":
            return answer_from_file(record, run, Path(rest.strip()), step)
    return answer(record, run, step, words)


def evidence(record: Record, machine: Machine) -> RunSummary | None:
    """Return the latest run of a machine as evidence: what differs in the machine since then voids what rests on it."""
    run = latest_run(record, machine.name)
    if run is None:
        return None
    with record.reading() as connection:
        named, state = _run(record, connection, run)
    changes = changes_between(state.bench.machine, machine)
    if changes:
        state = without(state, changes)
        return summary(named, state, (f"changed since the bench run: {', '.join(changes)}",))
    return summary(named, state)


def _doing(state: State, step: str | None) -> Step:
    """Return the current step, once it is sure that it is the one meant.

    Raises: InputError when the run is paused or stopped, done, or has gone on in another window.
    """
    now_doing = _current(state)
    if now_doing is None:
        raise InputError("bench run", read="an answer", right=stopped(state) or "nothing more: every step is done")
    if step is not None and now_doing.step != step:
        late = ", answered meanwhile in another window" if state.stands(step) or step in state.confirmed else ""
        right = f"one to {now_doing.step}, the step to do now"
        raise InputError("bench run", read=f"an answer to {step}{late}", right=right)
    return now_doing


def _event(state: State, kind: Kind, *, step: str = "", changes: tuple[str, ...] = (), revision: str = "") -> Event:
    return Event(number=state.number + 1, kind=kind, step=step, happened_on=now(), changes=changes, revision=revision)


def _answered(state: State, step: Step, given: Answer, checks: tuple[Verdict, ...]) -> Event:
    """Return the event of an answer; a reading must not contradict the others."""
    kind = Kind.CONFIRMED if step.is_safety else Kind.ANSWERED
    if step.percent is not None and given.word != SKIP:
        channel_of(state.bench, (*state.readings, _reading(step.percent, given)))
    return Event(
        number=state.number + 1,
        kind=kind,
        step=step.step,
        happened_on=now(),
        answer=given,
        percent=step.percent,
        expected_interval=None if step.percent is None else step.expected_interval,
        checks=checks,
    )


def _reading(percent: float, given: Answer) -> Reading:
    return Reading(
        percent=percent,
        head_speed_rpm=given.figure or 0.0,
        spread_rpm=given.spread,
        source=f"bench run, {given.source}",
    )


def _told_now(record: Record, run: str, meant: str | None) -> tuple[Step, Revision]:
    """Return the step that is to be done now, if it is the one meant, and the revision that the run stands on."""
    with record.reading() as connection:
        return _doing(_run(record, connection, run)[1], meant), revision_of(record, _revision_now(connection, run))


def _told_by(record: Record, run: str, step: Step, given: Answer, check: Verdict | None) -> RunSummary:
    """Answer a step with the check of a log or a recording, or else with the figure that it gave."""

    def decide(latest: State) -> Event:
        now_doing = _doing(latest, step.step)
        found = judged(latest.bench, now_doing, given) if check is None else _of_log(now_doing, check)
        return _answered(latest, now_doing, given, found)

    return _happens(record, run, decide)


def _of_log(step: Step, check: Verdict) -> tuple[Verdict, ...]:
    """Return the check of a log under the name of the step too, so that it counts for this state."""
    return (replace(check, check=step.step), check) if step.part == "hold" else (check,)


def _happens(record: Record, run: str, decide: Decide) -> RunSummary:
    """Decide on an event while nobody else may write, commit it, and return the run after it."""
    with record.writing() as connection:
        state = _run(record, connection, run)[1]
        event = decide(state)
        key = new_id()
        row = {"id": key, "run_id": run, "number": event.number, "kind": event.kind.value, "step": event.step or None}
        put(connection, tables.bench_event, {**row, "body": body_of(event), "happened_on": event.happened_on})
        revision = _revision_now(connection, run)
        put_verdicts(connection, revision, event.checks, event_id=key)
        if event.percent is not None and event.answer is not None and event.answer.figure is not None:
            put_reading(connection, revision, _reading(event.percent, event.answer), event_id=key)
    return run_summary(record, run)


def _run(record: Record, connection: Connection, run: str) -> tuple[Named, State]:
    """Return what the record knows of a run, and its state."""
    asked = select(tables.bench_run, tables.machine_revision.c.file_name).join(tables.machine_revision)
    row = connection.execute(asked.where(tables.bench_run.c.id == run)).first()
    if row is None:
        raise InputError(str(record.path), read=f"no run {run[:40]!r}", right="one that `steadyhead record list` names")
    events = _events(connection, run)
    keys = {row.machine_revision_id, *(event.revision for event in events if event.revision)}
    machines = {key: kept_machine(record, key) for key in keys}
    state = state_of(machines[row.machine_revision_id], events, machines, now())
    return Named(run=run, machine_file=row.file_name, started_on=row.started_on), state


def _events(connection: Connection, run: str) -> list[Event]:
    known = tables.bench_event
    rows = connection.execute(select(known).where(known.c.run_id == run).order_by(known.c.number))
    return [event_from(row.number, row.kind, row.step, row.body, row.happened_on) for row in rows]


def _revision_now(connection: Connection, run: str) -> str:
    """Return the machine revision that a run stands on now."""
    changed = [event.revision for event in _events(connection, run) if event.revision]
    if changed:
        return changed[-1]
    asked = select(tables.bench_run.c.machine_revision_id).where(tables.bench_run.c.id == run)
    return str(connection.execute(asked).scalar_one())
