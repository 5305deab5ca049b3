"""What `listen` answers, and how a recording is judged: by the judge of logs, with the doubt of the ear."""

from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from steadyhead.channel.result import MOTOR_SIDE, Reading
from steadyhead.judge.as_heard import NO_DRIVE, as_heard
from steadyhead.judge.beyond_reach import within_reach
from steadyhead.judge.half_heard import octave_told, reach_told, sure_speeds, twice_open
from steadyhead.judge.held_heard import SpeedHeard, held_speeds, moved_speeds
from steadyhead.judge.judging import judge
from steadyhead.judge.left_speed import less_falls
from steadyhead.judge.part_heard import PART_SAYS, parted
from steadyhead.judge.result import Judgement, Segment
from steadyhead.judge.soft_start_heard import soft_start_heard
from steadyhead.judge.sound_of import sound_gearing_of, top_rpm_of
from steadyhead.judge.speed_heard import SpeedDoubt, moves_m_s, moves_share
from steadyhead.judge.taken_back_told import taken_back_told
from steadyhead.judge.unheard_speed import long_unheard, unheard
from steadyhead.machine.description import Machine
from steadyhead.trace.heard import BLADE_WORDS, NO_BLADES_SHARE, Heard, foot_drawn, heard_trace, listened
from steadyhead.trace.heard_rival import taken_back
from steadyhead.trace.sound_lines import BLADES, FAMILIES, lines_of
from steadyhead.trace.sound_unexplained import explained_in
from steadyhead.trace.trace import Trace
from steadyhead.words.errors import InputError
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome, Verdict

LEVEL_S = 1.5
"""A head that stands on a level for so long is set so: what is heard trembles little, and a recording is short. A
droop that lasts as long is then no verdict either. Own choice."""
_EAR = (
    "a microphone hears the machine's own speed only while the two keep their distance: 1 m/s towards it or away "
    "sounds 0.3 % fast or slow"
)
_FLIES = (
    "blades are heard, so the machine may have flown towards or from the microphone, which sounds fast or slow: every "
    "head speed may be off by as much as {:g} m/s (limits.forward_speed) shift it, {:.0f} %, as its interval says and "
    "the confidence of a frame does not; "
    "where it stood or hovered in one place say so (--in-place)"
)
_IN_PLACE = "said to have stood or hovered in one place: its own movement is taken to shift no speed"
_MOTOR_SIDE = (
    "no blades were heard, only motor and gears: they turn as one whatever the main gear, so a main gear or a pinion "
    "other than in the machine file would sound alike, at another head speed"
)
_SHARED = (
    "{} may be the motor: on this machine they sound at a multiple of its turns, so they tell neither blades nor head; "
    "motor and gears turn as one whatever the main gear, so another main gear or pinion than in the machine file would "
    "sound alike, at another head speed"
)
_NOT_BLADES = (
    "lines counted as {} lie where gears, motor or the turns of the head sound, too: those that only blades make were "
    "hardly heard, so they show no blades"
)
LEAST_EXPLAINED = 0.5
"""Less than half of the strongest tones is little for a machine that is heard alone; own choice."""
_FOREIGN = (
    "most of the strongest tones in the recording are none that this machine can make at the speed that fits best: "
    "another machine or source is heard, perhaps alone; no head speed is told as held: record this machine alone, and "
    "check teeth, blades and tail ratio in the machine file"
)
_NOTHING = "no rotor of this machine was heard: is it the right machine file, and was the microphone near?"


@dataclass(frozen=True, kw_only=True)
class LinesHeard:
    """One family of lines of the machine."""

    family: str
    share: float
    """Share of the claimed frames in which it was heard, 0 to 1."""


@dataclass(frozen=True, kw_only=True)
class Listening:
    """A recording, heard and judged. Times are seconds after its first sample."""

    wav: str
    machine: str
    heard: bool
    duration_s: float
    sample_rate_hz: int
    time_s: tuple[float, ...]
    head_speed_rpm: tuple[float | None, ...]
    """None where nothing was heard surely enough."""
    confidence: tuple[float, ...]
    """Chance that the speed that the tones tell where they are recorded is right within 0.5 %; a frame counts as heard
    from 0.9. How much a machine that flies towards or from the microphone shifts them is left out: see warnings."""
    share_heard: float
    """Share of all frames that are heard."""
    speed_doubt_percent: float
    """Half width of the 90 % interval of one frame, the recorder's clock (0.1 %) left out."""
    lines: tuple[LinesHeard, ...]
    set_speeds: tuple[SpeedHeard, ...]
    segments: tuple[Segment, ...]
    checks: tuple[Verdict, ...]
    advice: tuple[str, ...]
    warnings: tuple[str, ...]
    history: tuple[str, ...]
    unknowns: tuple[str, ...]
    typical: tuple[str, ...]
    cautions: tuple[str, ...]
    verdict: Outcome
    judgement: Judgement = field(metadata={"json": False}, repr=False)
    sound: Heard = field(metadata={"json": False}, repr=False)


def listen(machine: Machine, path: Path, say: Say = silent, *, in_place: bool = False) -> Listening:
    """Return what a recording tells of the head speed, judged as a log is.

    `in_place` says that the machine stood or hovered in one place; else one whose blades are heard may have flown.
    Valid: microphone and machine at rest to each other; checks that need other channels are unknown.
    Raises: InputError when the file cannot be heard.
    """
    lines = lines_of(sound_gearing_of(machine))
    sound = within_reach(listened(path, lines, top_rpm_of(machine), say), machine)
    say("judge what was heard")
    trace = heard_trace(sound) if sound.is_heard else _silence(sound)
    judged = judge(machine, trace, blades_heard=sound.hears_blades, bare_heard=sound.hears_drive_alone, level_s=LEVEL_S)
    judged = _less_falls(judged, sound)
    every = _held(judged, machine)
    moves = moves_m_s(machine, blades_heard=bool(sound.blades), in_place=in_place)
    held = moved_speeds(sure_speeds(machine, every, head_heard=sound.hears_head), moves, machine.flight_mode)
    foreign = _is_foreign(path, sound, machine, held)
    apart = parted(path, sound, lines, sound_gearing_of(machine), held if sound.hears_drive and not foreign else ())
    held = apart.held
    held_rpm = max((speed.head_speed_rpm for speed in held), default=None)
    judged = soft_start_heard(judged, machine, foot_drawn(sound) if sound.is_heard else None)
    holes = unheard(sound.frames.time_s, sound.frames.head_speed_rpm, sound.claimed, judged.segments)
    doubt = SpeedDoubt(
        frame_share=sound.doubt_share,
        moves_m_s=moves,
        head_heard=sound.hears_head,
        twice_open=twice_open(machine, every),
        part_open=apart.is_open,
        highest_rpm=sound.highest_rpm,
        holes=holes,
    )
    judged = as_heard(judged, doubt, held_rpm=held_rpm, foreign=foreign, drive_heard=sound.hears_drive)
    frames, claimed = sound.frames, sound.claimed & sound.is_heard
    warnings = judged.warnings if sound.is_heard else (_nothing(machine, sound), *judged.warnings)
    return Listening(
        wav=sound.name,
        machine=machine.name,
        heard=sound.is_heard,
        duration_s=sound.duration_s,
        sample_rate_hz=sound.rate_hz,
        time_s=tuple(np.round(frames.time_s, 4).tolist()),
        head_speed_rpm=tuple(
            round(rpm, 2) if sure else None
            for rpm, sure in zip(frames.head_speed_rpm.tolist(), claimed.tolist(), strict=True)
        ),
        confidence=tuple(np.round(frames.confidence, 4).tolist()),
        share_heard=float(claimed.mean()) if claimed.size else 0.0,
        speed_doubt_percent=100.0 * sound.doubt_share,
        lines=tuple(LinesHeard(family=name, share=round(sound.shares[name], 3)) for name in FAMILIES),
        set_speeds=held,
        segments=judged.segments,
        checks=judged.checks,
        advice=judged.advice,
        warnings=(
            *((_FOREIGN,) if foreign else ()),
            *apart.words,
            *warnings,
            *long_unheard(holes, judged.segments),
            *((*_told(machine, every, sound), *_doubts(sound, moves)) if sound.is_heard else ()),
        ),
        history=(*judged.history, *((_IN_PLACE,) if in_place else ())),
        unknowns=judged.unknowns,
        typical=judged.typical,
        cautions=judged.cautions,
        verdict=judged.verdict,
        judgement=judged,
        sound=sound,
    )


def readings_heard(heard: Listening) -> tuple[Reading, ...]:
    """Return a reading for each set speed of a recording whose flight mode and channel value are known.

    Raises: InputError when a speed that was held cannot be given to one flight mode.
    """
    if not heard.set_speeds:
        raise InputError(heard.wav, read="no head speed that is held", right="a recording of each flight mode")
    for speed in heard.set_speeds:
        if speed.parts_open:
            raise InputError(
                heard.wav,
                read=f"{speed.head_speed_rpm:.0f} rpm, of which {_parts_of(speed)} would sound alike",
                right='a reading of the head itself, as with an optical tachometer, typed in as in "--reading 70=1650"',
            )
        if speed.channel_percent is None:
            raise InputError(
                heard.wav,
                read=f"{speed.head_speed_rpm:.0f} rpm, which is no one flight mode with a channel value",
                right=f'the channel value typed in, as in "--reading 70={speed.head_speed_rpm:.0f}"',
            )
    return tuple(
        Reading(
            percent=speed.channel_percent or 0.0,
            head_speed_rpm=speed.head_speed_rpm,
            spread_rpm=0.5 * (speed.head_speed_rpm_interval[1] - speed.head_speed_rpm_interval[0]),
            source=f"{heard.wav}, {speed.start_s:.1f} to {speed.end_s:.1f} s"
            + ("" if heard.sound.hears_head else f", {MOTOR_SIDE}"),
        )
        for speed in sorted(heard.set_speeds, key=lambda speed: speed.channel_percent or 0.0)
    )


def _parts_of(speed: SpeedHeard) -> str:
    return " or ".join(PART_SAYS[part] for part in speed.parts_open)


def _less_falls(judged: Judgement, sound: Heard) -> Judgement:
    speed = judged.trace.get("head_speed_rpm")
    if speed is None:
        return judged
    segments, words = less_falls(judged.segments, judged.trace.time_s, np.asarray(speed), sound.silent_spans)
    return replace(judged, segments=segments, warnings=(*judged.warnings, *words))


def _held(judged: Judgement, machine: Machine) -> tuple[SpeedHeard, ...]:
    speed = judged.trace.get("head_speed_rpm")
    if speed is None:
        return ()
    return held_speeds(judged.segments, judged.trace.time_s, np.asarray(speed), machine.flight_mode)


def _is_foreign(path: Path, sound: Heard, machine: Machine, held: tuple[SpeedHeard, ...]) -> bool:
    """Whether the strongest tones are not the machine's, at the speed that was held longest."""
    longest = max(held, key=lambda one: one.end_s - one.start_s, default=None)
    if longest is None:
        return False
    share = explained_in(path, sound, sound_gearing_of(machine), (longest.start_s, longest.end_s))
    return share is not None and share < LEAST_EXPLAINED


def _nothing(machine: Machine, sound: Heard) -> str:
    """Return why no rotor was heard: what was heard and taken back, where that is why."""
    told = taken_back_told(taken_back(sound.frames), machine.flight_mode)
    return f"no rotor of this machine was heard surely enough: {told}" if told else _NOTHING


def _told(machine: Machine, held: tuple[SpeedHeard, ...], sound: Heard) -> tuple[str, ...]:
    return (*octave_told(machine, held, head_heard=sound.hears_head), *reach_told(machine, held))


def _doubts(sound: Heard, moves: float) -> tuple[str, ...]:
    own = _FLIES.format(moves, 100.0 * moves_share(moves)) if moves else _EAR
    ear = (own, *(() if sound.hears_drive else (f"{NO_DRIVE}: no head speed is told as held, and nothing is judged",)))
    ear += _no_blades(sound)
    if sound.hears_head:
        return ear
    return (*ear, _SHARED.format(" and ".join(sound.blades)) if sound.blades else _MOTOR_SIDE)


def _no_blades(sound: Heard) -> tuple[str, ...]:
    """Return in words which lines were counted as those of blades though blades were not heard."""
    words = dict(zip(BLADES, BLADE_WORDS, strict=True))
    found = [one for one in BLADES if sound.shares[one] >= NO_BLADES_SHARE and words[one] not in sound.blades]
    told = " and ".join(f"{one} ({100.0 * sound.shares[one]:.0f} %)" for one in found)
    return (_NOT_BLADES.format(told),) if found else ()


def _silence(sound: Heard) -> Trace:
    return Trace(
        source=sound.name,
        time_s=sound.frames.time_s,
        channels={},
        rows_read=int(sound.frames.time_s.size),
        warnings=sound.warnings,
    )
