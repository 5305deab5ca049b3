"""The proposed machine file: the owner's own, with what was learned put in."""

import json
import math
import os
from collections.abc import Sequence
from pathlib import Path

from steadyhead.channel.result import Reading
from steadyhead.learn.result import Change, GovernorSeen, Parameter, Proposal
from steadyhead.learn.unknowns import NARROWED
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text
from steadyhead.machine.rewriting import rewritten, with_rows
from steadyhead.words.errors import InputError
from steadyhead.words.value import Value

GAINS = ("governor.gain", "governor.integral_time")
SAME_PERCENT = 0.5
"""Two readings nearer than this on the channel are one; own choice."""
LEAST_SHARE = 0.005


def proposal(
    machine: Machine,
    text: str,
    logs: Sequence[str],
    parameters: Sequence[Parameter],
    governors: Sequence[GovernorSeen],
    readings: Sequence[Reading],
) -> Proposal:
    """Return the owner's file with what was learned, marked fitted, and each line that is other than before.

    A number is proposed where nobody stated one, or where the logs know it more closely than the file.
    """
    values: dict[str, str] = {}
    changes: list[Change] = []
    by = {one.key: one.told_by for one in parameters}
    by |= dict.fromkeys(GAINS, tuple(dict.fromkeys(one.log for one in governors if one.told)))
    for key, number, unit, half in [*_learned(parameters), *_gains(governors)]:
        stated = machine.value(key)
        if stated is not None and not _better(stated, half):
            continue
        after = f"{number:.4g} {unit}".strip()
        share = max(math.ceil(1000.0 * half) / 10.0, 100.0 * LEAST_SHARE)
        note = quoted(f"learned from {', '.join(Path(log).name for log in by.get(key) or logs)}")
        values[key] = f'{{ value = "{after}", spread = "{share:g} %", from = "fitted", note = {note} }}'
        before = str(stated) if stated is not None else "unknown"
        changes.append(Change(key=key, before=before, after=f"{after} ± {share:g} % (fitted)", why=_why(stated)))
    changed, left = rewritten(text, values)
    changes = [
        Change(key=c.key, before=c.before, after=c.after, why="it stands inside another line: put it in by hand")
        if c.key in left
        else c
        for c in changes
    ]
    rows = tuple(reading for reading in readings if not _has(machine, reading))
    if rows:
        changed = with_rows(changed, "reading", tuple(_row(reading) for reading in rows))
        changes += [
            Change(
                key="reading", before="none there", why="read from the log",
                after=f"{r.percent:.4g} % = {r.head_speed_rpm:.1f} rpm ± {r.spread_rpm:.1f}",
            )
            for r in rows
        ]  # fmt: skip
    machine_from_text(changed, "the proposed machine file")
    return Proposal(changes=tuple(changes), text=changed, written=None)


def write_proposal(text: str, path: Path, own: Path) -> Path:
    """Write the proposed file and return its path; neither the owner's file nor any other that is there is touched.

    Raises: InputError when a file is there already or the folder cannot be written.
    """
    refuse_taken(path, own)
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        part.write_text(text, "utf-8")
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise InputError(
            str(path), read=f"a place that cannot be written ({error})", right="a folder of yours"
        ) from error
    return path


def refuse_taken(path: Path, own: Path) -> None:
    """Refuse the name of a file that is there already.

    Raises: InputError when it is.
    """
    if path.exists():
        what = "your own machine file" if path.resolve() == own.resolve() else "a file that is there already"
        raise InputError(str(path), read=what, right="the name of a new file")


def quoted(words: str) -> str:
    """Return words as a TOML text, short and printable."""
    return json.dumps("".join(c for c in words if c.isprintable())[:300], ensure_ascii=False)


def _learned(parameters: Sequence[Parameter]) -> list[tuple[str, float, str, float]]:
    """Return key, number, unit and relative half width of what was told."""
    return [
        (p.key, p.value, p.unit, _half(p.key, p.value, *p.value_interval))
        for p in parameters
        if p.told and p.value and p.value_interval is not None
    ]


def _half(key: str, value: float, low: float, high: float) -> float:
    """Return the half width that holds an interval, as a share; low may be nought for a number that was narrowed."""
    return high / value - 1.0 if key in NARROWED else max(high / value, value / low) - 1.0


def _gains(governors: Sequence[GovernorSeen]) -> list[tuple[str, float, str, float]]:
    """Return gain and integral time, weighted over the logs that tell them."""
    told = [g for g in governors if g.told and g.gain is not None and g.integral_time_s is not None]
    pairs = (
        (GAINS[0], "", [(g.gain, g.gain_interval) for g in told]),
        (GAINS[1], "s", [(g.integral_time_s, g.integral_time_s_interval) for g in told]),
    )
    found = []
    for key, unit, seen in pairs:
        known = [(value, (ends[1] - ends[0]) / 2.0 / value) for value, ends in seen if value and ends]
        if known:
            weights = [1.0 / half**2 for _, half in known]
            middle = sum(w * value for w, (value, _) in zip(weights, known, strict=True)) / sum(weights)
            found.append((key, middle, unit, min(half for _, half in known)))
    return found


def _better(stated: Value, half: float) -> bool:
    return stated.is_typical or half * abs(stated.si) < stated.spread_si


def _why(stated: Value | None) -> str:
    if stated is None:
        return "nobody had stated it"
    return "it was typical" if stated.is_typical else "the logs know it more closely"


def _has(machine: Machine, reading: Reading) -> bool:
    return any(abs(100.0 * row.channel.si - reading.percent) < SAME_PERCENT for row in machine.reading)


def _row(reading: Reading) -> dict[str, str]:
    spread = max(reading.spread_rpm, 0.1)
    return {
        "from": '"measured"',
        "channel": f'"{reading.percent:.4g} %"',
        "head_speed": f'{{ value = "{reading.head_speed_rpm:.1f} rpm", spread = "{spread:.1f} rpm", '
        f"note = {quoted(Path(reading.source).name)} }}",
    }
