"""Whether the strongest tones of a recording are such as the machine can make: another machine's would not be."""

from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.heard import Heard
from steadyhead.trace.sound_file import opened
from steadyhead.trace.sound_lines import SoundGearing
from steadyhead.trace.unheard import unheard

Floats = NDArray[np.float64]

WINDOW_S = 0.24
LOWEST_HZ, HIGHEST_HZ = 60.0, 7000.0
"""Below lies rumble, above few telephones hear; common practice, no source."""
STRONGEST, FEWEST = 10, 5
STANDS_NATURAL = 1.8
"""A tone stands so far over the noise about it, natural units of power, six times; own choice."""
FLOOR_BINS, APART_BINS = 101, 5
LONGEST_S, SHORTEST_S = 6.0, 2.0
STEADY_SHARE = 0.002
"""A head that moves more smears its tones over several bins, and others stand out in their place; own choice."""
NEAR_SHARE, WANDERS = 0.001, 1.5
"""How near to its place a tone is the machine's, beside a bin: the ear's own doubt, and so many standard deviations of
the speed. Own choices."""
HEAD_TURNS, BLADE_TONES, TAIL_TURNS, MOTOR_TURNS, MESH_TONES = 3, 20, 60, 150, 3
"""Up to which multiple each part may sound; own choices, wide."""
GRIDS_HZ, GRID_TO_HZ, GRID_SHARE = (50.0, 60.0), 1000.0, 0.004
"""Hum of the mains tells nothing of a machine: what stands on its multiples up to here is left out."""


class Stretch(NamedTuple):
    """A steady stretch of one channel of a recording, with the head speed heard in it.

    `wander_share` is the standard deviation of that speed. Shapes: samples (n,)
    """

    samples: Floats
    rate_hz: float
    head_hz: float
    wander_share: float

    def near_hz(self, hz: Floats) -> Floats:
        """Return how near to its place a tone is the machine's, Hz. Shapes: (n,) -> (n,)."""
        return np.maximum((NEAR_SHARE + WANDERS * self.wander_share) * hz, 1.0 / WINDOW_S)


def own_orders(gearing: SoundGearing) -> Floats:
    """Return every multiple of the head's turns at which a machine may sound, told in its file or not.

    Equation: multiples of the turns of head, tail and motor, of the blades, of each mesh, and one motor turn beside it
    Shapes: -> (o,)
    """
    found: list[float] = [float(turn) for turn in range(1, HEAD_TURNS + 1)]
    steps = (
        (gearing.blades, BLADE_TONES), (gearing.tail_ratio, TAIL_TURNS), (gearing.motor_ratio, MOTOR_TURNS),
    )  # fmt: skip
    found += [step * turn for step, most in steps if step for turn in range(1, most + 1)]
    for teeth in gearing.mesh_teeth:
        beside = (-1.0, 0.0, 1.0, *((-gearing.motor_ratio, gearing.motor_ratio) if gearing.motor_ratio else ()))
        found += [teeth * turn + side for turn in range(1, MESH_TONES + 1) for side in beside]
    return np.asarray(sorted(found))


def explained_share(
    samples: Floats, rate_hz: float, head_hz: float, orders: Floats, near_share: float = NEAR_SHARE
) -> float | None:
    """Return how much of the strongest steady tones a machine at a head speed explains, 0 to 1; None where few stand.

    Equation: sum of ln(power over noise) of those near an order, over that of all of them
    Shapes: samples (n,), orders (o,)
    Valid: a steady speed; tones of voices and music move, and are lost in the median over time.
    """
    hz, heights = strongest_tones(samples, rate_hz)
    if hz.size < FEWEST:
        return None
    near = np.maximum(near_share * hz, 1.0 / WINDOW_S)
    own = (np.abs(hz[:, None] - head_hz * orders[None, :]) < near[:, None]).any(axis=1)
    return float((heights * own).sum() / heights.sum())


def strongest_tones(samples: Floats, rate_hz: float, most: int = STRONGEST) -> tuple[Floats, Floats]:
    """Return frequency, Hz, and height over the noise, natural units, of the strongest steady tones.

    Shapes: samples (n,) -> (k,), (k,), k at most `most`
    """
    from scipy.signal import find_peaks, medfilt, spectrogram

    length = int(WINDOW_S * rate_hz)
    hz, _, power = spectrogram(samples, rate_hz, nperseg=length, noverlap=length // 2)
    level = np.log(np.median(power, axis=1) + 1e-30)
    height = level - medfilt(level, FLOOR_BINS)
    peaks, _ = find_peaks(height, height=STANDS_NATURAL, distance=APART_BINS)
    peaks = peaks[(hz[peaks] > LOWEST_HZ) & (hz[peaks] < min(HIGHEST_HZ, 0.46 * rate_hz)) & ~_hums(hz[peaks])]
    peaks = peaks[np.argsort(-height[peaks])][:most]
    return hz[peaks], height[peaks]


def _hums(hz: Floats) -> NDArray[np.bool_]:
    """Whether a tone stands where the mains hum. Shapes: (k,) -> (k,)."""
    off = np.array([np.abs(hz / grid - np.rint(hz / grid)) * grid for grid in GRIDS_HZ]).min(axis=0)
    return np.asarray((hz < GRID_TO_HZ) & (off < np.maximum(GRID_SHARE * hz, 0.5 / WINDOW_S)))


def explained_in(path: Path, heard: Heard, gearing: SoundGearing, span_s: tuple[float, float]) -> float | None:
    """Return `explained_share` of what a recording holds of a head speed, its middle; None where that cannot be told.

    Raises: InputError when the file cannot be heard.
    """
    found = stretch_in(path, heard, span_s)
    if found is None:
        return None
    near = NEAR_SHARE + WANDERS * found.wander_share
    return explained_share(found.samples, found.rate_hz, found.head_hz, own_orders(gearing), near)


def stretch_in(path: Path, heard: Heard, span_s: tuple[float, float]) -> Stretch | None:
    """Return the middle of what a recording holds of a head speed; None where it is short or moves.

    Raises: InputError when the file cannot be heard.
    """
    import soundfile

    frames = heard.frames
    middle_s, half_s = 0.5 * sum(span_s), 0.5 * min(LONGEST_S, span_s[1] - span_s[0])
    inside = heard.claimed & (np.abs(frames.time_s - middle_s) <= half_s)
    speed = frames.head_speed_rpm[inside]
    if 2.0 * half_s < SHORTEST_S or not speed.size or float(speed.std()) > STEADY_SHARE * float(speed.mean()):
        return None
    best = int(np.bincount(frames.source[inside]).argmax())
    with opened(path) as recording, unheard():
        channel = recording.channels[best if best < len(recording.channels) else 0]
        first = max(0, int((middle_s - half_s) * recording.rate_hz))
        try:
            recording.file.seek(first)
            block = recording.file.read(int(2.0 * half_s * recording.rate_hz), dtype="float32", always_2d=True)
        except soundfile.SoundFileError:  # it cannot be wound on
            return None
        samples = np.nan_to_num(block[:, channel].astype(np.float64))
    if samples.size < SHORTEST_S * recording.rate_hz:
        return None
    head_hz, wander = float(np.median(speed)) / 60.0, float(speed.std() / speed.mean())
    return Stretch(samples, recording.rate_hz, head_hz, wander)
