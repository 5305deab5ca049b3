"""Invented sounds of everything that is not the rotor asked for; imports nothing of ours.

Another helicopter, tones, music, voices, workshop machines and weather: what stands around a model flying site. All are
made from what such sources do (strings and reeds by whole multiples, engines by firings, a voice by pulses through
resonances), with levels, speeds and tremble drawn by seed.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy import signal

from tests.naive.rotor_sound import (
    Made,
    Rotor,
    at_ratio,
    clipped,
    coloured,
    course,
    echo,
    levelled,
    lossy,
    machine_sound,
)

Floats = NDArray[np.float64]
TOP_RPM = (1900.0, 3300.0)
SECONDS = 6.0
RATES_HZ = (16000, 22050, 32000, 44100)
KINDS = ("hover", "modes", "hunt", "hover", "spool", "quick")
SNR_DB = (10.0, 6.0, 3.0, 0.0, -3.0)
AFTER = ("", "", "echo", "clipped", "levelled", "lossy")


def drawn_rotor(seed: int) -> Rotor:
    """An invented machine with drawn teeth, poles and tail ratio."""
    draw = np.random.default_rng(seed)
    blades = 2 if draw.random() < 0.8 else 3
    pole_pairs, tail_ratio = int(draw.integers(3, 8)), float(np.round(draw.uniform(3.9, 5.2), 2))
    top_rpm = float(np.round(draw.uniform(*TOP_RPM)))
    tail_blades = 2 if draw.random() < 0.85 else 3
    words = {"blades": blades, "pole_pairs": pole_pairs, "tail_ratio": tail_ratio, "tail_blades": tail_blades}
    if draw.random() < 0.25:
        one, two = int(draw.integers(15, 20)), int(draw.integers(13, 18))
        return Rotor(
            pinion=one, gear=int(draw.integers(45, 60)), second_pinion=two, second_gear=int(draw.integers(55, 75)),
            top_rpm=top_rpm, **words,
        )  # fmt: skip
    return Rotor(pinion=int(draw.integers(10, 17)), gear=int(draw.integers(95, 140)), top_rpm=top_rpm, **words)


def knots(draw: np.random.Generator, seconds: float, every_s: float, low: float, high: float) -> Callable[..., Floats]:
    """A drawn course between two values, straight between its knots."""
    at = np.arange(0.0, seconds + 2.0 * every_s, every_s)
    values = draw.uniform(low, high, at.size)
    return lambda t: np.asarray(np.interp(t, at, values))


def tones(pitch_hz: Floats, gains: dict[float, float], rate_hz: int, draw: np.random.Generator) -> Floats:
    """Tones at multiples of a pitch that may glide; those above what the rate carries are left out."""
    turns = np.cumsum(pitch_hz) / rate_hz
    out = np.zeros(pitch_hz.size)
    for multiple, gain in gains.items():
        if multiple * pitch_hz.max() < 0.45 * rate_hz:
            out += gain * np.sin(2.0 * np.pi * (multiple * turns + draw.random()))
    return out


def whistle(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """One tone, held."""
    return tones(np.full(count, draw.uniform(60.0, 4000.0)), {1.0: 1.0}, rate_hz, draw)


def wavering(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """One tone with a weak second and third, that wavers as a lip or a flute does."""
    t = np.arange(count) / rate_hz
    pitch = draw.uniform(200.0, 2500.0) * (1.0 + draw.uniform(0.002, 0.02) * np.sin(2 * np.pi * draw.uniform(3, 7) * t))
    return tones(pitch, {1.0: 1.0, 2.0: draw.uniform(0.0, 0.3), 3.0: draw.uniform(0.0, 0.2)}, rate_hz, draw)


def gliding(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """A siren: a tone with multiples that goes up and down over seconds."""
    t = np.arange(count) / rate_hz
    pitch = knots(draw, t[-1], draw.uniform(0.8, 2.5), 300.0, 1500.0)(t)
    return tones(pitch, {float(k): k ** -draw.uniform(0.8, 2.0) for k in range(1, 9)}, rate_hz, draw)


def hum_of_mains(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """A transformer: even multiples of the mains, drawn levels."""
    mains = float(draw.choice([50.0, 60.0])) * (1.0 + 2e-4 * draw.standard_normal())
    gains = {float(k): draw.uniform(0.05, 1.0) / k**0.5 for k in (1, 2, 4, 6, 8, 10, 12, 14)}
    return tones(np.full(count, mains), gains, rate_hz, draw)


def hum_of_room(
    count: int, rate_hz: int, draw: np.random.Generator, mains_hz: float = 50.0, kind: str = "full"
) -> Floats:
    """What rectifiers, dimmers and loose sheets make of the mains: many multiples, uneven, as still as a grid is."""
    drift = knots(draw, count / rate_hz, 1.0, -1.0, 1.0)(np.arange(count) / rate_hz)
    mains = mains_hz * (1.0 + 1e-3 * draw.uniform(-1.0, 1.0) + 1e-4 * drift)
    shares = {"full": (1.0, 1.0), "even": (1.0, 0.0), "odd": (0.0, 1.0), "dimmer": (1.0, 0.3)}[kind]
    tilt = draw.uniform(0.2, 1.0)
    gains = {float(k): shares[k % 2] * np.exp(0.8 * draw.standard_normal()) * k**-tilt for k in range(1, 60)}
    return tones(mains, gains, rate_hz, draw)


def buzzer(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """An alarm or a motor that beeps: a saw or a square wave, on and off or held."""
    t = np.arange(count) / rate_hz
    step, pitch = int(draw.integers(1, 3)), draw.uniform(45.0, 3000.0)
    gains = {float(k): 1.0 / k for k in range(1, max(2, int(0.45 * rate_hz / pitch)), step)}
    on = np.ones(count) if draw.random() < 0.6 else (np.sin(2 * np.pi * draw.uniform(0.5, 3.0) * t) > 0.0) * 1.0
    return tones(np.full(count, pitch), gains, rate_hz, draw) * on


def fan(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """A cooling fan or a vacuum cleaner: shaft and blade tones, few multiples, a steady speed, its rush."""
    drift = knots(draw, count / rate_hz, 0.3, -1.0, 1.0)(np.arange(count) / rate_hz)
    shaft = draw.uniform(18.0, 320.0) * (1.0 + 3e-4 * drift)
    blades = int(draw.integers(3, 12))
    gains = {1.0: draw.uniform(0.0, 0.6), 2.0: draw.uniform(0.0, 0.3)}
    gains |= {float(blades * k): k**-0.7 * draw.uniform(0.3, 1.0) for k in range(1, int(draw.integers(2, 5)))}
    gains[float(draw.choice([2.0, 4.0, 6.0]) * blades + 1.0)] = draw.uniform(0.0, 0.3)
    return tones(shaft, gains, rate_hz, draw)


def chord(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """Music: three or four equal-tempered notes at a time, each with its multiples, struck or held."""
    t, out, at = np.arange(count) / rate_hz, np.zeros(count), 0.0
    while at < t[-1]:
        length, root = draw.uniform(0.4, 2.0), 55.0 * 2.0 ** (int(draw.integers(0, 30)) / 12.0)
        part = (t >= at) & (t < at + length)
        fall = np.exp(-draw.uniform(0.0, 3.0) * (t[part] - at))
        for step in (0, int(draw.choice([3, 4])), 7, int(draw.choice([10, 11, 12]))):
            gains = {float(k): k ** -draw.uniform(0.7, 1.8) for k in range(1, 10)}
            out[part] += fall * tones(np.full(int(part.sum()), root * 2.0 ** (step / 12.0)), gains, rate_hz, draw)
        at += length
    return out


def voice(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """Vowels held or sung: pulses at a pitch that hardly moves, through three resonances."""
    t = np.arange(count) / rate_hz
    pitch = draw.uniform(85.0, 280.0) * (1.0 + 0.01 * np.sin(2 * np.pi * 5.5 * t))
    pitch *= knots(draw, t[-1], draw.uniform(0.4, 1.5), 0.85, 1.2)(t)
    out = tones(pitch, {float(k): k**-1.0 for k in range(1, 30)}, rate_hz, draw)
    shaped = 0.05 * out
    for low, high in ((300, 900), (900, 2400), (2300, 3000)):
        middle = min(draw.uniform(low, high), 0.4 * rate_hz)
        taps = signal.butter(1, [0.93 * middle, 1.07 * middle], "bandpass", fs=rate_hz, output="sos")
        shaped += signal.sosfilt(taps, out)
    spoken = (draw.random(int(t[-1] / 0.2) + 3) < 0.8) * 1.0
    return shaped * np.interp(t, 0.2 * np.arange(spoken.size), spoken)


def drill(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """A hand drill: shaft, commutator and gear tones, the speed sagging and rising."""
    t = np.arange(count) / rate_hz
    shaft = draw.uniform(120.0, 400.0) * knots(draw, t[-1], draw.uniform(0.5, 2.0), 0.85, 1.0)(t)
    bars, teeth = int(draw.integers(16, 33)), int(draw.integers(5, 9))
    gains = {1.0: 0.5, 2.0: 0.3, 3.0: 0.15, float(teeth): 0.8, 2.0 * teeth: 0.5, 3.0 * teeth: 0.3}
    gains |= {float(bars): 0.7, 2.0 * bars: 0.4, teeth - 1.0: 0.2, teeth + 1.0: 0.2}
    return tones(shaft, gains, rate_hz, draw)


def engine(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """A brush cutter, mower or generator: firings with all their multiples, uneven from one to the next."""
    t = np.arange(count) / rate_hz
    firing = draw.uniform(40.0, 170.0) * knots(draw, t[-1], draw.uniform(0.3, 2.0), 0.9, 1.0)(t)
    uneven = draw.standard_normal(int(100 * t[-1]) + 102)
    firing *= 1.0 + 0.004 * np.interp(t, 0.01 * np.arange(uneven.size), uneven)
    four_stroke = draw.random() < 0.5
    gains = {float(k): k**-0.7 * np.exp(0.5 * draw.standard_normal()) for k in range(1, 26)}
    gains |= {k + 0.5: 0.3 * (k + 1.0) ** -0.7 for k in range(8 if four_stroke else 0)}
    return tones(firing, gains, rate_hz, draw)


def drone(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """Four propellers at nearly one speed each, with blade-pass and electrical tones."""
    t, out = np.arange(count) / rate_hz, np.zeros(count)
    speed, poles = draw.uniform(60.0, 160.0), int(draw.integers(6, 8))
    gains = {float(2 * k): k**-0.7 for k in range(1, 9)} | {6.0 * poles: 0.2, 1.0: 0.1}
    for _ in range(4):
        own = speed * draw.uniform(0.95, 1.05) * knots(draw, t[-1], 0.4, 0.98, 1.02)(t)
        out += tones(own, gains, rate_hz, draw)
    return out


def wind(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """Wind in gusts over a microphone, nothing else."""
    return coloured(count, rate_hz, int(draw.integers(1 << 30)), slope=draw.uniform(1.5, 2.5), gusts=0.8)


def helicopter(count: int, rate_hz: int, draw: np.random.Generator, blades_on: bool = True) -> Floats:
    """Another helicopter: other teeth, poles and tail ratio."""
    rotor = drawn_rotor(int(draw.integers(1 << 30)))
    kind = str(draw.choice(["hover", "hover", "modes", "hunt"]))
    head = course(kind, count / rate_hz + 0.02, rotor, int(draw.integers(1 << 30)))
    sound = machine_sound(rotor, head, rate_hz, blades_on=blades_on, seed=int(draw.integers(1 << 30)))
    return np.asarray(sound[:count])


def bare_helicopter(count: int, rate_hz: int, draw: np.random.Generator) -> Floats:
    """Another helicopter on the bench, blades off."""
    return helicopter(count, rate_hz, draw, blades_on=False)


OTHERS: dict[str, Callable[[int, int, np.random.Generator], Floats]] = {
    "another helicopter": helicopter,
    "another helicopter, blades off": bare_helicopter,
    "whistle": whistle,
    "wavering tone": wavering,
    "siren": gliding,
    "mains hum": hum_of_mains,
    "buzzer": buzzer,
    "fan": fan,
    "music": chord,
    "voice": voice,
    "drill": drill,
    "petrol engine": engine,
    "drone": drone,
    "wind": wind,
}


def other(kind: str, count: int, rate_hz: int, seed: int) -> Floats:
    """One of these sounds, standard deviation 1."""
    sound = OTHERS[kind](count, rate_hz, np.random.default_rng(seed))
    return np.asarray(sound / (np.std(sound) + 1e-12))


def noise(draw: np.random.Generator, count: int, rate_hz: int) -> Floats:
    """White noise, pink noise or wind."""
    slope = float(draw.choice([0.0, 1.0, 2.0]))
    return coloured(count, rate_hz, int(draw.integers(1 << 30)), slope=slope, gusts=0.8 * (slope == 2.0))


def recorded(sound: Floats, rate_hz: int, after: str) -> Floats:
    """What a recorder made of a sound, at full scale."""
    shaped = {
        "": lambda: sound, "echo": lambda: echo(sound, rate_hz), "clipped": lambda: clipped(sound),
        "levelled": lambda: levelled(sound, rate_hz), "lossy": lambda: lossy(sound, rate_hz),
    }[after]()  # fmt: skip
    return shaped / (1.05 * np.max(np.abs(shaped)))


def alone(kind: str, seed: int) -> Made:
    """Another source over noise 0 to 25 dB fainter, with a machine that is not in it."""
    draw = np.random.default_rng([seed, 1])
    rotor, rate_hz = drawn_rotor(int(draw.integers(1 << 30))), int(draw.choice(RATES_HZ))
    count = int(SECONDS * rate_hz)
    sound = other(kind, count, rate_hz, int(draw.integers(1 << 30)))
    sound = at_ratio(sound, noise(draw, count, rate_hz), float(draw.uniform(0.0, 25.0)))
    time_s = np.arange(0.0, SECONDS, 0.01)
    shaped = recorded(sound, rate_hz, str(draw.choice(AFTER)))
    return Made(sound=shaped, rate_hz=rate_hz, time_s=time_s, head_rpm=np.zeros(time_s.size), rotor=rotor)


def beside(kind: str, snr_db: float, blades_on: bool, seed: int, course_kind: str | None = None) -> Made:
    """The rotor beside another source; "noise" is none but noise."""
    draw = np.random.default_rng([seed, 2])
    rotor, rate_hz = drawn_rotor(int(draw.integers(1 << 30))), int(draw.choice(RATES_HZ))
    head = course(course_kind or str(draw.choice(KINDS)), SECONDS, rotor, int(draw.integers(1 << 30)))
    sound = machine_sound(rotor, head, rate_hz, blades_on=blades_on, seed=int(draw.integers(1 << 30)))
    over = noise(draw, sound.size, rate_hz)
    if kind != "noise":
        over = other(kind, sound.size, rate_hz, int(draw.integers(1 << 30))) + 0.2 * over
    shaped = recorded(at_ratio(sound, over, snr_db), rate_hz, str(draw.choice(AFTER)))
    return Made(sound=shaped, rate_hz=rate_hz, time_s=0.01 * np.arange(head.size), head_rpm=head, rotor=rotor)
