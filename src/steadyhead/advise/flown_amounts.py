"""What a change makes of the figures that were flown in a log: whether its amount is enough there, too."""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from steadyhead.advise.judges_words import PINION, QUICK
from steadyhead.advise.result import Change
from steadyhead.advise.seen import Seen
from steadyhead.machine.description import Machine

DUTIES = ("hover_duty", "duty_margin")
OF_THE_LOOP = (*DUTIES, "esc_current", "cell_voltage")
"""Figures that a hunting loop makes, and not what the rotor asks of the drive."""
RPM = 30.0 / math.pi
AT_SPEED = re.compile(r"\bat (\d+) rpm\b")
SPEED_KEY = re.compile(r"flight_mode\.(\d+)\.head_speed")
SAME_SPEED = 0.03
"""Set speeds nearer together than this are one flight mode, as the judge has it."""
FULL = 0.995
"""A duty that stood at its stop says nothing of what the drive would have asked; own choice."""


def is_of_mode(machine: Machine, change: Change, one: Seen) -> bool:
    """Whether a check of a log is of the flight mode whose head speed a change moves; true of all other changes.

    Where the check does not say at which speed it was, it is of that mode only where there is no other.
    """
    mode, said = SPEED_KEY.fullmatch(change.key), AT_SPEED.search(one.check.reason)
    if mode is None or said is None:
        return mode is None or len(machine.flight_mode) == 1
    speed = machine.flight_mode[int(mode.group(1)) - 1].head_speed.si * RPM
    return abs(float(said.group(1)) - speed) <= SAME_SPEED * speed


def not_of_a_swinging_loop(logged: Sequence[Seen]) -> tuple[Seen, ...]:
    """Return checks of logs without duty, current and cells of those in which the head hunts."""
    hunting = {one.part for one in logged if one.check.check == "no_hunting" and one.fails}
    return tuple(one for one in logged if one.part not in hunting or one.check.check not in OF_THE_LOOP)


def with_flown(machine: Machine, change: Change, logged: Sequence[Seen]) -> Change:
    """Return a change with a remark on each flown figure that its amount leaves on the wrong side of its limit."""
    short = tuple(_too_little(machine, change, logged))
    return replace(change, note="; ".join((change.note, *short) if change.note else short)) if short else change


def _too_little(machine: Machine, change: Change, logged: Sequence[Seen]) -> Iterator[str]:
    for one in logged:
        figure, limit = one.check.figure, one.check.limit
        if not one.fails or figure is None or limit is None or not is_of_mode(machine, change, one):
            continue
        after = _flown_after(machine, change, one.check.check, figure)
        beyond = after is not None and (after < limit if one.check.limit_text.startswith(">=") else after > limit)
        if after is not None and beyond:
            name, unit = one.check.check.replace("_", " "), f" {one.check.unit}".rstrip()
            away = abs(after - limit) > abs(figure - limit)
            how = "turns what was flown the wrong way" if away else "not enough for what was flown"
            yield (
                f"{how}: {name} of {figure:.3g}{unit} comes to about {after:.3g}{unit}, limit {one.check.limit_text}"
            )


def _flown_after(machine: Machine, change: Change, check: str, figure: float) -> float | None:
    """Return what a change makes of a flown figure; None where it does not move it in a plain way.

    Duty goes with the head speed and against the teeth of the pinion; a restart takes as much less as its ramp does.
    """
    to = change.numbers.get(change.key)
    today = None if to is None else machine.value(change.key)
    if today is None or to is None:
        return None
    if check in DUTIES and figure < FULL:
        if change.key == PINION:
            return figure * today.si / to
        return figure * to / today.si if SPEED_KEY.fullmatch(change.key) else None
    return figure + to - today.si if check == "quick_restart_time" and change.key == QUICK else None
