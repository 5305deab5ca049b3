"""What was heard in a whole recording, and the trace that it makes for the judge."""

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.heard_drive import FAMILY_HEARD, OF_DRIVE, OF_MOTOR, motor_silent
from steadyhead.trace.heard_start import BRIDGED_S, FEWEST_FRAMES, Foot, rise_drawn
from steadyhead.trace.heard_whole import of_one_rotor
from steadyhead.trace.sound_file import opened
from steadyhead.trace.sound_lines import BLADES, FAMILIES, Line, head_tells
from steadyhead.trace.sound_spectrum import HOP_S
from steadyhead.trace.sound_tracker import CLAIMED_FROM, Floats, Frames, Tracker
from steadyhead.trace.trace import Trace
from steadyhead.words.progress import Say, silent

BLOCK_S = 6.4
SLICES = 20
"""How often progress is told."""
MAP_COLUMNS = 600
CLOCK_SHARE = 0.001
"""Sound cards and telephones keep their sample rate within this share; common practice, no source."""
BLADES_SHARE = 0.5
"""Blades are heard when their lines are there in more than this share of the claimed frames."""
DRIVE_FROM_SHARE = 0.3
"""Gears or windings are heard in more than this share of the claimed frames of a machine: of 118 invented recordings
with blades on that passed a limit all had 0.58 or more, one of a lawn mower alone 0.02. Own choice."""
ALONE_FROM_S, DRIVE_SHARE, NO_BLADES_SHARE = 5.0, 0.9, 0.1
"""Gears and motor are heard alone for so long, in such a share of the frames, with blades in less; own choices."""
BLADE_WORDS = ("main blades", "tail blades")


@dataclass(frozen=True, kw_only=True)
class Heard:
    """A recording, heard. Shapes: evidence (columns, speeds): how well each speed explains the sound."""

    name: str
    duration_s: float
    rate_hz: int
    frames: Frames
    warnings: tuple[str, ...]
    evidence: NDArray[np.float32]
    speeds_rpm: Floats
    channels: tuple[int, ...]
    """The channels of the file that were heard, from 0."""
    told_at_head: tuple[str, ...] = BLADES
    """The families of blade lines that nothing of the motor can sound on this machine."""

    @property
    def claimed(self) -> NDArray[np.bool_]:
        """Which frames are heard surely enough. Shapes: (n,)."""
        return np.asarray(self.frames.confidence >= CLAIMED_FROM)

    @property
    def is_heard(self) -> bool:
        """Whether half a second of it or more is heard."""
        return int(self.claimed.sum()) >= FEWEST_FRAMES

    @property
    def blades(self) -> tuple[str, ...]:
        """Which blades are heard to pass: main blades, tail blades, both or none."""
        return blades_in(self.frames)

    @property
    def hears_blades(self) -> bool:
        """Whether main and tail blades are heard to pass most of the time: then they are fitted."""
        return self.hears_head and all(self.shares[family] > BLADES_SHARE for family in BLADES)

    @property
    def hears_head(self) -> bool:
        """Whether main or tail blades are heard: only they tell how fast the head turns behind motor and gears.

        Valid: blades whose lines fall on those of the motor are no evidence of the head.
        """
        names = dict(zip(BLADES, BLADE_WORDS, strict=True))
        return any(names[family] in self.blades for family in self.told_at_head)

    @property
    def hears_drive(self) -> bool:
        """Whether gears or windings are heard beside blades: tones at the ratio of two sorts of blades may be others'.

        Valid: an engine with half orders fits tail ratios such as 4.5.
        """
        there = self.frames.heard[self.claimed][:, OF_DRIVE] > FAMILY_HEARD
        return bool(there.size and there.any(axis=1).mean() > DRIVE_FROM_SHARE)

    @property
    def hears_drive_alone(self) -> bool:
        """Whether gears and motor are heard most of the time, for some seconds, and blades hardly ever.

        Valid: of machines with blades on that were heard all had their blades heard; a microphone without low tones
        still hears their multiples.
        """
        if self.claimed.sum() * HOP_S < ALONE_FROM_S:
            return False
        there = self.frames.heard[self.claimed] > FAMILY_HEARD
        drive = there[:, OF_MOTOR].any(axis=1).mean()
        blades = (self.frames.blades[self.claimed] > FAMILY_HEARD).mean(axis=0).max()
        return bool(drive > DRIVE_SHARE and blades < NO_BLADES_SHARE)

    @property
    def shares(self) -> dict[str, float]:
        """In which share of the claimed frames each family of lines is heard."""
        if not self.claimed.any():
            return dict.fromkeys(FAMILIES, 0.0)
        found = (self.frames.heard[self.claimed] > FAMILY_HEARD).mean(axis=0)
        return dict(zip(FAMILIES, found.tolist(), strict=True))

    @property
    def highest_rpm(self) -> float | None:
        """The highest head speed that is heard surely enough, also where the motor is silent; None without one."""
        return float(self.frames.head_speed_rpm[self.claimed].max()) if self.claimed.any() else None

    def seconds(self, frames: NDArray[np.bool_]) -> float:
        """Return how long so many frames last, s."""
        return float(frames.sum() * HOP_S)

    @property
    def silent_spans(self) -> tuple[tuple[float, float], ...]:
        """Start and end of each time in which the motor is silent while blades are heard, s."""
        silent = np.flatnonzero(motor_silent(self.frames.heard, self.claimed))
        pieces = np.split(silent, np.flatnonzero(np.diff(silent) > 1) + 1) if silent.size else []
        times = self.frames.time_s
        return tuple((float(times[piece[0]]), float(times[piece[-1]])) for piece in pieces)

    @property
    def doubt_share(self) -> float:
        """Doubt of one frame's speed: half width of its 90 % interval, a share, the recorder's clock left out."""
        claimed = self.claimed
        if not claimed.any():
            return 1.0
        each = self.frames.doubt_rpm[claimed] / self.frames.head_speed_rpm[claimed]
        return max(2.0 * 1.645 * float(np.median(each)), LEAST_DOUBT_SHARE)


LEAST_DOUBT_SHARE = 0.001


def blades_in(frames: Frames) -> tuple[str, ...]:
    """Return which blades are heard to pass in claimed frames; main or tail blades alone are told too.

    Valid: blades that are not heard may still be fitted: too little was claimed, or the microphone hears no low tones.
    """
    claimed = frames.confidence >= CLAIMED_FROM
    if int(claimed.sum()) < FEWEST_FRAMES:
        return ()
    shares = (frames.blades[claimed] > FAMILY_HEARD).mean(axis=0)
    return tuple(name for name, share in zip(BLADE_WORDS, shares.tolist(), strict=True) if share > BLADES_SHARE)


def listened(path: Path, lines: tuple[Line, ...], top_rpm: float, say: Say = silent) -> Heard:
    """Hear a recording from end to end, block by block: an hour takes no more memory than its answer.

    Raises: InputError when the file cannot be heard.
    """
    with opened(path) as recording:
        tracker = Tracker(lines, recording.kept_rate_hz, top_rpm, channels=len(recording.channels))
        whole_s = recording.duration_s
        tracker.keep_evidence(max(1, int(np.ceil(whole_s / HOP_S / MAP_COLUMNS))))
        parts, told = [], -1
        for number, block in enumerate(recording.blocks(BLOCK_S)):
            now = int(SLICES * min(number * BLOCK_S / whole_s, 1.0))
            if now > told:
                say(f"listen to {path.name}, {number * BLOCK_S:.0f} of {whole_s:.0f} s")
                told = now
            parts.append(tracker.push(block))
        parts.append(tracker.finish())
        return Heard(
            name=path.name,
            duration_s=recording.read_s,
            rate_hz=recording.rate_hz,
            frames=of_one_rotor(Frames.joined(parts), top_rpm),
            warnings=tuple(recording.warnings),
            evidence=tracker.evidence(),
            speeds_rpm=np.asarray(60.0 * tracker.speeds_hz, np.float64),
            channels=recording.channels,
            told_at_head=head_tells(lines),
        )


def heard_trace(heard: Heard) -> Trace:
    """Return the trace of what was heard: head speed every 25 ms, gaps left as gaps.

    Where the motor falls silent while blades are heard, a gap is left too: the head may fall there, undriven.
    A rotor that is first heard while it rises from a low speed has come from rest: the rise is followed down as far as
    it leads into what is claimed, and drawn on from there.
    """
    frames = heard.frames
    silent = motor_silent(frames.heard, heard.claimed)
    claimed = heard.claimed & ~silent
    speed, foot = _rise(heard, claimed)
    keep = claimed | _short_gaps(claimed)
    notes = [f"head speed heard in {100.0 * heard.claimed.mean():.0f} % of the recording"] if claimed.size else []
    notes += [heard_where(heard)] if len(heard.channels) > 1 and claimed.any() else []
    if foot is not None:
        first = int(np.flatnonzero(np.isfinite(speed))[0])
        speed[:first] = np.maximum(0.0, foot.rate_rpm_s * (frames.time_s[:first] - foot.start_s))
        keep[: int(np.flatnonzero(claimed)[0])] = True
        notes.append(
            f"first followed at {foot.heard_s:.2f} s, rising from {speed[first]:.0f} rpm: taken as a start from "
            f"rest at {max(foot.start_s, 0.0):.2f} s"
        )
    return Trace(
        source=heard.name,
        time_s=frames.time_s[keep],
        channels={"head_speed_rpm": speed[keep]},
        rows_read=int(frames.time_s.size),
        warnings=(*heard.warnings, *_silence_told(frames.time_s[silent])),
        history=tuple(notes),
        row=np.flatnonzero(keep).astype(np.int64),
    )


def _silence_told(at_s: Floats) -> tuple[str, ...]:
    if not at_s.size:
        return ()
    return (
        f"between {at_s[0]:.1f} and {at_s[-1]:.1f} s blades are heard for {at_s.size * HOP_S:.1f} s without the motor, "
        "which is heard elsewhere: it may be off there, so that part is not judged",
    )


def heard_where(heard: Heard) -> str:
    """Return which channel of several the rotor was heard in best, in words."""
    source = np.minimum(heard.frames.source[heard.claimed], len(heard.channels))
    counts = np.bincount(source, minlength=len(heard.channels) + 1)
    shares = 100.0 * counts / counts.sum()
    names = [*(f"channel {channel + 1}" for channel in heard.channels), "all of them together"]
    best = [
        f"{names[k]} ({shares[k]:.0f} % of the time)" for k in np.argsort(-shares, kind="stable") if shares[k] >= 0.5
    ]
    return f"{len(heard.channels)} channels were listened to; the rotor was heard best in {', '.join(best)}"


def _short_gaps(claimed: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the frames of gaps between claimed frames that are short enough to bridge. Shapes: (n,) -> (n,)."""
    at = np.flatnonzero(claimed)
    out = np.zeros(claimed.size, bool)
    for before, after in pairwise(at):
        if 1 < after - before <= BRIDGED_S / HOP_S:
            out[before + 1 : after] = True
    return out


def foot_drawn(heard: Heard) -> Foot | None:
    """Return the foot of a rise that is first heard under way, as the trace of a recording draws it; None without."""
    return _rise(heard, heard.claimed & ~motor_silent(heard.frames.heard, heard.claimed))[1]


def _rise(heard: Heard, claimed: NDArray[np.bool_]) -> tuple[Floats, Foot | None]:
    """Return what is claimed with the rise from rest that leads into it, and the foot of that; None without one."""
    speed = np.where(claimed, heard.frames.head_speed_rpm, np.nan)
    return rise_drawn(heard.frames.time_s, speed, heard.frames.head_speed_rpm)
