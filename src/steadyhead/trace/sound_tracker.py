"""Follows the rotor speed through a stream of sound: push samples, get frames half a second later at most.

Of several channels each is heard by itself, and all of them together, once their samples added up and once their
powers; at each instant and for each speed the mean of all that evidence counts, so that one good channel is enough, and
one that holds something else cannot spoil it.

One comb of lines is fitted at every instant; a hidden Markov model carries the belief in each speed from instant to
instant, no faster than a rotor can change, with silence as one more state.
"""

from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.sound_comb import Comb, Places
from steadyhead.physics.sound_path import Course
from steadyhead.physics.sound_peaks import Hills
from steadyhead.trace.sound_backing import SERIES_EVERY, backing, behind_rivals
from steadyhead.trace.sound_beyond import Part, Range, beyond
from steadyhead.trace.sound_combs import comb_of, odd_combs_of
from steadyhead.trace.sound_lines import BLADES, FAMILIES, Line, stray_orders
from steadyhead.trace.sound_mains import Mains
from steadyhead.trace.sound_spectrum import HOP_S, SIDE_BY_SIDE, WINDOWS_S, Samples, spectra

Floats = NDArray[np.float64]
Shares = NDArray[np.float32]
Numbers = NDArray[np.int64]

LOOK_AHEAD_S = 0.35
FOLLOWED = 128
"""Instants that are followed at once, at most: what more need does not fit near the processor."""
STEP_SHARE = 0.0015
"""Step between the speeds of the grid, as a share of the highest one."""
LOWEST_SHARE = 0.08
FASTEST_PER_S = 1.1
"""A rotor changes by this share of its highest speed in a second, at most; common practice, no source."""
HELD_STEPS = 0.8
RAMPED_PER_S = 0.15
"""Spread of the rate at which a head is ramped or hunts, a share of its highest speed; common practice, no source."""
MOTION_SHARES = (0.4, 0.4, 0.2)
"""How often a head is held, ramped or hunting, or changes as fast as can be. Choices of ours, on 612 invented
recordings; a wider spread follows hunting further and places a faint steady speed less surely."""
SWITCH_SHARE = 0.003
"""How likely a machine begins or ceases to be heard from one instant to the next."""
RIVAL_SHARE = 0.02
"""A speed so far from the one told is another one."""
LEAST_RIVAL = 0.5
"""Evidence of one frame, natural units, below which a speed explains nothing."""
FAINTEST = 80.0
"""Evidence, natural units, by which no speed counts further behind the best."""
LEAP_SHARE = 0.0005
"""How likely an unheard speed is suddenly any other: a recording cut and joined."""
NEAR_SHARE = 0.005
TEMPER = 0.7
"""Lines of one instant share their noise and their wander: the evidence is worth less than its sum."""
CLAIMED_FROM = 0.9
"""A frame counts as heard from this confidence."""


@dataclass(frozen=True, kw_only=True)
class Frames:
    """What was heard.

    `doubt_rpm` is one standard deviation; `heard` is the evidence of each family of lines; `blades` that of main and of
    tail blades, from those lines alone that nothing else of the machine makes; `source` is the number of the channel
    that it was heard in best, from 0; the number of channels and above where that is all of them together;
    `rival_times` is how many times as high the speed is without which this one would be claimed, 0 where it would not.
    Shapes: time_s, head_speed_rpm (NaN where nothing was), confidence, doubt_rpm, source, rival_times (n,),
    heard (n, f), blades (n, 2)
    """

    time_s: Floats
    head_speed_rpm: Floats
    confidence: Floats
    doubt_rpm: Floats
    heard: Floats
    blades: Floats
    source: Numbers
    rival_times: Floats

    @classmethod
    def joined(cls, parts: "list[Frames]") -> "Frames":
        """Return frames in a row as one."""
        return cls(**{name: np.concatenate([getattr(part, name) for part in parts]) for name in FRAME_PARTS})

    def last(self, count: int) -> "Frames":
        """Return the newest frames, `count` at most."""
        return Frames(**{name: getattr(self, name)[-count:] for name in FRAME_PARTS})


FRAME_PARTS = ("time_s", "head_speed_rpm", "confidence", "doubt_rpm", "heard", "blades", "source", "rival_times")


class Tracker:
    """The state carried from one block of samples to the next.

    `families_needed` families of lines must be heard together before a speed is claimed.
    """

    def __init__(
        self,
        lines: tuple[Line, ...],
        rate_hz: float,
        top_rpm: float,
        *,
        families_needed: int = 2,
        channels: int = 1,
        look_ahead_s: float = LOOK_AHEAD_S,
    ) -> None:
        self.spectra = spectra(rate_hz)
        self.comb = comb_of(lines)
        self.odd = odd_combs_of(lines)
        self.blades = comb_of(tuple(line for line in lines if line.tells_blades))
        self.families_needed = families_needed
        self.ahead = round(look_ahead_s / HOP_S)
        """Frames looked ahead before one is told."""
        self.step_hz = STEP_SHARE * top_rpm / 60.0
        self.first = round(LOWEST_SHARE / STEP_SHARE)
        self.speeds_hz: Floats = np.asarray(
            self.step_hz * np.arange(self.first, round(1.0 / STEP_SHARE) + 1), np.float64
        )
        self.range = Range(float(self.speeds_hz[-1]), self.step_hz)
        self.places = self._places()
        self.course = Course(_motion(), SWITCH_SHARE, LEAP_SHARE, NEAR_SHARE, self.first)
        count = self.speeds_hz.size
        self.belief = np.repeat((0.1 / count, 0.9 / count), count).astype(np.float32)
        self.best = self.belief.copy()
        self.half = self.spectra.half
        self.samples: Samples = np.zeros((channels + (channels > 1), self.half), np.float32)
        self.sample_at = -self.half
        self.frame = 0
        self.waiting: list[Shares] = []
        """The evidence of each speed at the instants that are not told yet."""
        self.scored = 0
        self.hills: deque[tuple[Hills, int, int]] = deque()
        """Hills, how many instants are in them, and how many of those are told."""
        self.done = 0
        self.pooled = 0
        self.pool: Floats = np.zeros(count)
        self.in_pool = 0
        self.columns: list[Shares] = []
        self.sources = 1 if channels == 1 else channels + 2
        self.mains = Mains(self.sources) if families_needed > 1 else None
        """None where one family is enough: a hum of the mains is one, too."""
        self.strays: Floats = np.array(stray_orders(lines))
        self.old_apart = np.zeros((self.sources, 0, len(FAMILIES) + 1 + self.strays.size))
        """What `_apart` returned of the frames told last."""
        self.old_found = np.zeros((0, 4))
        """What `rivals` found of them."""

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
        rest = [self.pool / self.in_pool] if self.in_pool else []
        return np.array([*self.columns, *rest], np.float32).reshape(-1, self.speeds_hz.size)

    def _keep(self, scores: Shares) -> None:
        at = 0
        while self.pooled and at < scores.shape[0]:
            part = scores[at : at + self.pooled - self.in_pool]
            self.pool += part.sum(axis=0)
            self.in_pool += part.shape[0]
            at += part.shape[0]
            if self.in_pool == self.pooled:
                self.columns.append((self.pool / self.in_pool).astype(np.float32))
                self.pool[:] = 0.0
                self.in_pool = 0

    def push(self, samples: Samples) -> Frames:
        """Take the next samples, full scale 1; return the frames that are ready, perhaps none.

        Shapes: samples (n,), or (channels, n)
        """
        new = np.atleast_2d(np.asarray(samples, np.float32))
        if len(new) > 1:
            new = np.concatenate((new, new.mean(axis=0, keepdims=True)))
        self.samples = np.concatenate((self.samples, new), axis=1)
        return self._followed(self.sample_at + self.samples.shape[1] - self.half, self.ahead)

    def finish(self) -> Frames:
        """Return the frames still waiting."""
        last = self.sample_at + self.samples.shape[1]
        after = np.zeros((self.samples.shape[0], self.half + 2), np.float32)
        self.samples = np.concatenate((self.samples, after), axis=1)
        return self._followed(last, 0)

    def _followed(self, last_sample: int, ahead: int) -> Frames:
        """Score every instant up to a sample, and tell all frames but the last `ahead` ones."""
        hop, parts = HOP_S * self.spectra.rate_hz, []
        count = int(last_sample / hop) + 1 - self.frame if last_sample >= 0 else 0
        while count > 0:
            now = min(count, SIDE_BY_SIDE)
            self._analyse(np.round((self.frame + np.arange(now)) * hop).astype(np.int64))
            count -= now
            if count > 0 and self.scored >= FOLLOWED + self.ahead:
                parts.append(self._decode(FOLLOWED))
        parts.append(self._decode(self.scored - ahead))
        drop = min(max(0, round(self.frame * hop) - self.half - 2 - self.sample_at), self.samples.shape[1])
        self.samples = self.samples[:, drop:].copy()
        self.sample_at += drop
        return Frames.joined(parts)

    def _analyse(self, centres: NDArray[np.int64]) -> None:
        """Score the next instants, SIDE_BY_SIDE of them at most."""
        from steadyhead.physics.sound_below import unexplained_taken
        from steadyhead.physics.sound_comb import overlap_weight, scores

        start = max(0, int(centres[0]) - self.half - self.sample_at)
        part = self.samples[:, start : int(centres[-1]) + self.half + 2 - self.sample_at]
        hills = self.spectra.peaks(part, self.sample_at + start, centres)
        count, (sources, _, side) = centres.size, hills.at_hz.shape
        if self.mains is not None:
            hills = self.mains.taken_out(self.spectra.for_kernels, hills, self.frame, count)
        out = np.empty((sources * side, self.speeds_hz.size), np.float32)
        scores(self.spectra.for_kernels, self.places, hills, out)
        np.log(out, out=out)
        out *= np.float32(4.0 * overlap_weight(self.spectra.for_kernels, 0))
        each = out.reshape(sources, side, -1)[:, :count]
        unexplained_taken(self.spectra.for_kernels, self.comb, self.odd, self.speeds_hz, self.first, hills, each)
        new = fused(each)
        self.waiting.append(new)
        self.scored += count
        self.hills.append((hills, count, 0))
        self._keep(new)
        self.frame += count

    def _decode(self, ready: int) -> Frames:
        """Follow the evidence that waits, and tell the first `ready` frames of it."""
        from steadyhead.physics.sound_path import decoded, tempered
        from steadyhead.physics.sound_rivals import rivals

        if ready <= 0:
            return _none()
        scores = np.concatenate(self.waiting)
        path, sure = np.empty(self.scored, np.int64), np.empty(self.scored)
        top = np.maximum(0.0, scores.max(axis=1, keepdims=True))
        factors = np.empty_like(scores)
        tempered(scores, top, np.float32(TEMPER), np.float32(FAINTEST), factors)
        np.exp(factors, out=factors)
        silent_factor = np.exp(-TEMPER * np.minimum(top, FAINTEST))
        decoded(self.course, factors, silent_factor, ready, self.belief, self.best, path, sure)
        silent = path >= self.speeds_hz.size
        at = np.minimum(path, self.speeds_hz.size - 1)
        path_hz = np.where(silent, 0.0, self.speeds_hz[at])
        parts = tuple(self._parts())
        heard, fine = self._refined(self.comb, np.repeat(path_hz[None], self.sources, axis=0), parts)
        speeds_hz = fine[:, :, 0].copy()
        blades, _ = self._refined(self.blades, speeds_hz, parts)
        apart = self._apart(speeds_hz, parts)
        slow = self.speeds_hz[-1] / np.maximum(path_hz, self.speeds_hz[0])
        found = np.empty((self.scored, 4))
        rivals(scores, path % self.speeds_hz.size, RIVAL_SHARE, self.first, np.float32(LEAST_RIVAL), found)
        above, times = beyond(self.spectra.for_kernels, self.comb, self.odd, parts, speeds_hz, self.range)
        found[:, 3] = np.where(above > found[:, 2], times, found[:, 3])
        found[:, 2] = np.maximum(found[:, 2], above)
        behind = behind_rivals(self.old_found, found, self.ahead)
        around = (self.ahead, self.families_needed)
        backed = np.stack([backing(*one, slow, behind, *around) for one in zip(self.old_apart, apart, strict=True)])
        source = backed[:, 0].argmax(axis=0)[:ready]
        best = (source, np.arange(ready))
        confidence, unopposed = np.where(silent, 0.0, sure * backed.max(axis=0))[:, :ready]
        told = ~silent[:ready]
        frames = Frames(
            time_s=np.asarray((self.done + np.arange(ready)) * HOP_S, np.float64),
            head_speed_rpm=np.where(told, 60.0 * fine[best][:, 0], np.nan),
            confidence=confidence,
            doubt_rpm=np.where(told, 60.0 * fine[best][:, 1], np.nan),
            heard=heard[best],
            blades=blades[best][:, : len(BLADES)],
            source=source,
            rival_times=np.where((confidence < CLAIMED_FROM) & (unopposed >= CLAIMED_FROM), found[:ready, 3], 0.0),
        )
        self.old_apart = np.concatenate((self.old_apart, apart[:, :ready]), axis=1)[:, -self.ahead :]
        self.old_found = np.concatenate((self.old_found, found[:ready]))[-self.ahead :]
        self.done += ready
        self.waiting = [scores[ready:].copy()]
        self.scored -= ready
        self._drop_hills(ready)
        return frames

    def _refined(self, comb: Comb, path_hz: Floats, parts: Iterable[Part]) -> tuple[Floats, Floats]:
        """Return what each source tells of every frame: evidence of each family, and the finer speed with its doubt.

        Shapes: path_hz (sources, n) -> (sources, n, f), (sources, n, 2)
        """
        from steadyhead.physics.sound_comb import refined

        heard, fine = np.zeros((*path_hz.shape, len(FAMILIES))), np.zeros((*path_hz.shape, 2))
        looks = self.spectra.for_kernels
        for hills, source, part, at_hills in parts:
            there = (source, part)
            refined(looks, comb, path_hz[there], self.step_hz, at_hills, hills, heard[there], fine[there])
        return heard, fine

    def _apart(self, speeds_hz: Floats, parts: Iterable[Part]) -> Floats:
        """Return the evidence of each family in every frame, where what one plain series explains counts as one.

        Behind the families stand what missing lines speak against, and the evidence of each stray.
        Shapes: speeds_hz (sources, n) -> (sources, n, f + 1 + o)
        """
        from steadyhead.physics.sound_against import against
        from steadyhead.physics.sound_series import all_families_apart

        looks, families = self.spectra.for_kernels, len(FAMILIES)
        apart = np.zeros((*speeds_hz.shape, self.old_apart.shape[2]))
        asked = (self.done + np.arange(speeds_hz.shape[1])) % SERIES_EVERY == 0
        for hills, source, part, at_hills in parts:
            there = (source, part)
            speeds = speeds_hz[there] * asked[part]
            all_families_apart(looks, self.comb, speeds, at_hills, hills, apart[there][:, :families])
            found = apart[there][:, families:]
            against(looks, self.comb, len(BLADES), self.strays, speeds, at_hills, hills, found)
        return self._held(apart, asked)

    def _parts(self) -> Iterator[Part]:
        """Yield the hills that wait, each source's frames in them, and the source and lane of each of those."""
        at = 0
        for hills, count, used in self.hills:
            part, lanes = slice(at, at + count - used), np.arange(used, count)
            for source in range(self.sources):
                yield hills, source, part, np.stack((np.full(lanes.size, source), lanes), axis=1)
            at = part.stop

    def _held(self, apart: Floats, asked: NDArray[np.bool_]) -> Floats:
        """Return the evidence of families apart, held from each frame in which it was asked for to the next."""
        known = self.old_apart[:, -1:] if self.old_apart.shape[1] else np.zeros_like(apart[:, :1])
        last = np.maximum.accumulate(np.where(asked, np.arange(1, asked.size + 1), 0))
        return np.concatenate((known, apart), axis=1)[:, last]

    def _drop_hills(self, ready: int) -> None:
        """Forget the hills of the first frames."""
        while ready > 0:
            hills, count, used = self.hills.popleft()
            gone = min(ready, count - used)
            ready -= gone
            if used + gone < count:
                self.hills.appendleft((hills, count, used + gone))


def fused(scores: Shares) -> Shares:
    """Return the evidence of all sources together for each speed.

    Equation: log of the mean of exp(evidence)
    Valid: one of the sources hears the rotor, nobody knows which; it may change from one instant to the next.
    Shapes: (sources, n, v) -> (n, v)
    Source: Bayes' rule for a mixture with even shares.
    """
    if scores.shape[0] == 1:
        return np.asarray(scores[0], np.float32)
    most = scores.max(axis=0)
    return np.asarray(most + np.log(np.exp(scores - most).mean(axis=0)), np.float32)


def _motion() -> Shares:
    """Return how likely the speed moves by each number of grid steps from one frame to the next.

    A head that is held, one that hunts or is ramped, and one that falls or is spooled up as fast as can be. A speed and
    half of it move by the same share, so half of it by fewer steps: where motion costs much, the lower one is told.
    """
    reach = int(np.ceil(FASTEST_PER_S * HOP_S / STEP_SHARE))
    away = np.arange(-reach, reach + 1)
    held = np.exp(-0.5 * (away / HELD_STEPS) ** 2)
    ramped = np.exp(-0.5 * (away * STEP_SHARE / (RAMPED_PER_S * HOP_S)) ** 2)
    swift = np.exp(-np.abs(away) / (0.35 * reach))
    shares = zip(MOTION_SHARES, (held, ramped, swift), strict=True)
    return np.asarray(sum(share * one / one.sum() for share, one in shares), np.float32)


def _none() -> Frames:
    empty = np.zeros(0)
    return Frames(
        time_s=empty, head_speed_rpm=empty, confidence=empty, doubt_rpm=empty, heard=np.zeros((0, len(FAMILIES))),
        blades=np.zeros((0, len(BLADES))), source=np.zeros(0, np.int64), rival_times=empty,
    )  # fmt: skip


LONGEST_WAIT_S = 0.5 * WINDOWS_S[0] + LOOK_AHEAD_S + HOP_S
"""How far a frame lies behind the samples pushed."""
