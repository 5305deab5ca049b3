"""Hears the head speed while it is spoken into a microphone, half a second behind."""

from collections import deque
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.sound_of import sound_gearing_of, top_rpm_of
from steadyhead.machine.description import Machine
from steadyhead.trace.heard import CLOCK_SHARE, blades_in
from steadyhead.trace.sound_file import LowPass, thinning_of
from steadyhead.trace.sound_lines import lines_of
from steadyhead.trace.sound_spectrum import HOP_S
from steadyhead.trace.sound_tracker import CLAIMED_FROM, Frames, Tracker
from steadyhead.words.errors import InputError

FULL_SCALE = 32768.0
LONGEST_S = 900.0
"""A line that stays open longer is closed: a bench step takes seconds."""
TAKEN_S = 3.0
KEPT_S = 10.0
"""Only so much sound is held, the newest: what a reading rests on, and what led to it."""
TAKEN_SHARE = 0.8
"""A reading needs this share of the last seconds heard."""
STEADY_SHARE = 0.01
LOOK_AHEAD_S = 0.3
"""A little less than for a file, so that a page, which adds some, is not more than half a second behind."""
RATES_HZ = (8000.0, 192000.0)


@dataclass(frozen=True, kw_only=True)
class FrameHeard:
    """One frame; head_speed_rpm is None where nothing was heard surely enough."""

    time_s: float
    head_speed_rpm: float | None
    confidence: float


@dataclass(frozen=True, kw_only=True)
class Told:
    """The frames that became ready, and how far the last lies behind the sound that came in."""

    frames: tuple[FrameHeard, ...]
    behind_s: float
    blades: tuple[str, ...]
    """Blades that are heard to pass in the last seconds: main blades, tail blades."""


@dataclass(frozen=True, kw_only=True)
class SpeedTaken:
    """A head speed that was held, taken from the last seconds; `spread_rpm` is the half width of its 90 % interval."""

    head_speed_rpm: float
    spread_rpm: float
    seconds: float
    blades: tuple[str, ...]
    """Blades that are heard to pass in them."""
    rate_hz: float
    sound: NDArray[np.int16] = field(repr=False)
    """The last sound up to then, KEPT_S at most; it is in no file before `write`."""

    @property
    def sound_s(self) -> float:
        """How long the sound is, s."""
        return float(self.sound.size / self.rate_hz)

    def write(self, path: Path) -> Path:
        """Write the sound as a WAV file, as evidence, and return its path."""
        import soundfile

        soundfile.write(path, self.sound, round(self.rate_hz), subtype="PCM_16")
        return path


class LiveEar:
    """One open line from a microphone.

    Raises: InputError for a sample rate that no microphone has.
    """

    def __init__(self, machine: Machine, rate_hz: float) -> None:
        if not RATES_HZ[0] <= rate_hz <= RATES_HZ[1]:
            raise InputError("the microphone", read=f"{rate_hz:g} samples a second", right="8000 to 192000")
        self.rate_hz = rate_hz
        thin = thinning_of(rate_hz)
        self._low_pass = LowPass(thin)
        lines = lines_of(sound_gearing_of(machine))
        self._tracker = Tracker(
            lines,
            rate_hz / thin,
            top_rpm_of(machine),
            look_ahead_s=LOOK_AHEAD_S,
        )
        self._samples = 0
        self._kept: NDArray[np.int16] = np.zeros(0, np.int16)
        self._last: deque[FrameHeard] = deque(maxlen=round(TAKEN_S / HOP_S))
        self._frames: Frames | None = None

    def push(self, block: bytes) -> Told:
        """Take the next samples, 16-bit numbers, lowest byte first; return the frames that are ready.

        Raises: InputError when the block is no whole number of samples, or the line was open too long.
        """
        if len(block) % 2:
            raise InputError("the microphone", read=f"{len(block)} bytes", right="16-bit samples, two bytes each")
        samples = np.frombuffer(block, "<i2")
        self._samples += samples.size
        if self._samples > LONGEST_S * self.rate_hz:
            raise InputError("the microphone", read="a line open for a quarter of an hour", right="begin it anew")
        self._kept = np.concatenate((self._kept, samples))[-round(KEPT_S * self.rate_hz) :]
        frames = self._tracker.push(self._low_pass.thinned((samples / FULL_SCALE).astype(np.float32)))
        claimed = frames.confidence >= CLAIMED_FROM
        found = tuple(
            FrameHeard(
                time_s=round(float(time_s), 4),
                head_speed_rpm=round(float(rpm), 1) if sure else None,
                confidence=round(float(confidence), 3),
            )
            for time_s, rpm, confidence, sure in zip(
                frames.time_s, frames.head_speed_rpm, frames.confidence, claimed, strict=True
            )
        )
        self._last.extend(found)
        self._frames = frames if self._frames is None else Frames.joined([self._frames, frames])
        self._frames = self._frames.last(round(TAKEN_S / HOP_S))
        now_s = self._samples / self.rate_hz
        behind_s = now_s - self._last[-1].time_s if self._last else now_s
        return Told(frames=found, behind_s=round(behind_s, 3), blades=self.blades())

    def blades(self) -> tuple[str, ...]:
        """Return which blades were heard to pass in the last seconds of sound."""
        return () if self._frames is None else blades_in(self._frames)

    def taken(self) -> SpeedTaken:
        """Return the head speed that was held over the last seconds.

        Equation: mean; half width 1.645 standard deviations over the root of the seconds, at least the sound card's
        clock.
        Raises: InputError when too little of it was heard, or the speed moved.
        """
        heard = np.array([frame.head_speed_rpm for frame in self._last if frame.head_speed_rpm is not None])
        whole = self._last.maxlen or 1
        if heard.size < TAKEN_SHARE * whole:
            right = f"{TAKEN_S:g} s at one head speed, the microphone near"
            raise InputError("the microphone", read=f"{100 * heard.size // whole} % of the last seconds", right=right)
        mean, spread = float(heard.mean()), float(heard.std())
        if spread > STEADY_SHARE * mean:
            raise InputError("the microphone", read=f"a speed that moves, ± {spread:.0f} rpm", right="a steady speed")
        seconds = HOP_S * heard.size
        wide = max(1.645 * spread / seconds**0.5, CLOCK_SHARE * mean)
        return SpeedTaken(
            head_speed_rpm=round(mean, 1),
            spread_rpm=round(wide, 1),
            seconds=round(seconds, 2),
            blades=self.blades(),
            rate_hz=self.rate_hz,
            sound=self._kept,
        )
