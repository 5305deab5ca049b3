"""The events of a run in the record: read, decided on while nobody else may write, on the disk before it is said."""

from collections.abc import Callable

from sqlalchemy import Connection, select

from steadyhead.bench import tables
from steadyhead.bench.moment import now
from steadyhead.bench.record import Record, kept_machine, new_id, put, put_reading, put_verdicts
from steadyhead.bench.run_state import Event, Kind, State, body_of, event_from, state_of, stopped
from steadyhead.bench.run_state import current_step as _current
from steadyhead.bench.run_summary import Named, RunSummary, summary
from steadyhead.bench.set_points import channel_of
from steadyhead.bench.step import SKIP, Answer, Step
from steadyhead.channel.result import Reading
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Verdict

Decide = Callable[[State], Event]


def run_summary(record: Record, run: str) -> RunSummary:
    """Return a run as it stands."""
    with record.reading() as connection:
        named, state = run_now(record, connection, run)
    return summary(named, state)


def happens(record: Record, run: str, decide: Decide) -> RunSummary:
    """Decide on an event while nobody else may write, commit it, and return the run after it."""
    with record.writing() as connection:
        state = run_now(record, connection, run)[1]
        event = decide(state)
        key = new_id()
        row = {"id": key, "run_id": run, "number": event.number, "kind": event.kind.value, "step": event.step or None}
        put(connection, tables.bench_event, {**row, "body": body_of(event), "happened_on": event.happened_on})
        revision = revision_now(connection, run)
        put_verdicts(connection, revision, event.checks, event_id=key)
        if event.percent is not None and event.answer is not None and event.answer.figure is not None:
            put_reading(connection, revision, event.answer.reading(event.percent, "bench run"), event_id=key)
    return run_summary(record, run)


def run_now(record: Record, connection: Connection, run: str) -> tuple[Named, State]:
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


def revision_now(connection: Connection, run: str) -> str:
    """Return the machine revision that a run stands on now."""
    changed = [event.revision for event in _events(connection, run) if event.revision]
    if changed:
        return changed[-1]
    asked = select(tables.bench_run.c.machine_revision_id).where(tables.bench_run.c.id == run)
    return str(connection.execute(asked).scalar_one())


def doing(state: State, step: str | None) -> Step:
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


def new_event(state: State, kind: Kind, *, step: str = "", changes: tuple[str, ...] = (), revision: str = "") -> Event:
    """Return the next event of a run, of any kind but an answer."""
    return Event(number=state.number + 1, kind=kind, step=step, happened_on=now(), changes=changes, revision=revision)


def _refuse_contradiction(state: State, reading: Reading) -> None:
    """Refuse a reading that contradicts the others of a run, and say how to read one of those again.

    Raises: InputError.
    """
    try:
        channel_of(state.bench, (*state.readings, reading))
    except InputError as error:
        read = [one for one in state.told.values() if one.percent is not None and not one.void_by]
        old = [one.step for one in read if f" at {one.percent:g} % (bench run" in error.read]
        if not old:
            raise
        words = " or ".join(f'"repeat {step}"' for step in old)
        right = f"{error.right}; if the earlier one was mistyped, say {words} and read it again"
        raise InputError(error.place, read=error.read, right=right) from error


def answered(state: State, step: Step, given: Answer, checks: tuple[Verdict, ...]) -> Event:
    """Return the event of an answer; a reading must not contradict the others."""
    kind = Kind.CONFIRMED if step.is_safety else Kind.ANSWERED
    if step.percent is not None and given.word != SKIP:
        _refuse_contradiction(state, given.reading(step.percent, "bench run"))
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
