"""Opening a recording: any rate, any channels, read block by block, with every doubt in its warnings."""

import struct
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.opening import plain_size, readable
from steadyhead.trace.other_files import archive_kind, looks_like_sound, looks_like_wav
from steadyhead.trace.sound_spectrum import Samples
from steadyhead.trace.unheard import unheard
from steadyhead.words.errors import InputError

if TYPE_CHECKING:
    import soundfile

RIGHT = "a sound file: WAV, FLAC or OGG"
LOWEST_RATE_HZ = 4000
HIGHEST_RATE_HZ = 768_000
MOST_CHANNELS = 64
SHORTEST_S = 0.5
KEPT_RATE_HZ = 50_000
"""Above this the samples are thinned: no line is looked for so high."""
PEEK_S = 4.0
"""How much of the beginning, the middle and the end is looked at to choose channels."""
NO_SOUND_SHARE = 1e-4
"""A channel is a measured speed or a bias, no sound, when so little of its power lies above 100 Hz, and that is as
little beside the loudest channel."""
COPY_SHARE = 1e-4
"""Two channels are one when so little of their power is left after the one is taken from the other."""
OGG_PAGE, LONGEST_PAGE, LAST_PAGE = b"OggS", 65_307, 4
"""How an OGG page begins, its greatest length in bytes, and the flag of the last one: RFC 3533."""
MOST_BEHIND = 4096
"""So many bytes of rubbish behind the samples are nothing worth a word; own choice."""
_SIZE_NOT_KNOWN = 0xFFFFFF00
"""Recorders that stream write this or more as the length."""


@dataclass
class Recording:
    """An open recording. `warnings` grows while it is read."""

    name: str
    rate_hz: int
    channels: tuple[int, ...]
    """The channels that are heard, each by itself."""
    count: int
    """Samples in each channel."""
    file: "soundfile.SoundFile"
    thin: int = 1
    read: int = 0
    """Samples of each channel that were read: fewer than promised where the file breaks off."""
    warnings: list[str] = field(default_factory=list)
    levels: "list[Level]" = field(default_factory=list)
    """One for each channel that is heard."""

    @property
    def kept_rate_hz(self) -> float:
        """Sample rate of the blocks."""
        return self.rate_hz / self.thin

    @property
    def duration_s(self) -> float:
        """Length, s."""
        return self.count / self.rate_hz

    @property
    def read_s(self) -> float:
        """Length of what was read, s."""
        return self.read / self.rate_hz

    def blocks(self, seconds: float) -> Iterator[Samples]:
        """Yield the samples of the channels, full scale 1, a block of some seconds at a time; then the last warnings.

        Shapes: (channels, n)
        Raises: InputError when hardly a sample is a number.
        """
        low_passes = [LowPass(self.thin) for _ in self.channels]
        self.levels = [Level() for _ in self.channels]
        self.read, broken = 0, None
        while broken is None:
            block, broken = _read_quietly(self.file, seconds * self.rate_hz)
            if not block.shape[0]:
                break
            self.read += block.shape[0]
            parts = [level.cleaned(block[:, k]) for level, k in zip(self.levels, self.channels, strict=True)]
            yield np.stack([one.thinned(part) for one, part in zip(low_passes, parts, strict=True)])
        if broken is not None and not self.read:
            raise broken
        if broken is not None:
            self.warnings.append(
                f"the recording is damaged or breaks off at {self.read_s:.1f} s: what is before was heard"
            )
        self._say(self.read)

    def _say(self, read: int) -> None:
        whole, bad = max(1, read), sum(level.bad for level in self.levels)
        if all(level.bad > 0.5 * whole for level in self.levels):
            raise InputError(self.name, read=f"{bad} samples that are no numbers", right="a recording of sound")
        if bad:
            self.warnings.append(f"{bad} samples are no numbers: taken as silence")
        full = {k: one.full for k, one in zip(self.channels, self.levels, strict=True) if one.full > 0.005 * whole}
        if full:
            which = f"channel{'s' if len(full) > 1 else ''} {', '.join(str(channel + 1) for channel in full)}"
            where = f"of {which} " if len(self.channels) > 1 else ""
            most = "up to " if len(full) > 1 else ""
            self.warnings.append(
                f"{most}{100.0 * max(full.values()) / whole:.1f} % of the samples {where}are at full scale: recorded "
                "too loud, put the microphone further away or turn the level down"
            )
        if max(level.loudest for level in self.levels) < 1e-3:
            self.warnings.append("the recording is silent or nearly so: was the microphone on?")
        if read < self.count:
            self.warnings.append(f"{read} of {self.count} promised samples could be read")


@dataclass
class Level:
    """What was seen of the samples of one channel."""

    loudest: float = 0.0
    bad: int = 0
    full: int = 0

    def cleaned(self, samples: Samples) -> Samples:
        """Return samples with silence for what is no number."""
        lost = ~np.isfinite(samples) | (np.abs(samples) > 1e6)
        self.bad += int(lost.sum())
        clean = np.where(lost, np.float32(0.0), samples)
        size = np.abs(clean)
        self.loudest = max(self.loudest, float(size.max(initial=0.0)))
        self.full += int((size >= 0.999).sum())
        return clean


@contextmanager
def opened(path: Path) -> Iterator[Recording]:
    """Open a recording, look at its channels, and close it in the end.

    Raises: InputError when it is no sound, too short, or of a rate that cannot carry the lines of a rotor.
    """
    with readable(path, RIGHT):
        size = plain_size(path, RIGHT)
    if size == 0:
        raise InputError(path.name, read="an empty file (0 bytes)", right=RIGHT)
    with readable(path, RIGHT), path.open("rb") as raw:
        head = raw.read(4096)
        doubts = _length_doubts(raw, head, size)
        raw.seek(0)
        with _sound(path.name, head, raw) as file:
            _refuse_what_cannot_be_heard(path.name, file, doubts)
            recording = Recording(
                name=path.name,
                rate_hz=int(file.samplerate),
                channels=tuple(range(file.channels)),
                count=int(file.frames),
                file=file,
                thin=thinning_of(file.samplerate),
                warnings=doubts,
            )
            _choose_channels(recording, path)
            yield recording


@contextmanager
def _sound(name: str, head: bytes, raw: BinaryIO) -> Iterator[Any]:
    import soundfile

    try:
        with unheard():
            file = soundfile.SoundFile(raw)
    except (soundfile.SoundFileError, TypeError) as error:
        kind = archive_kind(head[:32])
        said = kind or ("a WAV file with a broken header" if looks_like_wav(head) else "bytes that are no sound")
        raise InputError(name, read=said, right=RIGHT) from error
    with file:
        try:
            yield file
        except soundfile.SoundFileError as error:
            raise InputError(name, read="sound that breaks off at once", right="a whole sound file") from error


def _read_quietly(file: Any, samples: float) -> tuple[NDArray[np.float32], "soundfile.SoundFileError | None"]:
    """Return the next samples of every channel, and why there are no more where the file breaks off in them.

    A packed recording with a hole makes the library speak up; what it had unpacked until then is kept.
    Shapes: (samples, channels).
    """
    import soundfile

    out = np.full((round(samples), file.channels), np.nan, np.float32)
    with unheard():
        try:
            return np.asarray(file.read(out.shape[0], out=out, always_2d=True)), None
        except soundfile.SoundFileError as error:
            unpacked = np.flatnonzero(~np.isnan(out).any(axis=1))
            return out[: unpacked[-1] + 1 if unpacked.size else 0], error


def _refuse_what_cannot_be_heard(name: str, file: Any, doubts: list[str]) -> None:
    if not LOWEST_RATE_HZ <= file.samplerate <= HIGHEST_RATE_HZ:
        raise InputError(
            name, read=f"a sample rate of {file.samplerate} Hz", right=f"{LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ} Hz"
        )
    if file.channels > MOST_CHANNELS:
        raise InputError(name, read=f"{file.channels} channels", right=f"at most {MOST_CHANNELS}")
    if file.frames < SHORTEST_S * file.samplerate:
        why = f" ({'; '.join(doubts)})" if doubts else ""
        raise InputError(
            name, read=f"{file.frames / file.samplerate:.2g} s of sound{why}", right=f"{SHORTEST_S:g} s or more"
        )


def _choose_channels(recording: Recording, path: Path) -> None:
    """Leave out channels that hold no sound, and those that are copies of another."""
    if recording.file.channels == 1:
        return
    pieces = _pieces(recording, path)
    all_power, high_power = np.sum([_powers(piece, recording.rate_hz) for piece in pieces], axis=0)
    quiet = high_power < NO_SOUND_SHARE * np.maximum(high_power.max(), 1e-20)
    sound = np.flatnonzero(~quiet | (high_power > NO_SOUND_SHARE * np.maximum(all_power, 1e-20))).tolist()
    if sound and len(sound) < len(recording.channels):
        left = ", ".join(str(k + 1) for k in recording.channels if k not in sound)
        recording.warnings.append(f"channel {left} holds no sound, perhaps a measured speed: left out")
    chosen: list[int] = []
    copies: dict[int, list[str]] = {}
    for channel in sound or recording.channels:
        original = next((k for k in chosen if is_copy(pieces, k, channel)), None)
        if original is None:
            chosen.append(channel)
        else:
            copies.setdefault(original, []).append(str(channel + 1))
    for original, those in copies.items():
        are = f"channel {those[0]} is a copy" if len(those) == 1 else f"channels {', '.join(those)} are copies"
        recording.warnings.append(f"{are} of channel {original + 1}: left out")
    recording.channels = tuple(chosen)


def _pieces(recording: Recording, path: Path) -> list[NDArray[np.float32]]:
    """Return some seconds from the beginning, the middle and the end, as far as the file lets itself be wound on.

    The file is opened anew for it: one that breaks off cannot be wound back.
    Shapes: each (samples, channels)
    """
    import soundfile

    size = round(PEEK_S * recording.rate_hz)
    starts = sorted({0, max(0, recording.count // 2 - size // 2), max(0, recording.count - size)})
    pieces = []
    with unheard(), path.open("rb") as raw, soundfile.SoundFile(raw) as file:
        for start in starts:
            try:
                file.seek(start)
            except soundfile.SoundFileError:
                break
            pieces.append(np.clip(np.nan_to_num(_read_quietly(file, size)[0]), -10.0, 10.0))
    return [piece for piece in pieces if piece.shape[0]] or [np.zeros((1, recording.file.channels), np.float32)]


def _powers(piece: NDArray[np.float32], rate_hz: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the power of each channel, and that above 100 Hz. Shapes: (samples, channels) -> (channels,) each."""
    from scipy.fft import rfft

    power = np.abs(rfft(piece, axis=0)).astype(np.float64) ** 2
    return power.sum(axis=0), power[int(100.0 * piece.shape[0] / rate_hz) :].sum(axis=0)


def is_copy(pieces: list[NDArray[np.float32]], one: int, other: int) -> bool:
    """Whether a channel is another one, louder or fainter or turned over.

    Equation: 1 - (a b)^2 / (a^2 b^2) under 1e-4, a and b without their means, over all pieces
    Shapes: each piece (samples, channels)
    """
    products = np.zeros(3)
    for piece in pieces:
        a, b = (piece[:, k].astype(np.float64) - piece[:, k].mean() for k in (one, other))
        products += (a @ b, a @ a, b @ b)
    both, first, second = products
    return bool(first * second > 0.0 and 1.0 - both**2 / (first * second) < COPY_SHARE)


def _length_doubts(raw: BinaryIO, head: bytes, size: int) -> list[str]:
    """Return a warning when a WAV file promises more samples than there are, or an OGG file lacks its last page."""
    if head[:4] == OGG_PAGE:
        raw.seek(max(0, size - LONGEST_PAGE))
        end = raw.read(LONGEST_PAGE)
        flags_at = end.rfind(OGG_PAGE) + 5
        ends = flags_at < len(end) and end[flags_at] & LAST_PAGE
        return [] if ends else ["the file ends before its last page, it was cut off: what is there was heard"]
    if not looks_like_wav(head) or head[:4] != b"RIFF":
        return []
    at = 12
    while at + 8 <= size:
        raw.seek(at)
        mark = raw.read(8)
        if len(mark) < 8:
            break
        length = int(struct.unpack_from("<I", mark, 4)[0])
        if mark[:4] == b"data":
            held = size - at - 8
            if held < length < _SIZE_NOT_KNOWN:
                return [f"the header promises {length} bytes of samples, the file holds {held}: what is there was read"]
            more = _behind(raw, at + 8 + length + (length & 1), size)
            if more > MOST_BEHIND:
                return [
                    f"the header promises {length} bytes of samples, but {more} more stand behind them that were not "
                    "heard: the recorder may not have finished the header; save the recording anew"
                ]
            break
        at += 8 + length + (length & 1)
    return []


def _behind(raw: BinaryIO, at: int, size: int) -> int:
    """Return how many bytes stand behind the samples of a WAV file that belong to no further chunk.

    Source: RIFF: a chunk is four printable characters, its length, then so many bytes, padded to even.
    """
    while at + 8 <= size:
        raw.seek(at)
        mark = raw.read(8)
        length = int(struct.unpack_from("<I", mark, 4)[0])
        if not all(32 <= letter < 127 for letter in mark[:4]) or at + 8 + length > size:
            return size - at
        at += 8 + length + (length & 1)
    return 0


def is_sound(path: Path) -> bool:
    """Whether a file begins as a recording does; False also where it cannot be read."""
    try:
        with path.open("rb") as file:
            return looks_like_sound(file.read(12))
    except OSError:
        return False


def thinning_of(rate_hz: float) -> int:
    """Return how many samples become one, so that no more are kept than any line needs."""
    return max(1, int(np.ceil(rate_hz / KEPT_RATE_HZ)))


class LowPass:
    """Keeps every n-th sample of a stream, after a filter that lets nothing fold down."""

    def __init__(self, thin: int) -> None:
        from scipy.signal import firwin

        self.thin = thin
        self.taps = firwin(48 * thin + 1, 0.84 / thin) if thin > 1 else np.ones(1)
        self.state = np.zeros(self.taps.size - 1)
        self.skip = 0

    def thinned(self, samples: Samples) -> Samples:
        """Return the samples that stay of one block."""
        if self.thin == 1:
            return samples
        from scipy.signal import lfilter

        smooth, self.state = lfilter(self.taps, 1.0, samples, zi=self.state)
        kept = smooth[self.skip :: self.thin]
        self.skip = (self.skip - samples.size) % self.thin
        return np.asarray(kept, np.float32)
