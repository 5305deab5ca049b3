"""Words of advice turn no part both ways: where they would, the safer way stands and the contradiction is said."""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from steadyhead.words.verdict import Outcome, Verdict

PROPORTIONAL, INTEGRAL, PINION, HEAD_SPEED = "proportional gain", "integral gain", "pinion", "head speed"
QUICK, SOFT = "quick spool-up", "soft start"
HELD_BACK = "Held back: "
"""How a sentence begins that names a way which is not to be gone; it turns nothing itself."""
RAMP = re.compile(r"Make the (quick spool-up|soft start) (shorter|longer)")
GAIN = re.compile(r"\b(raise|lower) the (proportional|integral) gain", re.IGNORECASE)
TEETH = re.compile(r"\b(?:(more) (?:tooth|teeth)|(?:tooth|teeth) (more|fewer) on the pinion)")
HIGHER_SPEED = ", or a higher head speed"
LOWER_SPEED = re.compile(r"\blower (?:the )?head speed")
NEARER_TO_FULL = ", a hover duty nearer to full"
SMALLER = "smaller pinion"
OR_SMALLER = f", a {SMALLER} or"
LARGER = "larger pinion"
ON_THE_PINION = "teeth on the pinion"
SWINGING = (
    "another pinion or pack. The head hunts in this log, so its duty and current are those of a swinging loop and do "
    "not tell what the drive has left. Mend the hunting first, then log and judge again."
)


PACK_CHECKS = ("cell_voltage", "pack_resistance")
"""Checks of a log that fail by the pack: what its duty lacks may be the pack's."""
OF_THE_PACK = (
    "more teeth on the pinion. The pack sags too far or is worn, in this log or another, so duty and head-room are "
    "that pack's, and more teeth let the drive draw more from it. Mend the pack first, or lower the head speed; then "
    "log and judge again."
)
PRESSING = ("Do not fly", "The loop hunts", "The pack ")
"""How the lines begin that come before all others, of whatever log; own choice."""


class Turn(NamedTuple):
    """A part that a line of advice asks to be turned, and whether upwards: more, longer, more teeth."""

    part: str
    up: bool


BOTH_WAYS = {
    Turn(PROPORTIONAL, up=True): "more proportional gain. Another check asks for it, but the head hunts, and more gain "
    "makes it hunt harder; hunting alone may keep it out of its band. Mend that first, then log and judge again.",
    Turn(INTEGRAL, up=True): "more integral gain. Another check asks for it, but the head overspeeds or hunts, and it "
    "makes that worse. Mend that first, then log and judge again.",
    Turn(PINION, up=True): "more teeth on the pinion. The drive runs out of head-room, but its current is beyond what "
    "the controller's maker allows, and more teeth raise it. A lower head speed mends both.",
    Turn(PINION, up=False): "fewer teeth on the pinion. Hover duty is low and heats the controller, but the drive runs "
    "out of head-room, in a log or by the plan, and fewer teeth leave it less. No one pinion mends both: fly less "
    "hard, and look with the plan command for a head speed and a pack that do.",
    Turn(QUICK, up=True): "another quick spool-up. One restart took too long, another too little: the ramp alone is "
    "not the cause. Look for what else differed between them.",
    Turn(SOFT, up=True): "another soft start. One took too long, another too little: the ramp alone is not the cause. "
    "Look for what else differed between them.",
}
"""What is said instead of a line that asks for the less safe way of a part."""
BOTH_WAYS[Turn(QUICK, up=False)] = BOTH_WAYS[Turn(QUICK, up=True)]
BOTH_WAYS[Turn(SOFT, up=False)] = BOTH_WAYS[Turn(SOFT, up=True)]
GAINS = (PROPORTIONAL, INTEGRAL)
ASKED_BY = " The other way is asked by "
"""How a line that is held back goes on where several logs are told together: which of them forbids it."""


def with_its_logs(told: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    """Return lines, each given with its log; those that are held back name the logs that ask the other way."""
    ways = [(log, turn) for log, line in told for turn in turns(line)]
    return tuple(_named(line, ways) for _, line in told)


def _named(line: str, ways: Sequence[tuple[str, Turn]]) -> str:
    held = next((turn for turn, words in BOTH_WAYS.items() if line == f"{HELD_BACK}{words}"), None)
    logs = dict.fromkeys(log for log, turn in ways if held is not None and turn == held._replace(up=not held.up))
    return f"{line}{ASKED_BY}{', '.join(logs)}." if logs else line


def turns(line: str) -> tuple[Turn, ...]:
    """Return what a line asks to be turned by a stated amount; empty for one that is held back."""
    return () if line.startswith(HELD_BACK) else tuple(_turns(line))


def _turns(line: str) -> Iterator[Turn]:
    for what, way in RAMP.findall(line):
        yield Turn(what, way == "longer")
    for way, what in GAIN.findall(line):
        yield Turn(f"{what.lower()} gain", way.lower() == "raise")
    for more, way in TEETH.findall(line):
        yield Turn(PINION, (more or way) == "more")


def _ways(line: str) -> set[Turn]:
    """Return what a line asks for, also where it is one choice of several and has no amount."""
    if line.startswith(HELD_BACK):
        return set()
    ways = set(turns(line))
    ways |= {Turn(PINION, up=False)} if SMALLER in line or NEARER_TO_FULL in line else set()
    ways |= {Turn(PINION, up=True)} if LARGER in line else set()
    ways |= {Turn(HEAD_SPEED, up=True)} if HIGHER_SPEED in line else set()
    return ways | ({Turn(HEAD_SPEED, up=False)} if LOWER_SPEED.search(line) else set())


def one_way(lines: Sequence[str], *, no_room: bool = False) -> tuple[str, ...]:
    """Return each line as it may be told beside the others, in their order.

    The safer way of a gain is down, of a head speed down; of a ramp it is neither. A pinion gets no fewer teeth where
    head-room is lacking, and no more where a current is beyond its limit; so it stays where both are.
    `no_room` says that the plan or a log leaves no head-room, whatever the lines say.
    """
    every = {turn for line in lines for turn in _ways(line)}
    not_to_go = {turn for turn in every if turn._replace(up=not turn.up) in every and _less_safe(turn)}
    if any(SMALLER in line for line in lines if not line.startswith(HELD_BACK)):
        not_to_go |= {Turn(PINION, up=True)}
    if no_room:
        not_to_go |= {Turn(PINION, up=False), Turn(HEAD_SPEED, up=True)}
    return tuple(_beside(line, not_to_go) for line in lines)


def _less_safe(turn: Turn) -> bool:
    if turn.part == PINION:
        return not turn.up
    return turn.up or turn.part in (QUICK, SOFT)


def _beside(line: str, not_to_go: set[Turn]) -> str:
    """Return a line without what is not to be done: less a choice of several, else what is said instead."""
    if Turn(HEAD_SPEED, up=True) in not_to_go:
        line = line.replace(HIGHER_SPEED, "")
    if Turn(PINION, up=False) in not_to_go:
        line = line.replace(NEARER_TO_FULL, "").replace(OR_SMALLER, " or")
    clash = sorted(turn for turn in _ways(line) & not_to_go if turn in BOTH_WAYS)
    return f"{HELD_BACK}{BOTH_WAYS[clash[0]]}" if clash else line


def unless_the_loop_swings(line: str, *, swings: bool) -> str:
    """Return a line that asks for another pinion as held back where the duty it rests on is that of a swinging loop."""
    if not swings:
        return line
    line = line.replace(NEARER_TO_FULL, "").replace(OR_SMALLER, " or")
    of_teeth = line.startswith(HELD_BACK) and ON_THE_PINION in line
    return f"{HELD_BACK}{SWINGING}" if of_teeth or any(turn.part == PINION for turn in _ways(line)) else line


def unless_the_pack_sags(line: str, checks: Iterable[Verdict]) -> str:
    """Return a line that asks for more teeth as held back where a pack fails in a log, and without a higher speed."""
    if not any(one.check in PACK_CHECKS and one.verdict is Outcome.FAIL for one in checks):
        return line
    line = line.replace(HIGHER_SPEED, "")
    return f"{HELD_BACK}{OF_THE_PACK}" if Turn(PINION, up=True) in _ways(line) else line


def pressing(line: str) -> int:
    """Return how a line ranks among those of several logs, the most pressing first; what is held back comes last."""
    last = len(PRESSING) + line.startswith(HELD_BACK)
    return next((rank for rank, words in enumerate(PRESSING) if line.startswith(words)), last)


def unless_it_may_hunt(line: str, no_hunting: Verdict | None) -> str:
    """Return a line that asks for more gain as held back where the log does not show that the head does not hunt."""
    raised = [turn.part for turn in turns(line) if turn.up and turn.part in GAINS]
    if not raised or (no_hunting is not None and no_hunting.verdict is not Outcome.UNKNOWN):
        return line
    needs = " and ".join(no_hunting.needs) if no_hunting is not None else ""
    return (
        f"{HELD_BACK}more {raised[0]}. Another check asks for it, but the log does not show that the head does not "
        f"hunt, and more gain would make it hunt harder. Make sure of that first: {needs or 'log steady running'}."
    )
