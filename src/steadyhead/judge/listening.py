"""What `listen` answers, and how a recording is judged: by the judge of logs, with the doubt of the ear."""

from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from steadyhead.channel.result import Reading
from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement, Segment
from steadyhead.judge.sound_of import sound_gearing_of, top_rpm_of
from steadyhead.machine.description import Machine
from steadyhead.machine.tables.channel import FlightMode
from steadyhead.trace.heard import CLOCK_SHARE, FEWEST_FRAMES, Heard, heard_trace, listened
from steadyhead.trace.sound_lines import FAMILIES, lines_of
from steadyhead.trace.sound_spectrum import HOP_S
from steadyhead.trace.trace import Series, Trace
from steadyhead.words.errors import InputError
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome, Verdict, worst

TIME_DOUBT_S = 0.1
"""A window of sound smears a moment over this long."""
AFTER_CHANGE_S = 1.5
BEFORE_CHANGE_S = 0.5
"""What is left out of a governed segment at its ends: the speed still moves there."""
NEAR_SET_SHARE = 0.04
"""Wide enough for a head that hunts, narrow enough to leave out the way to another speed."""
SAME_SPEED_SHARE = 0.01
NEAR_MODE_SHARE = 0.2
_EAR = (
    "a microphone hears the machine's own speed only while the two keep their distance: 1 m/s towards it or away "
    "sounds 0.3 % fast or slow"
)
_NOTHING = "no rotor of this machine was heard: is it the right machine file, and was the microphone near?"


@dataclass(frozen=True, kw_only=True)
class LinesHeard:
    """One family of lines of the machine."""

    family: str
    share: float
    """Share of the claimed frames in which it was heard, 0 to 1."""


@dataclass(frozen=True, kw_only=True)
class SpeedHeard:
    """One head speed that was held, and the flight mode that it is."""

    start_s: float
    end_s: float
    head_speed_rpm: float
    head_speed_rpm_interval: tuple[float, float]
    mode: str | None
    """None where no flight mode of the machine file is near, or several are."""
    channel_percent: float | None
    """Channel value of that flight mode, from the machine file."""


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
    """Chance that the speed is right within 0.5 %; a frame counts as heard from 0.9."""
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


def listen(machine: Machine, path: Path, say: Say = silent) -> Listening:
    """Return what a recording tells of the head speed, judged as a log is.

    Valid: microphone and machine at rest to each other; checks that need other channels are unknown.
    Raises: InputError when the file cannot be heard.
    """
    sound = listened(path, lines_of(sound_gearing_of(machine)), top_rpm_of(machine), say)
    say("judge what was heard")
    trace = heard_trace(sound) if sound.is_heard else _silence(sound)
    judged = _with_doubt(judge(machine, trace, blades_heard=sound.hears_blades), sound.doubt_share)
    frames, claimed = sound.frames, sound.claimed & sound.is_heard
    warnings = judged.warnings if sound.is_heard else (_NOTHING, *judged.warnings)
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
        set_speeds=_set_speeds(judged, machine),
        segments=judged.segments,
        checks=judged.checks,
        advice=judged.advice,
        warnings=(*warnings, _EAR) if sound.is_heard else warnings,
        history=judged.history,
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
            source=f"{heard.wav}, {speed.start_s:.1f} to {speed.end_s:.1f} s",
        )
        for speed in sorted(heard.set_speeds, key=lambda speed: speed.channel_percent or 0.0)
    )


def _silence(sound: Heard) -> Trace:
    return Trace(
        source=sound.name,
        time_s=sound.frames.time_s,
        channels={},
        rows_read=int(sound.frames.time_s.size),
        warnings=sound.warnings,
    )


def _set_speeds(judged: Judgement, machine: Machine) -> tuple[SpeedHeard, ...]:
    """Return the set speeds that were held, joined where they are alike, each with its flight mode.

    Equation: mean over what was heard within 4 % of the set speed of each governed segment, without its first 1.5 s
    and last 0.5 s; half width of the 90 % interval: 1.645 standard deviations over the root of the seconds, at least
    the doubt of the clock.
    """
    speed, time_s = judged.trace.get("head_speed_rpm"), judged.trace.time_s
    parts: list[tuple[float, float, Series]] = []
    for segment in judged.segments if speed is not None else ():
        start_s, end_s = segment.start_s + AFTER_CHANGE_S, segment.end_s - BEFORE_CHANGE_S
        inside = np.asarray(speed)[(time_s >= start_s) & (time_s <= end_s)]
        inside = inside[np.abs(inside / (segment.set_rpm or np.nan) - 1.0) < NEAR_SET_SHARE]
        if segment.kind != "governed" or inside.size < FEWEST_FRAMES:
            continue
        if parts and abs(inside.mean() / parts[-1][2].mean() - 1.0) < SAME_SPEED_SHARE:
            parts[-1] = (parts[-1][0], end_s, np.concatenate((parts[-1][2], inside)))
        else:
            parts.append((start_s, end_s, inside))
    return _named([_held(*part) for part in parts], machine.flight_mode)


def _held(start_s: float, end_s: float, speed_rpm: Series) -> SpeedHeard:
    mean = float(speed_rpm.mean())
    seconds = max(HOP_S * speed_rpm.size, 1.0)
    spread = max(1.645 * float(speed_rpm.std()) / seconds**0.5, CLOCK_SHARE * mean)
    return SpeedHeard(
        start_s=start_s,
        end_s=end_s,
        head_speed_rpm=mean,
        head_speed_rpm_interval=(mean - spread, mean + spread),
        mode=None,
        channel_percent=None,
    )


def _named(found: list[SpeedHeard], modes: tuple[FlightMode, ...]) -> tuple[SpeedHeard, ...]:
    """Give each speed its flight mode: in order where there are as many of both, else the only one that is near.

    A flight mode that two speeds would share is given to neither.
    """
    levels = _levels(found)
    ranked = sorted(modes, key=lambda mode: mode.head_speed.number)
    own: list[FlightMode | None] = []
    for number, level in enumerate(levels):
        near = [m for m in ranked if abs(m.head_speed.number / level - 1.0) < NEAR_MODE_SHARE]
        if len(levels) == len(ranked):
            near = [ranked[number]] if ranked[number] in near else []
        own.append(near[0] if len(near) == 1 else None)
    own = [mode if mode is not None and own.count(mode) == 1 else None for mode in own]
    return tuple(_of_mode(speed, own[_level_of(speed, levels)]) for speed in found)


def _levels(found: list[SpeedHeard]) -> list[float]:
    """Return the different speeds, lowest first: those that differ by more than SAME_SPEED_SHARE."""
    levels: list[float] = []
    for rpm in sorted(speed.head_speed_rpm for speed in found):
        if not levels or rpm > levels[-1] * (1.0 + SAME_SPEED_SHARE):
            levels.append(rpm)
    return levels


def _level_of(speed: SpeedHeard, levels: list[float]) -> int:
    return min(range(len(levels)), key=lambda k: abs(levels[k] - speed.head_speed_rpm))


def _of_mode(speed: SpeedHeard, mode: FlightMode | None) -> SpeedHeard:
    if mode is None:
        return speed
    flat = mode.channel if mode.channel_low is None else None
    return replace(speed, mode=mode.name, channel_percent=None if flat is None else 100.0 * flat.si)


def _with_doubt(judged: Judgement, doubt_share: float) -> Judgement:
    """Return the judgement with the doubt of the ear on every figure of speed and time."""
    checks = tuple(_widened(check, doubt_share) for check in judged.checks)
    return replace(judged, checks=checks, verdict=worst(check.verdict for check in checks))


def _widened(check: Verdict, doubt_share: float) -> Verdict:
    """Return one check with its interval widened; a pass whose interval then reaches over the limit is unknown."""
    if check.figure is None or check.limit is None:
        return check
    wide = {"%": 100.0 * doubt_share, "s": TIME_DOUBT_S}.get(check.unit, check.figure * (doubt_share + CLOCK_SHARE))
    low, high = check.figure_interval or (check.figure, check.figure)
    interval = (low - wide, high + wide)
    if check.unit in ("%", "s"):
        interval = (max(0.0, interval[0]), interval[1])
    over = interval[0] < check.limit if check.limit_text.startswith(">=") else interval[1] > check.limit
    if check.verdict is Outcome.PASS and over:
        return replace(
            check,
            verdict=Outcome.UNKNOWN,
            figure_interval=interval,
            reason=f"{check.reason}, but heard from {interval[0]:.4g} to {interval[1]:.4g}: it may not hold",
            needs=(*check.needs, "a log of the head speed, or a clearer recording"),
        )
    return replace(check, figure_interval=interval)
