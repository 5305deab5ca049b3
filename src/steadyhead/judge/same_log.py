"""Whether two logs are one and the same: the same figures at the same times, whatever the files are called."""

from collections.abc import Sequence
from hashlib import blake2b
from typing import TypeVar

import numpy as np

from steadyhead.trace.trace import Trace

Kept = TypeVar("Kept")


def content(trace: Trace) -> bytes:
    """Return a mark of all times and values of a trace: alike for the same content, whatever its file is called."""
    mark = blake2b(np.ascontiguousarray(trace.time_s).tobytes())
    for name in sorted(trace.channels):
        mark.update(name.encode())
        mark.update(np.ascontiguousarray(trace.channels[name]).tobytes())
    return mark.digest()


def once(logs: Sequence[tuple[Trace, Kept]]) -> tuple[list[Kept], tuple[str, ...]]:
    """Return what belongs to each log, a log that was given before left out, and a sentence for each that was."""
    first: dict[bytes, str] = {}
    kept: list[Kept] = []
    words = []
    for trace, own in logs:
        mark = content(trace)
        if mark in first:
            words.append(f"{trace.source} is the same log as {first[mark]}: it counts once")
        else:
            first[mark] = trace.source
            kept.append(own)
    return kept, tuple(words)


def shared_logs(before: Sequence[Trace], after: Sequence[Trace]) -> tuple[str, ...]:
    """Return a sentence for each log that lies on both sides of a comparison."""
    old = {content(trace): trace.source for trace in before}
    both = [(old[mark], trace.source) for trace in after if (mark := content(trace)) in old]
    return tuple(f"{there} after the change is the same log as {here} before it" for here, there in both)
