"""Changes that a flown log forbids: no more speed or teeth while the head hunts or the pack fails in it."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from steadyhead.advise.judges_words import PINION
from steadyhead.advise.measure_next import LOG
from steadyhead.advise.result import Change, Withheld
from steadyhead.advise.seen import Seen
from steadyhead.judge.one_way import PACK_CHECKS
from steadyhead.machine.description import Machine

SPEEDS = re.compile(r"flight_mode\.\d+\.(head_speed|channel)")
"""A curve value sets a head speed, too."""
FORBIDS = (
    (("no_hunting",),
     "the head hunts in {logs}: duty and current there are those of a swinging loop, and more speed or teeth load it "
     "further", "mend the hunting first, then log and judge again"),
    (PACK_CHECKS,
     "the pack sags too far or is worn in {logs}: duty and sag there are the pack's, and more speed or teeth let the "
     "drive draw more from it", "mend what the log shows of the pack first, then log and judge again"),
)  # fmt: skip
"""Checks that fail in a log, why nothing may be raised then, and what comes first; own choice."""


def held_by_logs(
    machine: Machine, changes: Sequence[Change], logged: Sequence[Seen]
) -> tuple[tuple[Change, ...], tuple[Withheld, ...]]:
    """Return the changes that the logs leave, ranked anew, and those that they forbid, with why."""
    forbidden = tuple(_forbidden(logged))
    held = [change for change in changes if forbidden and raises(machine, change)]
    left = [change for change in changes if change not in held]
    said = "; ".join(why for why, _ in forbidden)
    return (
        tuple(replace(change, rank=rank) for rank, change in enumerate(left, start=1)),
        tuple(
            Withheld(
                key=change.key,
                why=f"{change.to} ({change.what}) helps in the simulation, but {said}",
                measure=forbidden[0][1],
            )
            for change in held
        ),
    )


def raises(machine: Machine, change: Change) -> bool:
    """Whether a change raises a head speed or adds teeth to the pinion."""
    return any(
        (today := machine.value(key)) is not None and number > today.si
        for key, number in change.numbers.items()
        if key == PINION or SPEEDS.fullmatch(key)
    )


def _forbidden(logged: Sequence[Seen]) -> Iterator[tuple[str, str]]:
    for checks, why, first in FORBIDS:
        logs = dict.fromkeys(one.part.removeprefix(LOG) for one in logged if one.fails and one.check.check in checks)
        if logs:
            yield why.format(logs=", ".join(logs)), first
