"""What the record holds of the set-point law of a machine: every reading that counts, and those that no longer do.

The channel, the sheet and the advice take their readings from here, so that they rest on the same ones.
"""

import json
from dataclasses import dataclass

from sqlalchemy import select

from steadyhead.bench import tables
from steadyhead.bench.guided import evidence as bench_evidence
from steadyhead.bench.record import Record, kept_machine, readings_kept
from steadyhead.bench.run_state import Kind
from steadyhead.bench.run_summary import RunSummary
from steadyhead.bench.shelf import KeptLog, logs, revisions
from steadyhead.bench.void import UNREADABLE, is_void, law_changes, part_changes
from steadyhead.channel.answer import channel
from steadyhead.channel.machine_setting import machine_readings
from steadyhead.channel.result import ChannelAnswer, Reading, VoidReading
from steadyhead.machine.description import Machine
from steadyhead.words.errors import InputError

LAW = "set_point_law"


@dataclass(frozen=True, kw_only=True)
class LawEvidence:
    """Everything that is kept of a machine's set-point law."""

    readings: tuple[Reading, ...]
    """Those that count beside the readings of the file: typed, of the last bench run, of the logs that are evidence."""
    void: tuple[VoidReading, ...]
    """Those that do not, the readings of the machine file among them: the machine changed since they were taken."""
    void_typed: dict[str, tuple[str, ...]]
    """By their key in the record the typed ones that no longer count, left out or not, and what changed since."""
    run: RunSummary | None
    """The last bench run."""
    unread: tuple[str, ...]
    """Logs that count, and of which an older steadyhead kept no readings."""

    def channel(self, machine: Machine) -> ChannelAnswer:
        """Return every number of the throttle channel from all that counts.

        Raises: InputError when readings contradict each other.
        """
        measured = self.run.thresholds if self.run else ()
        return channel(machine, self.readings, measured=measured, void=self.void)

    def counted(self, machine: Machine) -> Machine:
        """Return the machine without those readings of its file that no longer count."""
        gone = {one.reading for one in self.void}
        rows = zip(machine.reading, machine_readings(machine), strict=True)
        return machine.model_copy(update={"reading": tuple(row for row, reading in rows if reading not in gone)})


def law_evidence(record: Record, machine: Machine, *, without: str = "") -> LawEvidence:
    """Return what is kept of the set-point law of a machine, held against its text as it is now.

    A reading taken under another text, or before a change that was noted on the bench, counts only where nothing that
    bears on the law changed since. `without`: the key of a typed reading that is not looked at.
    Raises: InputError when the record cannot be read.
    """
    look, run = _Look(record, machine), bench_evidence(record, machine)
    taken: list[tuple[Reading, tuple[str, ...]]] = []
    void_typed: dict[str, tuple[str, ...]] = {}
    unread: list[str] = []
    for one in readings_kept(record, machine.name):
        since = look.since(one.revision_id, one.taken_on)
        if since:
            void_typed[one.id] = since
        if not one.left_out and one.id != without:
            taken.append((one.reading, since))
    flown = [log for log in logs(record, machine.name) if log.is_evidence]
    for log in flown:
        since = look.since(log.revision_id, log.kept_on)
        taken += [(reading, since) for reading in log.standing.readings or ()]
        unread += [log.name] if log.standing.readings is None and not since else []
    taken += [(reading, since) for reading, since in _in_file(record, machine, look) if since]
    void = [VoidReading(reading=reading, since=since) for reading, since in taken if since]
    return LawEvidence(
        readings=(*(reading for reading, since in taken if not since), *(run.readings if run else ())),
        void=(*void, *(run.void_readings if run else ())),
        void_typed=void_typed,
        run=run,
        unread=tuple(unread),
    )


def flown_since(record: Record, machine: Machine, log: KeptLog) -> tuple[str, ...]:
    """Return which keys that figures of a flight rest on changed since a log was kept, for `older_log.as_flown`."""
    try:
        return part_changes(kept_machine(record, log.revision_id), machine)
    except InputError:
        return (UNREADABLE,)


class _Look:
    """What changed since, looked up once for each text."""

    def __init__(self, record: Record, machine: Machine) -> None:
        self.record, self.machine = record, machine
        self._by_text: dict[str, tuple[str, ...]] = {}
        self._noted = _changes_noted(record, machine.name)

    def since(self, revision_id: str, taken_on: str) -> tuple[str, ...]:
        """Return what changed since then that the law rests on: keys of the file, changes noted on the bench."""
        noted = (change for happened_on, change in self._noted if happened_on > taken_on)
        return (*self.by_text(revision_id), *dict.fromkeys(noted))

    def by_text(self, revision_id: str) -> tuple[str, ...]:
        """Return the keys that read otherwise in the text of a revision."""
        if revision_id not in self._by_text:
            self._by_text[revision_id] = self._compared(revision_id)
        return self._by_text[revision_id]

    def _compared(self, revision_id: str) -> tuple[str, ...]:
        try:
            return law_changes(kept_machine(self.record, revision_id), self.machine)
        except InputError:
            return (UNREADABLE,)


def _changes_noted(record: Record, machine: str) -> list[tuple[str, str]]:
    """Return moment and name of every change that was noted on the bench and makes the law void."""
    event, run, revision = tables.bench_event, tables.bench_run, tables.machine_revision
    asked = select(event.c.happened_on, event.c.body).join(run, run.c.id == event.c.run_id)
    asked = asked.join(revision, revision.c.id == run.c.machine_revision_id)
    asked = asked.where(revision.c.machine == machine, event.c.kind == Kind.CHANGED.value)
    with record.reading() as connection:
        rows = connection.execute(asked).all()
    return [
        (row.happened_on, change) for row in rows for change in json.loads(row.body)["changes"] if is_void(LAW, change)
    ]


def _in_file(record: Record, machine: Machine, look: _Look) -> list[tuple[Reading, tuple[str, ...]]]:
    """Return the readings of the file, each with what changed while it stood there.

    One that stood there without a break since an older text was taken under that one, not under the newest.
    """
    open_ = list(machine_readings(machine))
    found: dict[Reading, tuple[str, ...]] = {}
    for revision in revisions(record, machine.name):
        try:
            there = {_pair(one) for one in machine_readings(kept_machine(record, revision.id))}
        except InputError:
            break
        open_ = [reading for reading in open_ if _pair(reading) in there]
        found |= {reading: look.by_text(revision.id) for reading in open_}
        if not open_:
            break
    return list(found.items())


def _pair(reading: Reading) -> tuple[float, float, float]:
    return reading.percent, reading.head_speed_rpm, reading.spread_rpm
