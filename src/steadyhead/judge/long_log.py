"""Judges a log larger than memory piece by piece, and joins the judgements into one."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from steadyhead.judge.judging import judge
from steadyhead.judge.result import HeadRoom, Judgement
from steadyhead.judge.session import outcome_of
from steadyhead.judge.trends import trends
from steadyhead.machine.description import Machine
from steadyhead.trace.trace import Trace
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Verdict, worst

SHOWN_ROWS = 5_000
"""What is kept of the trace of each piece, for plots."""
SAME_SPEED_SHARE = 0.01


def judge_pieces(machine: Machine, pieces: Iterable[Trace], *, say: Say = silent) -> Judgement:
    """Return one judgement of all pieces of a log, each judged by itself; times are those of the whole log.

    Valid: one piece or more, cut where the rotor rests: a rule that reaches over a cut is not seen.
    """
    parts = []
    for piece in pieces:
        say(f"judge up to {piece.time_s[-1]:.0f} s")
        parts.append(_light(judge(machine, piece)))
    return parts[0] if len(parts) == 1 else _joined(parts)


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


def _joined(parts: list[Judgement]) -> Judgement:
    first = parts[0]
    flights = [flight for part in parts for flight in part.flights]
    numbered = tuple(replace(flight, number=k) for k, flight in enumerate(flights, start=1))
    checks = tuple(_together(check.check, parts) for check in first.checks)
    highest = max(parts, key=lambda part: part.pack_resistance_mohm or 0.0)
    return replace(
        first,
        rows_read=sum(part.rows_read for part in parts),
        warnings=tuple(dict.fromkeys(word for part in parts for word in part.warnings)),
        history=tuple(dict.fromkeys(step for part in parts for step in part.history)),
        segments=tuple(segment for part in parts for segment in part.segments),
        steady=tuple(window for part in parts for window in part.steady),
        events=tuple(event for part in parts for event in part.events),
        bail_outs=tuple(bail_out for part in parts for bail_out in part.bail_outs),
        checks=checks,
        advice=tuple(dict.fromkeys(line for part in parts for line in part.advice)),
        verdict=worst(check.verdict for check in checks),
        unknowns=tuple(dict.fromkeys(need for check in checks for need in check.needs)),
        pack_resistance_mohm=highest.pack_resistance_mohm,
        pack_resistance_mohm_interval=highest.pack_resistance_mohm_interval,
        energy_wh=_sum(part.energy_wh for part in parts),
        charge_used_mah=_sum(part.charge_used_mah for part in parts),
        head_room=_least_rooms([room for part in parts for room in part.head_room]),
        flights=numbered,
        trends=trends(numbered),
        trace=_trace([part.trace for part in parts]),
    )


def _together(name: str, parts: list[Judgement]) -> Verdict:
    own = [check for part in parts for check in part.checks if check.check == name]
    outcome = outcome_of(name, own)
    return next(check for check in own if check.verdict is outcome)


def _least_rooms(rooms: list[HeadRoom]) -> tuple[HeadRoom, ...]:
    kept: list[HeadRoom] = []
    for room in sorted(rooms, key=lambda one: one.head_room):
        same = next((k for k, one in enumerate(kept) if _alike(one, room)), None)
        if same is None:
            kept.append(room)
        else:
            kept[same] = replace(kept[same], count=kept[same].count + room.count)
    return tuple(sorted(kept, key=lambda room: (room.condition, room.set_rpm)))


def _alike(one: HeadRoom, other: HeadRoom) -> bool:
    return one.condition == other.condition and abs(one.set_rpm - other.set_rpm) <= SAME_SPEED_SHARE * one.set_rpm


def _sum(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if known else None


def _trace(traces: Sequence[Trace]) -> Trace:
    names = [name for name in traces[0].channels if all(name in trace.channels for trace in traces)]
    return replace(
        traces[0],
        time_s=np.concatenate([trace.time_s for trace in traces]),
        channels={name: np.concatenate([trace.channels[name] for trace in traces]) for name in names},
        row=np.concatenate([trace.row for trace in traces]),
        rows_read=sum(trace.rows_read for trace in traces),
    )
