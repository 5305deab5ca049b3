"""The guided bench procedure for both faces: every call reads the run from the record, and what it adds is committed
to the disk before the call returns. Several windows may show one run; an answer that came too late is refused.

    with open_record() as record:
        run = start_run(record, Path("kite.toml")).run
        step = current_step(record, run)
        summary = answer(record, run, step.step, "yes")
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from pathlib import Path

from sqlalchemy import literal_column, select

from steadyhead.bench import tables
from steadyhead.bench.answer_text import answer_from_text, refuse_impossible
from steadyhead.bench.from_log import (
    BladesHeard,
    check_in,
    head_speed_heard,
    head_speed_in,
    head_speed_taken,
    refuse_blades,
    refuse_unheard,
)
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
    revision_of,
)
from steadyhead.bench.run_events import answered, doing, happens, new_event, revision_now, run_now, run_summary
from steadyhead.bench.run_state import Event, Kind, State, on_machine
from steadyhead.bench.run_state import current_step as _current
from steadyhead.bench.run_summary import RunSummary, summary
from steadyhead.bench.step import MICROPHONE, RECORDING, Answer, Step
from steadyhead.bench.void import change_named, changes_between, law_changes
from steadyhead.channel.result import MOTOR_SIDE
from steadyhead.judge.gearing_of import gearing_of
from steadyhead.judge.judging import judge
from steadyhead.judge.listening import Listening, listen
from steadyhead.judge.live_ear import SpeedTaken
from steadyhead.judge.readings import is_at_head
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.trace.reading import read_trace
from steadyhead.trace.sound_file import is_sound
from steadyhead.words.errors import InputError, did_you_mean
from steadyhead.words.verdict import Verdict

__all__ = [
    "answer",
    "answer_from_file",
    "answer_from_judgement",
    "answer_from_listening",
    "answer_from_log",
    "answer_from_microphone",
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
    "refuse_blades_heard",
    "repeat",
    "resume",
    "run_summary",
    "sit_down",
    "start_run",
    "take_machine",
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
    last = asked.order_by(tables.bench_run.c.started_on.desc(), literal_column("bench_run.rowid").desc())
    with record.reading() as connection:
        return connection.execute(last.limit(1)).scalar()


def continue_run(record: Record, run: str, machine_file: Path | None = None) -> RunSummary:
    """Go on with a run in a new sitting: safety is confirmed anew, and an edited machine file reopens what it voids.

    Raises: InputError when the file is of another machine.
    """
    if machine_file is not None:
        take_machine(record, run, machine_file)
    return resume(record, run)


def sit_down(record: Record, run: str, machine_file: Path) -> RunSummary:
    """Begin a new sitting before a run as it stands: safety is confirmed anew, and a run that is paused stays so.

    An edited machine file reopens what it voids.
    Raises: InputError when the file is of another machine.
    """
    take_machine(record, run, machine_file)
    with record.reading() as connection:
        state = run_now(record, connection, run)[1]
    return run_summary(record, run) if state.paused or not state.confirmed else resume(record, run)


def current_step(record: Record, run: str) -> Step | None:
    """Return the step to do now; None when the run is paused, stopped, or done."""
    with record.reading() as connection:
        return _current(run_now(record, connection, run)[1])


def answer(record: Record, run: str, step: str | None, words: str | Answer, *, source: str = "by hand") -> RunSummary:
    """Answer the current step, by typed words or with a figure; judged and committed before this returns.

    `step`: the one that was shown, None for whichever is current.
    Raises: InputError when it is not the current step, no answer to it, or a reading that contradicts the others.
    """

    def decide(state: State) -> Event:
        now_doing = doing(state, step)
        given = answer_from_text(now_doing, words, source) if isinstance(words, str) else words
        refuse_impossible(now_doing, given)
        return answered(state, now_doing, given, judged(state.bench, now_doing, given))

    return happens(record, run, decide)


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
    return answer_from_judgement(record, run, judgement, now_doing.step, source=log)


def answer_from_recording(record: Record, run: str, recording: Path, step: str | None = None) -> RunSummary:
    """Let a recording of sound answer the current step; the recording is kept as well.

    Raises: InputError when it cannot be heard, or cannot answer this step.
    """
    now_doing = _told_now(record, run, step)[0]
    return answer_from_listening(record, run, listen(machine_of(record, run), recording), recording, now_doing.step)


def answer_from_judgement(
    record: Record, run: str, judgement: Judgement, step: str | None = None, *, source: Path | None = None
) -> RunSummary:
    """Let a judged log answer the step it was read for; its trace and verdicts are kept.

    `source`: the file that the log was read from.

    Raises: InputError when it cannot answer this step.
    """
    now_doing, revision = _told_now(record, run, step)
    named = f"log {Path(judgement.log).name}" + ("" if is_at_head(judgement) else f", {MOTOR_SIDE}")
    check = check_in(now_doing, judgement)
    given = head_speed_in(now_doing, judgement, named) if check is None else Answer(source=named)
    return _told_by(record, run, now_doing, given, check, partial(keep_log, record, revision, judgement, source=source))


def answer_from_listening(
    record: Record, run: str, heard: Listening, recording: Path, step: str | None = None
) -> RunSummary:
    """Let a recording that was heard answer the step it was made for; it is kept as it is.

    Where blades are heard the run is paused, so that safety is confirmed anew.
    Raises: InputError when this machine is not heard in it, its blades are, or it cannot answer this step.
    """
    now_doing, revision = _told_now(record, run, step)
    with _paused_by_blades(record, run):
        refuse_unheard(now_doing, heard)
    source = f"{RECORDING} {Path(heard.wav).name}"
    check = check_in(now_doing, heard.judgement)
    given = head_speed_heard(now_doing, heard, source) if check is None else Answer(source=source)
    keep = partial(keep_recording, record, revision, recording, duration_s=heard.duration_s)
    return _told_by(record, run, now_doing, given, check, keep)


def answer_from_microphone(
    record: Record, run: str, held: SpeedTaken, recording: Path, step: str | None = None
) -> RunSummary:
    """Let a head speed that was held before a microphone answer a set point; its sound is kept with the answer.

    `recording`: the sound as a file (`held.write`); it is not kept when it is refused. Where blades are heard the run
    is paused, so that safety is confirmed anew.
    Raises: InputError when blades are heard, or it cannot answer this step.
    """
    now_doing, revision = _told_now(record, run, step)
    keep = partial(keep_recording, record, revision, recording, duration_s=held.sound_s)
    with _paused_by_blades(record, run):
        given = head_speed_taken(now_doing, held)
    return _told_by(record, run, now_doing, given, None, keep)


def refuse_blades_heard(record: Record, run: str, blades: Sequence[str], step: str | None = None) -> None:
    """Refuse any answer to a step while a microphone at the bench hears these blades, and pause the run.

    Raises: InputError, also when it is not the current step.
    """
    now_doing = _told_now(record, run, step)[0]
    with _paused_by_blades(record, run):
        refuse_blades(now_doing, f"the {MICROPHONE}", blades)


def machine_of(record: Record, run: str) -> Machine:
    """Return the machine that a run stands on now."""
    with record.reading() as connection:
        return run_now(record, connection, run)[1].bench.machine


def pause(record: Record, run: str) -> RunSummary:
    """Pause a run; when it goes on, safety is confirmed anew."""
    return happens(record, run, lambda state: new_event(state, Kind.PAUSED))


def resume(record: Record, run: str) -> RunSummary:
    """Go on with a run; safety is confirmed anew."""
    return happens(record, run, lambda state: new_event(state, Kind.RESUMED))


def repeat(record: Record, run: str, step: str) -> RunSummary:
    """Open a step again that was answered; what was answered before stays in the record.

    Raises: InputError when no step of that name was answered.
    """

    def decide(state: State) -> Event:
        if step not in state.told:
            raise InputError(
                "repeat", read=repr(step[:80]), right=did_you_mean(step, state.told or ["a step that was done"])
            )
        return new_event(state, Kind.REPEATED, step=step)

    return happens(record, run, decide)


def note_change(record: Record, run: str, change: str) -> RunSummary:
    """Note that a part or setting was changed: what it makes void is reopened, and safety is confirmed anew.

    Raises: InputError when it is not known what that change is.
    """
    named = change_named(change)
    return happens(record, run, lambda state: new_event(state, Kind.CHANGED, changes=(named,)))


def take_machine(record: Record, run: str, machine_file: Path) -> RunSummary:
    """Go on with the machine file as it is now; what differs and voids a check reopens it. The same text is no event.

    Raises: InputError when the file is of another machine.
    """
    revision = keep_machine(record, machine_file)
    after = kept_machine(record, revision.id)
    with record.reading() as connection:
        before = run_now(record, connection, run)[1].bench.machine
        same = revision_now(connection, run) == revision.id
    if after.name != before.name:
        raise InputError(str(machine_file), read=f"the machine {after.name}", right=f"{before.name}, whose run this is")
    if same:
        return run_summary(record, run)
    changes = changes_between(before, after)
    return happens(
        record, run, lambda state: new_event(state, Kind.MACHINE_CHANGED, changes=changes, revision=revision.id)
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
        named, state = run_now(record, connection, run)
    changes, law = changes_between(state.bench.machine, machine), law_changes(state.bench.machine, machine)
    warnings = (f"changed since the bench run: {', '.join(changes)}",) if changes else ()
    return summary(named, on_machine(state, machine, changes, law), warnings)


@contextmanager
def _paused_by_blades(record: Record, run: str) -> Iterator[None]:
    """Pause a run where blades are heard: that they are off was confirmed, and is confirmed anew."""
    try:
        yield
    except BladesHeard:
        pause(record, run)
        raise


def _told_now(record: Record, run: str, meant: str | None) -> tuple[Step, Revision]:
    """Return the step that is to be done now, if it is the one meant, and the revision that the run stands on."""
    with record.reading() as connection:
        return doing(run_now(record, connection, run)[1], meant), revision_of(record, revision_now(connection, run))


def _told_by(
    record: Record, run: str, step: Step, given: Answer, check: Verdict | None, keep: Callable[[], object]
) -> RunSummary:
    """Answer a step with the check of a log or a recording, or else with the figure that it gave, and keep that file.

    What would be refused is not kept; what is kept is on the disk before the answer is.
    """

    def decide(latest: State) -> Event:
        now_doing = doing(latest, step.step)
        found = judged(latest.bench, now_doing, given) if check is None else _of_log(now_doing, check)
        return answered(latest, now_doing, given, found)

    with record.reading() as connection:
        decide(run_now(record, connection, run)[1])
    keep()
    return happens(record, run, decide)


def _of_log(step: Step, check: Verdict) -> tuple[Verdict, ...]:
    """Return the check of a log under the name of the step too, so that it counts for this state."""
    return (replace(check, check=step.step), check) if step.part == "hold" else (check,)
