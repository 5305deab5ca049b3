"""The listener against librosa.pyin and a plain STFT peak, on the same invented recordings, in one run.

The peers are given every help: pyin is told the range of blade-pass (blades on) or of the first mesh (blades off, on
the recording brought down to where it can search), and a known order turns its pitch into head speed; the STFT peak is
looked for only within 12 % of the true speed. The listener is told nothing but the machine.

pyin runs twice: as a user would call it (frame 2048, hop 512 samples), and at the 25 ms hop of the listener.

Times are processor time of this process, the least of several runs one after the other of each, so that a busy machine
does not blur the ratio.

Run: python speed/listen_against_pyin.py [seconds]
"""

import sys
import time
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.trace.heard import BLOCK_S
from steadyhead.trace.sound_tracker import CLAIMED_FROM
from tests.heard_rotor import tracked
from tests.naive.rotor_sound import ROTORS, Made, made

TOP_RPM_SHARE = (0.25, 1.05)
OWN_RUNS, PEER_RUNS = 15, 4
T = TypeVar("T")


def least(runs: int, work: Callable[[], T]) -> tuple[T, float]:
    """Return what some work gives, and the least processor time that it took, s."""
    times = []
    for _ in range(runs):
        begun = time.process_time()
        found = work()
        times.append(time.process_time() - begun)
    return found, min(times)


def pyin(given: Made, order: float, hop: int) -> tuple[np.ndarray, np.ndarray, float]:
    import librosa

    low, high = (share * given.rotor.top_rpm / 60.0 * order for share in TOP_RPM_SHARE)
    frame = 2048 if low > 4.0 * given.rate_hz / 2048 else 8192
    words = {"fmin": low, "fmax": min(high, 0.45 * given.rate_hz), "frame_length": frame, "hop_length": hop}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found, seconds = least(PEER_RUNS, lambda: librosa.pyin(given.sound, sr=given.rate_hz, fill_na=None, **words))
    pitch, voiced, _ = found
    return 60.0 * pitch / order, voiced, seconds


def stft_peak(given: Made, order: float) -> np.ndarray:
    """Strongest bin within 12 % of the true line, window 0.24 s."""
    size = int(0.24 * given.rate_hz)
    centres = np.arange(0, given.sound.size - size, round(0.025 * given.rate_hz))
    out = np.full(centres.size, np.nan)
    hz = np.fft.rfftfreq(2 * size, 1.0 / given.rate_hz)
    for k, at in enumerate(centres):
        spectrum = np.abs(np.fft.rfft(given.sound[at : at + size] * np.hanning(size), 2 * size))
        true = np.interp((at + 0.5 * size) / given.rate_hz, given.time_s, given.head_rpm) / 60.0 * order
        part = (hz > 0.88 * true) & (hz < 1.12 * true)
        out[k] = 60.0 / order * hz[part][np.argmax(spectrum[part])]
    return out


def shares(off: np.ndarray) -> str:
    off = np.abs(off[np.isfinite(off)])
    if not off.size:
        return "nothing"
    return f"within 0.5 %: {100 * (off < 0.5).mean():5.1f} %, median {np.median(off):.3f} %"


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 15.0
    first = made("hover", seconds=2.0)
    tracked(first)  # compile, and let the peer load
    pyin(first, 2.0, 512)
    ratios, usual_ratios = [], []
    for blades_on, snr_db, over in (
        (False, 10.0, "white"),
        (False, 0.0, "pink"),
        (True, 10.0, "wind"),
        (True, 0.0, "white"),
    ):
        rotor = ROTORS[0]
        given = made(
            "hover", rotor=rotor, blades_on=blades_on, snr_db=snr_db, over=over, seconds=seconds, rate_hz=44100, seed=42
        )
        order = float(rotor.blades if blades_on else rotor.meshes[0])
        frames, own_s = least(OWN_RUNS, lambda given=given: tracked(given, block_s=BLOCK_S))
        truth = np.interp(frames.time_s, given.time_s, given.head_rpm)
        claimed = frames.confidence >= CLAIMED_FROM
        hop = round(0.025 * given.rate_hz)
        rpm, voiced, peer_s = pyin(given, order, hop)
        at = np.interp(hop / given.rate_hz * np.arange(rpm.size), given.time_s, given.head_rpm)
        usual_rpm, usual_voiced, usual_s = pyin(given, order, 512)
        usual_at = np.interp(512 / given.rate_hz * np.arange(usual_rpm.size), given.time_s, given.head_rpm)
        peak = stft_peak(given, order)
        peak_at = np.interp(0.12 + 0.025 * np.arange(peak.size), given.time_s, given.head_rpm)
        ratios.append(peer_s / own_s)
        usual_ratios.append(usual_s / own_s)
        print(f"blades {'on' if blades_on else 'off'}, {snr_db:.0f} dB, {over}, {seconds:.0f} s at 44.1 kHz")
        own = shares(100 * (frames.head_speed_rpm / truth - 1)[claimed])
        peer, whole = shares(100 * (rpm / at - 1)[voiced]), shares(100 * (rpm / at - 1))
        print(f"  listen     {own_s:7.3f} s  claims {claimed.mean():4.0%}  {own}")
        print(f"  pyin       {peer_s:6.2f} s  voiced {voiced.mean():4.0%}  {peer}; of all frames {whole}")
        usual = shares(100 * (usual_rpm / usual_at - 1)[usual_voiced])
        print(f"  pyin, 512  {usual_s:6.2f} s  voiced {usual_voiced.mean():4.0%}  {usual}")
        print(f"  STFT peak                         {shares(100 * (peak / peak_at - 1))}")
    for name, all_ratios in (("at the same hop", ratios), ("as it is usually called", usual_ratios)):
        print(f"pyin {name} takes", ", ".join(f"{ratio:.1f}" for ratio in all_ratios), "times as long as listen")


if __name__ == "__main__":
    main()
