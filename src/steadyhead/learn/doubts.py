"""Everything that stands against logs and machine file being of one machine; the cheapest is looked at first."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from steadyhead.channel.result import Reading
from steadyhead.judge.result import Judgement
from steadyhead.learn.among_logs import among_logs
from steadyhead.learn.blades_seen import blades_doubt
from steadyhead.learn.cells import cells_doubt
from steadyhead.learn.clipped_current import current_doubt
from steadyhead.learn.doubt import Doubt
from steadyhead.learn.model import LogModel
from steadyhead.learn.rows import Evidence
from steadyhead.learn.teeth import motor_speed_alone, two_speeds
from steadyhead.learn.unlogged_pitch import pitch_doubt
from steadyhead.machine.description import Machine
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome


class ReadLog(NamedTuple):
    """One log: what of it can be fitted, what the judge says, and its readings for the set-point law."""

    evidence: Evidence
    judged: Judgement
    readings: tuple[Reading, ...]


def doubts_of(
    machine: Machine, seen: Sequence[ReadLog], models: Sequence[LogModel], say: Say = silent
) -> tuple[Doubt, ...]:
    """Return what stands against logs and file; each log is fitted alone only where the voltages can be right."""
    found = [one.evidence for one in seen]
    every = (
        *(cells_doubt(machine, one.evidence, one.judged) for one in seen),
        *(blades_doubt(one, found) for one in found),
        *(current_doubt(one) for one in found),
        *(pitch_doubt(one) for one in found),
        two_speeds(machine, found),
        motor_speed_alone(machine, [(one.evidence, one.readings) for one in seen]),
    )
    known = tuple(doubt for doubt in every if doubt is not None)
    if fails(known):
        return known
    among = among_logs(machine, models, say)
    return (*known, among) if among is not None else known


def fails(doubts: Iterable[Doubt]) -> bool:
    """Whether one of them says for certain that logs and file are not of one machine."""
    return any(doubt.verdict is Outcome.FAIL for doubt in doubts)


def stops(doubts: Iterable[Doubt]) -> bool:
    """Whether one of them leaves nothing that could be fitted: other than of some keys, it is of all."""
    return any(doubt.verdict is Outcome.FAIL and not doubt.holds for doubt in doubts)


def open_for(doubts: Iterable[Doubt]) -> dict[str, str]:
    """Return the keys that are not told, with why."""
    return {key: doubt.says for doubt in doubts for key in doubt.holds}


def good_readings(doubts: Sequence[Doubt], seen: Sequence[ReadLog]) -> tuple[Reading, ...]:
    """Return the readings that rest on nothing doubtful."""
    held = {log for doubt in doubts for log in doubt.readings_of}
    return tuple(reading for one in seen if one.evidence.log not in held for reading in one.readings)
