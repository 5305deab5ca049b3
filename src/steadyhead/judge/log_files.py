"""Logs in files: one judged, or several with what they prove together."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from steadyhead.judge.gearing_of import gearing_of
from steadyhead.judge.judging import judge
from steadyhead.judge.long_log import judge_pieces
from steadyhead.judge.result import Judgement, Session
from steadyhead.judge.session import session as together
from steadyhead.machine.description import Machine
from steadyhead.trace.big_log import is_big, pieces
from steadyhead.trace.each_read import each_read
from steadyhead.trace.reading import read_trace
from steadyhead.words.progress import Say, silent


def judge_file(
    machine: Machine, log: Path, columns: Mapping[str, str] | None = None, *, say: Say = silent
) -> Judgement:
    """Judge one log; one larger than memory piece by piece.

    Raises: InputError when it cannot be read.
    """
    gearing = gearing_of(machine)
    if is_big(log):
        return judge_pieces(machine, pieces(log, gearing=gearing, mapping=columns or {}), say=say)
    return judge(machine, read_trace(log, gearing=gearing, mapping=columns))


def session(
    machine: Machine, logs: Sequence[Path], columns: Mapping[str, str] | None = None, *, say: Say = silent
) -> Session:
    """Judge several logs of one machine one by one, and say what they prove together and what moves over flights.

    A log among others that cannot be read is left out, and named with why.

    Raises: InputError when no log can be read.
    """
    named = [(str(log), log) for log in logs]
    judged, unread = each_read(lambda log: judge_file(machine, log, columns, say=say), named, say)
    return together(machine, [one for _, one in judged], unread=unread)
