"""What the judge of the logs asks for in words, held against the changes with figures: one answer, not two."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from steadyhead.advise.result import Change, Withheld
from steadyhead.flight.tuning_advice import GAIN_KEYS
from steadyhead.judge import one_way
from steadyhead.judge.advice import ONE_AT_A_TIME
from steadyhead.judge.teeth import with_pinion
from steadyhead.machine.description import Machine

QUICK, SOFT, PINION, GAINS = "governor.quick_spool", "governor.soft_spool", "gears.pinion_teeth", ", ".join(GAIN_KEYS)
RAMPS = {QUICK: "quick spool-up", SOFT: "soft start"}
SETTING = {
    one_way.QUICK: (QUICK, ""), one_way.SOFT: (SOFT, ""), one_way.PINION: (PINION, ""),
    one_way.PROPORTIONAL: (GAINS, "proportional"), one_way.INTEGRAL: (GAINS, "integral"),
}  # fmt: skip
"""Key, and which of its parts, of what the judge's words turn."""
TURNED_SHARE = 0.02
"""A gain that a change moves by less than this stays as it is; own choice."""
A_THIRD = 2.0 / 3.0
"""How short the judge's words make a ramp."""
LEARN_FIRST = "fit the file to the log with the learn command, then run advise again"


class Asked(NamedTuple):
    """A setting that a line of the judge asks to be turned: key, which of its parts, and which way."""

    key: str
    part: str
    up: bool


def asked(line: str) -> tuple[Asked, ...]:
    """Return what a line of the judge asks for; empty where it names no setting that is tried here."""
    return tuple(Asked(*SETTING[turn.part], turn.up) for turn in one_way.turns(line))


def agreed(
    machine: Machine, changes: Sequence[Change], withheld: Sequence[Withheld], lines: Sequence[tuple[str, str]],
    shortest_s: Mapping[str, float],
) -> tuple[tuple[Change, ...], tuple[Withheld, ...], tuple[str, ...]]:  # fmt: skip
    """Return changes, what is held back, and the judge's words, none of which says another thing than the others.

    `lines` are the judge's words, each with its log; `shortest_s` the shortest time of each spool-up that keeps every
    known limit. The most pressing word comes first. A ramp is as the limits say. Gains and pinions are held back where
    a log asks the other way: it is flown, and the simulation does not show it; what asks for less gain stands then.
    """
    told_apart = one_way.one_way([line for _, line in lines])
    lines = [(log, line) for (log, _), line in zip(lines, told_apart, strict=True) if line != ONE_AT_A_TIME]
    lines.sort(key=lambda line: one_way.pressing(line[1]))
    against = {change.key: line for change in changes for line in lines if _against(machine, change, line[1])}
    held = [change for change in changes if change.key in against and change.key not in RAMPS]
    kept = tuple(
        replace(change, rank=rank) for rank, change in enumerate((one for one in changes if one not in held), start=1)
    )
    back = (*withheld, *(_held_back(change, against[change.key]) for change in held))
    told = [_told(machine, line, kept, back, shortest_s) for line in lines]
    return kept, back, tuple(dict.fromkeys(line for line in told if line))


def _against(machine: Machine, change: Change, line: str) -> bool:
    ways = {(one.part, one.up) for one in asked(line) if one.key == change.key}
    return any((part, not up) in ways for part, up in _turned(machine, change))


def _turned(machine: Machine, change: Change) -> Iterator[tuple[str, bool]]:
    """Yield each part of a setting that a change turns, and whether upwards."""
    today = {key: value.si for key in change.numbers if (value := machine.value(key)) is not None}
    times = {key: number / today[key] for key, number in change.numbers.items() if today.get(key)}
    if change.key != GAINS:
        yield from (("", share > 1.0) for share in times.values())
        return
    gain, time = (times.get(key, 1.0) for key in GAIN_KEYS)
    for part, share in (("proportional", gain), ("integral", gain / time)):
        if abs(share - 1.0) > TURNED_SHARE:
            yield part, share > 1.0


def _held_back(change: Change, line: tuple[str, str]) -> Withheld:
    log, words = line
    why = (
        f"the simulation asks for {change.to} ({change.what}), but what was flown in {log} asks the other way: {words}"
    )
    return Withheld(key=change.key, why=why, measure=LEARN_FIRST)


def _told(
    machine: Machine, line: tuple[str, str], changes: Sequence[Change], withheld: Sequence[Withheld],
    shortest_s: Mapping[str, float],
) -> str:  # fmt: skip
    """Return a line of the judge as it is told beside the changes; empty where what is held back says it already."""
    log, words = line
    keys = [one.key for one in asked(words)]
    change = next((one for one in changes if one.key in keys), None)
    if change is not None and _against(machine, change, words):
        return (
            f"{log}: the {change.what} came out too {'long' if 'shorter' in words else 'short'} in flight, but change "
            f"{change.rank} turns it the other way, for the limits that it names: look for what else held it up"
        )
    if change is not None:
        rest = _for_its_amount(machine, change, words.partition(". ")[2])
        return f"{log}: for the {change.what}, change {change.rank} says how far ({change.to}). {rest}".strip()
    calmer = any(one.key == GAINS and not one.up for one in asked(words))
    if any(one.key in keys for one in withheld) and not calmer:
        return ""
    return next(
        (told for one in asked(words) if (told := _too_short(machine, log, one, shortest_s))),
        words if one_way.ASKED_BY in words else f"{log}: {words}",
    )


def _for_its_amount(machine: Machine, change: Change, rest: str) -> str:
    """Return what the judge goes on to say, with its figures for the amount of the change and not for its own."""
    count = change.numbers.get(PINION)
    return rest if count is None else with_pinion(rest, machine.gears.pinion_teeth.number, count)


def _too_short(machine: Machine, log: str, one: Asked, shortest_s: Mapping[str, float]) -> str:
    """Say that a ramp is not to be shortened, where a third less breaks a known limit; empty elsewhere."""
    today, least_s = machine.value(one.key) if one.key in RAMPS else None, shortest_s.get(one.key)
    if one.up or today is None or least_s is None or A_THIRD * today.si >= least_s:
        return ""
    known = "none at any length" if least_s == float("inf") else f"{least_s:.1f} s"
    return (
        f"{log}: the {RAMPS[one.key]} came out too long, but a third shorter breaks a known limit (shortest that keeps "
        f"them all: {known}); mend what the ramp checks name first, and look for what else held it up"
    )
