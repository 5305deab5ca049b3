"""Which kept logs are evidence today: what was added last about a log, or about the file that it came from, holds."""

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any

from steadyhead.channel.result import Reading
from steadyhead.judge.readings import readings as readings_of
from steadyhead.judge.result import Judgement
from steadyhead.words.plain import plain


class Noted(StrEnum):
    """What can be said of a kept log."""

    BROUGHT = "brought"
    """It was brought; the body says from which file and how that was read."""
    LEFT_OUT = "left out"
    TAKEN_IN = "taken in"


@dataclass(frozen=True, kw_only=True)
class Note:
    """One row that says something of a kept log."""

    log: str
    kind: str
    body: str


@dataclass(kw_only=True)
class Standing:
    """How a kept log stands today."""

    said: Mapping[str, str] = field(default_factory=dict)
    """What its columns were said to be, by heading, when it was brought last."""
    understood: bool = True
    """False: no column of it held a value of any channel. Not known of one that an older steadyhead kept: True."""
    simulated: bool = False
    """Its file says that it was simulated: no evidence of what the machine does."""
    left_out: bool = False
    readings: tuple[Reading, ...] | None = None
    """Channel position and head speed where it was steady; None of a log that an older steadyhead kept."""
    replaced: bool = False
    """Its file was read anew since, in another way, or the same log was kept again."""


def brought_body(judgement: Judgement, source_sha256: str, said: Mapping[str, str]) -> str:
    """Return the body of the row that says how a log was read from the file of this SHA-256, and its readings."""
    channels = [name for name in judgement.trace.channels if judgement.trace.has(name)]
    found = [plain(reading) for reading in readings_of(replace(judgement, log=_own_name(judgement.log)))]
    told = {"simulated": True} if judgement.trace.simulated else {}
    body = {"source": source_sha256, "channels": channels, "said": dict(said), "readings": found, **told}
    return json.dumps(body, ensure_ascii=False)


def standings(logs: Sequence[tuple[str, str]], notes: Iterable[Note]) -> dict[str, Standing]:
    """Return how every log stands.

    `logs`: key of a log and SHA-256 of its trace; both oldest first. Of one file the reading that was brought last
    holds, whatever revision of the machine it was brought to; of one trace that was kept several times, the last.
    """
    stand = {key: Standing() for key, _ in logs}
    last_of: dict[str, str] = {}
    sources: dict[str, set[str]] = {key: set() for key, _ in logs}
    last_kept = [key for key, _ in logs]
    for note in notes:
        one = stand[note.log]
        one.left_out = note.kind == Noted.LEFT_OUT
        if note.kind == Noted.BROUGHT:
            body = json.loads(note.body)
            one.said, one.understood = body["said"], bool(body["channels"])
            one.simulated = bool(body.get("simulated", False))
            found = body.get("readings")
            one.readings = None if found is None else tuple(map(_reading, found))
            last_kept.append(note.log)
            if body["source"]:
                sources[note.log].add(body["source"])
                last_of[body["source"]] = note.log
    traces = dict(logs)
    last_trace = {traces[key]: key for key in last_kept}
    for key, one in stand.items():
        holds = not sources[key] or any(last_of[source] == key for source in sources[key])
        one.replaced = not holds or last_trace[traces[key]] != key
    return stand


def _reading(told: Mapping[str, Any]) -> Reading:
    """Return a reading as it was kept; an older steadyhead kept with it the folder that the log lay in."""
    return replace(reading := Reading(**told), source=_own_name(reading.source))


def _own_name(source: str) -> str:
    """Return a file without the folders that it lay in: where it was laid for a while says nothing to a reader."""
    return re.split(r"[/\\]", source)[-1]
