"""Invented recordings of rotors with known speed, made sample by sample; imports nothing of ours.

The maker shares no model with the tracker: lines wander in phase and level by themselves, some are missing, levels are
uneven, and everything that a field adds can be laid over them.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy import signal

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Rotor:
    """An invented machine: teeth, ratios and poles."""

    pinion: int = 12
    gear: int = 108
    second_pinion: int = 0
    second_gear: int = 0
    pole_pairs: int = 5
    blades: int = 2
    tail_blades: int = 2
    tail_ratio: float = 4.6
    top_rpm: float = 2600.0

    @property
    def ratio(self) -> float:
        """Motor turns for one head turn."""
        return self.gear / self.pinion * (self.second_gear / self.second_pinion if self.second_pinion else 1.0)

    @property
    def meshes(self) -> tuple[float, ...]:
        """Teeth that pass each mesh in one head turn."""
        return (self.ratio * self.pinion, self.second_gear) if self.second_pinion else (self.gear,)


ROTORS = (
    Rotor(),
    Rotor(pinion=11, gear=126, pole_pairs=3, tail_ratio=4.1, top_rpm=3600.0),
    Rotor(pinion=18, gear=50, second_pinion=16, second_gear=63, pole_pairs=5, tail_ratio=4.83, top_rpm=2900.0),
    Rotor(pinion=14, gear=112, pole_pairs=7, blades=3, tail_ratio=4.4, top_rpm=2300.0),
)


@dataclass(frozen=True, kw_only=True)
class Made:
    """A recording with its truth."""

    sound: Floats
    rate_hz: int
    time_s: Floats
    head_rpm: Floats
    """Truth every 10 ms."""
    rotor: Rotor = field(default_factory=Rotor)


def course(kind: str, seconds: float, rotor: Rotor, seed: int) -> Floats:
    """Head speed, rpm, every 10 ms."""
    draw = np.random.default_rng(seed)
    t = np.arange(0.0, seconds, 0.01)
    hold = rotor.top_rpm * draw.uniform(0.62, 0.85)
    if kind == "modes":
        levels = np.sort(rotor.top_rpm * draw.uniform(0.55, 0.9, 3))
        speed = levels[np.minimum((3 * t / seconds).astype(int), 2)]
        speed = signal.lfilter([0.012], [1, -0.988], speed - speed[0]) + speed[0]
    elif kind == "spool":
        start, rise = 0.12 * seconds, 0.5 * seconds
        speed = hold * np.clip((t - start) / rise, 0.0, 1.0)
    elif kind == "coast":
        speed = hold * np.where(t < 0.4 * seconds, 1.0, np.exp(-(t - 0.4 * seconds) / (0.3 * seconds)))
    elif kind == "quick":
        dip = hold * (0.55 + 0.45 * np.clip((t - 0.5 * seconds) / 1.6, 0.0, 1.0))
        speed = np.where(t < 0.3 * seconds, hold, np.maximum(dip, hold * (1 - 0.3 * (t - 0.3 * seconds))))
        speed = np.where(t > 0.5 * seconds, dip, speed)
    elif kind == "hunt":
        speed = hold * (1.0 + 0.02 * np.sin(2 * np.pi * draw.uniform(1.2, 3.5) * t))
    else:
        load = np.clip(signal.lfilter([0.02], [1, -0.98], (draw.random(t.size) < 0.004) * 50.0), 0, 1)
        speed = hold * (1.0 - 0.03 * load)
    wander = signal.lfilter([0.1], [1, -0.9], draw.standard_normal(t.size))
    return np.asarray(speed * (1.0 + 0.0006 * wander), np.float64)


def machine_sound(
    rotor: Rotor, head_rpm: Floats, rate_hz: int, *, blades_on: bool, seed: int, without: str = ""
) -> Floats:
    """The sound of the machine alone, peak about 1; with blades on, `without` leaves off "main" or "tail" ones."""
    draw = np.random.default_rng(seed)
    at = np.arange(int(head_rpm.size * 0.01 * rate_hz)) / rate_hz
    rpm = np.interp(at, 0.01 * np.arange(head_rpm.size), head_rpm)
    turns = np.cumsum(rpm) / 60.0 / rate_hz
    level = (rpm / rotor.top_rpm) ** 1.5
    families = [(order, 3, 1.0) for order in rotor.meshes]
    families += [(rotor.ratio * rotor.pole_pairs, 2, 0.5), (6 * rotor.ratio * rotor.pole_pairs, 2, 0.5)]
    families += [(rotor.ratio, 2, 0.2), (1.0, 3, 0.1)]
    if blades_on:
        families = [(order, count, 0.25 * size) for order, count, size in families]
        main, tail = (rotor.blades, 9, 1.5), (rotor.tail_blades * rotor.tail_ratio, 5, 1.0)
        families += [one for name, one in (("main", main), ("tail", tail)) if name != without]
    out = np.zeros(at.size)
    for order, count, size in families:
        # each family trembles by itself, play in the gears and turbulence at the blades, but stays geared to the rotor
        knots = np.arange(0, at[-1] + 1, 0.05)
        shaken = signal.lfilter([0.53], [1, -0.85], 0.2 * draw.standard_normal(knots.size))
        loose = np.interp(at, knots, shaken)
        for multiple in range(1, count + 1):
            gain = size * multiple**-0.6 * np.exp(0.6 * draw.standard_normal())
            if draw.random() < 0.2:
                gain *= 0.05
            breath = np.interp(
                at, np.arange(0, at[-1] + 1, 0.2), np.exp(0.3 * draw.standard_normal(int(at[-1] * 5) + 6))
            )
            fits = order * multiple * rpm / 60.0 < 0.45 * rate_hz
            out += (
                gain
                * breath
                * level
                * fits
                * np.sin(2 * np.pi * order * multiple * turns + multiple * loose + 6 * draw.random())
            )
    return out / (np.max(np.abs(out)) + 1e-12)


def coloured(count: int, rate_hz: int, seed: int, *, slope: float, gusts: float = 0.0) -> Floats:
    """Noise with a power that falls as frequency to the `slope`, in gusts."""
    draw = np.random.default_rng(seed)
    spectrum = np.fft.rfft(draw.standard_normal(count))
    hz = np.fft.rfftfreq(count, 1.0 / rate_hz)
    noise = np.fft.irfft(spectrum * np.maximum(hz, 20.0) ** (-0.5 * slope), count)
    seconds = int(count / rate_hz) + 2
    force = np.interp(
        np.arange(count) / rate_hz, np.arange(0, seconds, 0.5), np.exp(gusts * draw.standard_normal(2 * seconds))
    )
    return np.asarray(noise * force / np.std(noise * force))


def talk(count: int, rate_hz: int, seed: int) -> Floats:
    """A voice that is none: a buzz whose pitch glides, through two moving resonances, in bursts."""
    draw = np.random.default_rng(seed)
    t = np.arange(count) / rate_hz
    knots = np.arange(0, t[-1] + 1, 0.25)
    pitch = np.interp(t, knots, draw.uniform(90, 240, knots.size))
    buzz = np.sign(np.sin(2 * np.pi * np.cumsum(pitch) / rate_hz)) * np.sin(np.pi * np.cumsum(pitch) / rate_hz)
    out = np.zeros(count)
    for low, high in ((300, 900), (1100, 2400)):
        taps = signal.butter(2, [low, min(high, 0.45 * rate_hz)], "bandpass", fs=rate_hz, output="sos")
        out += signal.sosfilt(taps, buzz)
    out *= np.interp(t, knots, (draw.random(knots.size) < 0.6).astype(float))
    return np.asarray(out / (np.std(out) + 1e-12))


def hum(count: int, rate_hz: int, mains_hz: float = 50.0) -> Floats:
    """Mains hum with its multiples."""
    t = np.arange(count) / rate_hz
    out = sum(np.sin(2 * np.pi * k * mains_hz * t + k) / k for k in (1, 2, 3, 4, 5, 6, 8, 10))
    return np.asarray(out / np.std(out))


def at_ratio(wanted: Floats, other: Floats, snr_db: float) -> Floats:
    """Lay noise over a sound at a ratio of powers over the whole band, where the sound is loud."""
    loud = np.abs(wanted) > 0.2 * np.max(np.abs(wanted))
    power = np.mean(wanted[loud] ** 2) * np.mean(loud) / max(np.mean(loud), 0.2)
    power = np.quantile(np.convolve(wanted**2, np.full(2000, 1 / 2000), "same"), 0.8) if power > 0 else 0.0
    return np.asarray(wanted + other * np.sqrt(power / 10 ** (0.1 * snr_db)) / np.std(other))


def echo(sound: Floats, rate_hz: int) -> Floats:
    """A hall: three late copies."""
    out = sound.copy()
    for delay_s, gain in ((0.011, 0.6), (0.037, 0.4), (0.083, 0.3)):
        late = int(delay_s * rate_hz)
        out[late:] += gain * sound[:-late]
    return out


def clipped(sound: Floats) -> Floats:
    """Recorded four times too loud."""
    return np.clip(sound, -0.25 * np.max(np.abs(sound)), 0.25 * np.max(np.abs(sound)))


def levelled(sound: Floats, rate_hz: int) -> Floats:
    """A recorder that levels by itself, quickly."""
    smooth = int(0.15 * rate_hz)
    power = np.convolve(sound**2, np.full(smooth, 1.0 / smooth), "same")
    return np.asarray(sound / np.sqrt(power + 1e-6 * np.max(power)))


def lossy(sound: Floats, rate_hz: int) -> Floats:
    """Something like lossy compression: weak bins of each short spectrum dropped, the others coarsely rounded."""
    _, _, bins = signal.stft(sound, rate_hz, nperseg=1024)
    level = signal.medfilt2d(np.abs(bins), (31, 1)) + 1e-9
    keep = np.abs(bins) > 1.2 * level
    rounded = level * np.round(np.abs(bins) / level) * np.exp(1j * np.angle(bins))
    _, out = signal.istft(np.where(keep, rounded, 0.0), rate_hz, nperseg=1024)
    return np.asarray(out[: sound.size])


def flown_by(sound: Floats, rate_hz: int, speed_m_s: float, nearest_m: float) -> Floats:
    """The same sound from a machine that flies past, 340 m/s sound: pitch and level as they arrive."""
    t = np.arange(sound.size) / rate_hz
    way = np.hypot(nearest_m, speed_m_s * (t - 0.5 * t[-1]))
    arrives = t + way / 340.0
    heard = np.interp(np.linspace(arrives[0], arrives[-1], sound.size), arrives, sound * nearest_m / way)
    return np.asarray(heard)


def made(
    kind: str = "hover", *, rotor: Rotor = ROTORS[0], seconds: float = 8.0, rate_hz: int = 22050,
    blades_on: bool = True, snr_db: float = 6.0, over: str = "white", after: str = "", seed: int = 1,
) -> Made:  # fmt: skip
    """One recording: a course of speed, what lies over it, and what the recorder did to it."""
    head = course(kind, seconds, rotor, seed)
    sound = machine_sound(rotor, head, rate_hz, blades_on=blades_on, seed=seed + 1)
    others = {
        "white": lambda: coloured(sound.size, rate_hz, seed + 2, slope=0.0),
        "pink": lambda: coloured(sound.size, rate_hz, seed + 2, slope=1.0),
        "wind": lambda: coloured(sound.size, rate_hz, seed + 2, slope=2.0, gusts=0.8),
        "talk": lambda: talk(sound.size, rate_hz, seed + 2) + 0.2 * coloured(sound.size, rate_hz, seed + 3, slope=1.0),
        "hum": lambda: hum(sound.size, rate_hz) + 0.3 * coloured(sound.size, rate_hz, seed + 2, slope=1.0),
        "second": lambda: machine_sound(
            ROTORS[2], course("hover", seconds, ROTORS[2], seed + 5), rate_hz, blades_on=True, seed=seed + 6
        ) + 0.05 * coloured(sound.size, rate_hz, seed + 3, slope=0.0),
    }  # fmt: skip
    mixed = at_ratio(sound, others[over](), snr_db)
    shaped = {
        "": lambda x: x,
        "echo": lambda x: echo(x, rate_hz),
        "clipped": clipped,
        "levelled": lambda x: levelled(x, rate_hz),
        "lossy": lambda x: lossy(x, rate_hz),
    }[after](mixed)
    shaped = shaped / (1.05 * np.max(np.abs(shaped)))
    return Made(sound=shaped, rate_hz=rate_hz, time_s=0.01 * np.arange(head.size), head_rpm=head, rotor=rotor)
