"""Follows the rotor speed through a stream of sound: push samples, get frames half a second later at most.

One comb of lines is fitted at every instant; a hidden Markov model carries the belief in each speed from instant to
instant, no faster than a rotor can change, with silence as one more state.
"""

from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.sound_comb import Comb, Places
from steadyhead.physics.sound_path import Course
from steadyhead.physics.sound_peaks import Hills
from steadyhead.trace.sound_lines import BLADES, FAMILIES, Line
from steadyhead.trace.sound_spectrum import HOP_S, WINDOWS_S, Samples, Spectra

Floats = NDArray[np.float64]
Shares = NDArray[np.float32]

LOOK_AHEAD_S = 0.35
STEP_SHARE = 0.0015
"""Step between the speeds of the grid, as a share of the highest one."""
LOWEST_SHARE = 0.08
FASTEST_PER_S = 1.1
"""A rotor changes by this share of its highest speed in a second, at most; common practice, no source."""
SWITCH_SHARE = 0.003
"""How likely a machine begins or ceases to be heard from one instant to the next."""
FAINTEST = 80.0
"""Evidence, natural units, by which no speed counts further behind the best."""
LEAP_SHARE = 0.0005
"""How likely an unheard speed is suddenly any other: a recording cut and joined."""
NEAR_SHARE = 0.005
TEMPER = 0.7
"""Lines of one instant share their noise and their wander: the evidence is worth less than its sum."""
SECOND_FAMILY_NEEDS = 8.0
SECOND_FAMILY_NEEDS_NEAR = 0.5
NEAR_FRAMES = 3
SLOW_SHARE = 0.3
"""Below this share of the highest speed the lines crowd into the range of voices, and more evidence is asked for."""
CLAIMED_FROM = 0.9
"""A frame counts as heard from this confidence."""


@dataclass(frozen=True, kw_only=True)
class Frames:
    """What was heard. Shapes: time_s, head_speed_rpm (NaN where nothing was), confidence, doubt_rpm (n,), heard (n, f),
    blades (n, 2).

    `doubt_rpm` is one standard deviation; `heard` is the evidence of each family of lines; `blades` that of main and of
    tail blades, from those lines alone that nothing else of the machine makes.
    """

    time_s: Floats
    head_speed_rpm: Floats
    confidence: Floats
    doubt_rpm: Floats
    heard: Floats
    blades: Floats

    @classmethod
    def joined(cls, parts: "list[Frames]") -> "Frames":
        """Return frames in a row as one."""
        return cls(**{name: np.concatenate([getattr(part, name) for part in parts]) for name in FRAME_PARTS})

    def last(self, count: int) -> "Frames":
        """Return the newest frames, `count` at most."""
        return Frames(**{name: getattr(self, name)[-count:] for name in FRAME_PARTS})


FRAME_PARTS = ("time_s", "head_speed_rpm", "confidence", "doubt_rpm", "heard", "blades")


class Tracker:
    """The state carried from one block of samples to the next.

    `families_needed` families of lines must be heard together before a speed is claimed.
    """

    def __init__(
        self, lines: tuple[Line, ...], rate_hz: float, top_rpm: float, *, families_needed: int = 2
    ) -> None:  # fmt: skip
        self.spectra = Spectra(rate_hz)
        self.comb = _comb(lines)
        self.blades = _comb(tuple(line for line in lines if line.tells_blades))
        self.families_needed = families_needed
        self.step_hz = STEP_SHARE * top_rpm / 60.0
        self.first = round(LOWEST_SHARE / STEP_SHARE)
        self.speeds_hz: Floats = np.asarray(
            self.step_hz * np.arange(self.first, round(1.0 / STEP_SHARE) + 1), np.float64
        )
        self.places = self._places()
        self.course = Course(_motion(), SWITCH_SHARE, LEAP_SHARE, NEAR_SHARE, self.first)
        count = self.speeds_hz.size
        self.belief = np.repeat((0.1 / count, 0.9 / count), count).astype(np.float32)
        self.best = self.belief.copy()
        self.half = self.spectra.half
        self.samples: Samples = np.zeros(self.half, np.float32)
        self.sample_at = -self.half
        self.frame = 0
        self.scores: Shares = np.zeros((0, count), np.float32)
        self.hills: deque[tuple[Hills, int, int]] = deque()
        """Hills, how many instants are in them, and how many of those are told."""
        self.done = 0
        self.pooled = 0
        self.pool: Shares = np.zeros((0, count), np.float32)
        self.columns = [np.zeros((0, count), np.float32)]
        self.old_heard = np.zeros((0, len(FAMILIES)))

    def _places(self) -> Places:
        """Return where each line stands at each speed."""
        from steadyhead.physics.sound_comb import placed

        shape = (self.speeds_hz.size, self.comb.orders.size)
        places = Places(
            rows=np.zeros(shape, np.int64),
            lines_hz=np.zeros(shape, np.float32),
            blurs=np.zeros(shape, np.float32),
            starts=np.zeros((shape[0], 4), np.int64),
            chances=np.zeros(shape[1], np.float32),
        )
        placed(self.spectra.for_kernels, self.comb, self.speeds_hz, places)
        return places

    def keep_evidence(self, frames: int) -> None:
        """Keep how well each speed explains the sound, the mean over so many frames at a time, for a picture."""
        self.pooled = frames

    def evidence(self) -> NDArray[np.float32]:
        """Return the evidence that was kept. Shapes: (columns, speeds)."""
        rest = [self.pool.mean(axis=0, keepdims=True)] if self.pool.shape[0] else []
        return np.concatenate([*self.columns, *rest]).astype(np.float32)

    def _keep(self, scores: Shares) -> None:
        if not self.pooled:
            return
        both = np.concatenate((self.pool, scores))
        whole = both.shape[0] // self.pooled
        used = both[: whole * self.pooled].reshape(whole, self.pooled, -1)
        self.columns.append(used.mean(axis=1).astype(np.float32))
        self.pool = both[whole * self.pooled :].copy()

    @property
    def ahead(self) -> int:
        """Frames looked ahead before one is told."""
        return round(LOOK_AHEAD_S / HOP_S)

    def push(self, samples: Samples) -> Frames:
        """Take the next samples, one channel, full scale 1; return the frames that are ready, perhaps none."""
        self.samples = np.concatenate((self.samples, np.asarray(samples, np.float32)))
        self._analyse(self.sample_at + self.samples.size - self.half)
        return self._decode(self.scores.shape[0] - self.ahead)

    def finish(self) -> Frames:
        """Return the frames still waiting."""
        last = self.sample_at + self.samples.size
        self.samples = np.concatenate((self.samples, np.zeros(self.half + 2, np.float32)))
        self._analyse(last)
        return self._decode(self.scores.shape[0])

    def _analyse(self, last_sample: int) -> None:
        """Score every instant up to a sample."""
        from steadyhead.physics.sound_comb import overlap_weight, scores

        hop = HOP_S * self.spectra.rate_hz
        count = int(last_sample / hop) + 1 - self.frame if last_sample >= 0 else 0
        if count <= 0:
            return
        centres = np.round((self.frame + np.arange(count)) * hop).astype(np.int64)
        hills = self.spectra.peaks(self.samples, self.sample_at, centres)
        out = np.empty((count, self.speeds_hz.size), np.float32)
        scores(self.spectra.for_kernels, self.places, hills, out)
        np.log(out, out=out)
        new = np.float32(4.0 * overlap_weight(self.spectra.for_kernels, 0)) * out
        self.scores = np.concatenate((self.scores, new))
        self.hills.append((hills, count, 0))
        self._keep(new)
        self.frame += count
        drop = min(max(0, round(self.frame * hop) - self.half - 2 - self.sample_at), self.samples.size)
        self.samples = self.samples[drop:]
        self.sample_at += drop

    def _decode(self, ready: int) -> Frames:
        """Follow the evidence that waits, and tell the first `ready` frames of it."""
        from steadyhead.physics.sound_path import decoded

        if ready <= 0:
            return _none()
        path, sure = np.empty(self.scores.shape[0], np.int64), np.empty(self.scores.shape[0])
        top = np.maximum(0.0, self.scores.max(axis=1, keepdims=True))
        factors = np.exp(TEMPER * np.maximum(self.scores - top, -FAINTEST))
        silent_factor = np.exp(-TEMPER * np.minimum(top, FAINTEST))
        decoded(self.course, factors, silent_factor, ready, self.belief, self.best, path, sure)
        silent = path >= self.speeds_hz.size
        path_hz = np.where(silent, 0.0, self.speeds_hz[np.minimum(path, self.speeds_hz.size - 1)])
        heard, fine = self._refined(self.comb, path_hz)
        blades, _ = self._refined(self.blades, np.asarray(fine[:, 0]))
        backed = self._backed(heard, path_hz)[:ready]
        told = ~silent[:ready]
        frames = Frames(
            time_s=np.asarray((self.done + np.arange(ready)) * HOP_S, np.float64),
            head_speed_rpm=np.where(told, 60.0 * fine[:ready, 0], np.nan),
            confidence=np.where(told, sure[:ready] * backed, 0.0),
            doubt_rpm=np.where(told, 60.0 * fine[:ready, 1], np.nan),
            heard=heard[:ready],
            blades=blades[:ready, : len(BLADES)],
        )
        self.old_heard = np.concatenate((self.old_heard, heard[:ready]))[-self.ahead :]
        self.done += ready
        self.scores = self.scores[ready:].copy()
        self._drop_hills(ready)
        return frames

    def _refined(self, comb: Comb, path_hz: Floats) -> tuple[Floats, Floats]:
        """Return the evidence of each family, and the speed finer than the grid with its doubt, for every frame."""
        from steadyhead.physics.sound_comb import refined

        heard, fine, at = np.zeros((path_hz.size, len(FAMILIES))), np.zeros((path_hz.size, 2)), 0
        for hills, count, used in self.hills:
            part = slice(at, at + count - used)
            refined(self.spectra.for_kernels, comb, path_hz[part], self.step_hz, used, hills, heard[part], fine[part])
            at = part.stop
        return heard, fine

    def _drop_hills(self, ready: int) -> None:
        """Forget the hills of the first frames."""
        while ready > 0:
            hills, count, used = self.hills.popleft()
            gone = min(ready, count - used)
            ready -= gone
            if used + gone < count:
                self.hills.appendleft((hills, count, used + gone))

    def _backed(self, heard: Floats, path_hz: Floats) -> Floats:
        """Return how sure it is that enough families of lines are heard about each frame.

        Equation: 1 / (1 + exp((needed - found) / 2)), found the evidence of the weakest family that must be heard,
        summed over the look ahead and as far back; needed grows as speed squared falls below SLOW_SHARE. The same over
        the nearest frames alone, so that one family of another source cannot borrow from its neighbours in time.
        Shapes: heard (n, f), path_hz (n,) -> (n,)
        """
        slow = SLOW_SHARE * self.speeds_hz[-1] / np.maximum(path_hz, self.speeds_hz[0])
        needed = SECOND_FAMILY_NEEDS * np.maximum(1.0, slow) ** 2
        long = 0.5 * (self._weakest(heard, self.ahead) - needed)
        near = 2.0 * (self._weakest(heard, NEAR_FRAMES) - SECOND_FAMILY_NEEDS_NEAR)
        return np.asarray(1.0 / (1.0 + np.exp(np.clip(-np.minimum(long, near), -50.0, 50.0))))

    def _weakest(self, heard: Floats, reach: int) -> Floats:
        """Return the evidence of the weakest family that must be heard, summed over so many frames either way."""
        whole = np.concatenate((self.old_heard, heard))
        summed = np.cumsum(np.vstack((np.zeros(whole.shape[1]), whole)), axis=0)
        middle = self.old_heard.shape[0] + np.arange(heard.shape[0])
        around = summed[np.minimum(middle + reach + 1, whole.shape[0])] - summed[np.maximum(middle - reach, 0)]
        return np.asarray(np.sort(around, axis=1)[:, -self.families_needed])


def _comb(lines: tuple[Line, ...]) -> Comb:
    """Return lines for the kernels, lowest first."""
    lines = tuple(sorted(lines, key=lambda line: line.order))
    return Comb(
        orders=np.array([line.order for line in lines]),
        chances=np.array([line.chance for line in lines]),
        families=np.array([FAMILIES.index(line.family) for line in lines], np.int64),
    )


def _motion() -> Shares:
    """Return how likely the speed moves by each number of grid steps from one frame to the next."""
    reach = int(np.ceil(FASTEST_PER_S * HOP_S / STEP_SHARE))
    away = np.arange(-reach, reach + 1)
    calm = np.exp(-0.5 * (away / 0.8) ** 2)
    swift = np.exp(-np.abs(away) / (0.35 * reach))
    mixed = 0.8 * calm / calm.sum() + 0.2 * swift / swift.sum()
    return np.asarray(mixed / mixed.sum(), np.float32)


def _none() -> Frames:
    empty = np.zeros(0)
    return Frames(
        time_s=empty,
        head_speed_rpm=empty,
        confidence=empty,
        doubt_rpm=empty,
        heard=np.zeros((0, len(FAMILIES))),
        blades=np.zeros((0, len(BLADES))),
    )


LONGEST_WAIT_S = 0.5 * WINDOWS_S[0] + LOOK_AHEAD_S + HOP_S
"""How far a frame lies behind the samples pushed."""
