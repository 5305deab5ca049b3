"""Held speeds of which half or a third would sound alike: gears and windings may share every strong line."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from steadyhead.judge.held_heard import SpeedHeard
from steadyhead.trace.heard import BLADE_WORDS, Heard
from steadyhead.trace.sound_lines import Line, SoundGearing
from steadyhead.trace.sound_parted import PARTS, Parting, parting, shares_all
from steadyhead.trace.sound_unexplained import own_orders, stretch_in

PART_SAYS = {2: "half", 3: "a third"}
OPEN_SAYS = (
    "{rpm:.0f} rpm, heard from {start:.1f} to {end:.1f} s, or {part} as much, {other:.0f} rpm: with these teeth and "
    "poles every strong line of gears and motor is the same at both, and what would part them was not heard; no "
    "reading of a flight mode is taken from it: read the head itself once, as with an optical tachometer"
)
LOWER_SAYS = (
    "{rpm:.0f} rpm explains what was heard from {start:.1f} to {end:.1f} s, but tones stand there that only {part} as "
    "much, {other:.0f} rpm, makes: it is not told as held; read the head itself, as with an optical tachometer"
)


class Parted(NamedTuple):
    """Held speeds, less those that a part of them explains better; what to say; whether a part of one is as likely."""

    held: tuple[SpeedHeard, ...]
    words: tuple[str, ...]
    is_open: bool


def parted(
    path: Path, sound: Heard, lines: tuple[Line, ...], gearing: SoundGearing, held: tuple[SpeedHeard, ...]
) -> Parted:
    """Return the held speeds with those taken out of which a part is heard, and no flight mode where it may be.

    Valid: main blades settle it by themselves: their odd multiples would be heard at the part; a tail drive may sound
    as tail blades, so those do not.
    Raises: InputError when the file cannot be heard.
    """
    if BLADE_WORDS[0] in sound.blades:
        return Parted(held, (), is_open=False)
    kept, words, is_open = [], [], False
    for one in held:
        found = tuple(_partings(path, sound, lines, gearing, one))
        lower = [part for part, said in found if said is Parting.PART]
        as_likely = [part for part, said in found if said is Parting.OPEN]
        if lower:
            words.append(_said(LOWER_SAYS, one, lower[0]))
        elif as_likely:
            is_open = True
            kept.append(replace(one, mode=None, channel_percent=None, parts_open=tuple(as_likely)))
            words += [_said(OPEN_SAYS, one, part) for part in as_likely]
        else:
            kept.append(one)
    return Parted(tuple(kept), tuple(words), is_open)


def _partings(
    path: Path, sound: Heard, lines: tuple[Line, ...], gearing: SoundGearing, one: SpeedHeard
) -> Iterator[tuple[int, Parting]]:
    """Return what is heard of each part; what lacks a strong line of its own needs no proof against it."""
    stretch = stretch_in(path, sound, (one.start_s, one.end_s))
    for part in PARTS:
        said = Parting.OPEN if stretch is None else parting(stretch, lines, part, own_orders(gearing))
        if said is Parting.PART or shares_all(lines, part):
            yield part, said


def _said(words: str, one: SpeedHeard, part: int) -> str:
    rpm = one.head_speed_rpm
    return words.format(rpm=rpm, start=one.start_s, end=one.end_s, part=PART_SAYS[part], other=rpm / part)
