"""Judges a log larger than memory piece by piece, and joins the judgements into one."""

from collections.abc import Iterable
from dataclasses import replace

from steadyhead.judge.joining import joined
from steadyhead.judge.judging import judge
from steadyhead.judge.owner import owner
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.trace.trace import Trace
from steadyhead.words.progress import Say, silent

SHOWN_ROWS = 5_000
"""What is kept of the trace of each piece, for plots."""


def judge_pieces(machine: Machine, pieces: Iterable[Trace], *, say: Say = silent) -> Judgement:
    """Return one judgement of all pieces of a log, each judged by itself; times are those of the whole log.

    Valid: one piece or more, cut where the rotor rests: a rule that reaches over a cut is not seen.
    """
    parts = []
    for piece in pieces:
        say(f"judge up to {piece.time_s[-1]:.0f} s")
        parts.append(_light(judge(machine, piece)))
    return joined(parts, owner(machine))


def _light(part: Judgement) -> Judgement:
    """Return a judgement with a trace of few rows: a plot needs no more, and memory must not grow with the log."""
    trace = part.trace
    every = max(1, trace.time_s.size // SHOWN_ROWS)
    thin = replace(
        trace,
        time_s=trace.time_s[::every].copy(),
        channels={name: values[::every].copy() for name, values in trace.channels.items()},
        row=trace.row[::every].copy(),
    )
    return replace(part, trace=thin)
