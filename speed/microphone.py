"""How far the head speed on the page lies behind the sound that the browser's microphone gives it.

Run by hand: python speed/microphone.py
A real Chromium hears an invented rotor from a file: nothing but noise, then one speed, then a step to another.
Each begins with a tone far above all that steadyhead listens to; a tap on the same microphone in the page stamps that
tone, and the page's own figure is stamped on the same clock when it follows.
"""

import statistics
import sys
import tempfile
from pathlib import Path

import numpy as np
import soundfile

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from playwright.sync_api import sync_playwright

from steadyhead import job
from steadyhead.machine.bundled import bundled
from tests.browser.conftest import CHROMIUM, FLAGS, Server, free_port, visit
from tests.naive.rotor_sound import Rotor, machine_sound

RATE_HZ = 48_000
SLOW_RPM, FAST_RPM = 1800.0, 1990.0
QUIET_S, SLOW_S, FAST_S = 2.0, 3.0, 3.0
SOUND_TONE_HZ, FAST_TONE_HZ = 15_500.0, 18_000.0
LISTEN_S = 45.0
WATCH = """([soundTone, fastTone, middle]) => {
  const place = document.querySelector(".ear"), ear = place.ear;
  const tap = new AnalyserNode(ear.context, {fftSize: 512, smoothingTimeConstant: 0});
  ear.context.createMediaStreamSource(ear.stream).connect(tap);
  const bins = new Float32Array(tap.frequencyBinCount);
  const level = (hz) => bins[Math.round(hz * tap.fftSize / ear.context.sampleRate)];
  const last = {};
  window.stamps = [];
  const stamp = (what, now) => {
    if (last[what] === now) return;
    if (what in last) window.stamps.push([performance.now(), what, now]);
    last[what] = now;
  };
  setInterval(() => {
    tap.getFloatFrequencyData(bins);
    stamp("tone of sound", level(soundTone) > -35);
    stamp("tone of step", level(fastTone) > -35);
  }, 4);
  new MutationObserver(() => {
    const rpm = Number(place.dataset.rpm || 0);
    stamp("heard", rpm > 0);
    if (rpm > 0) stamp("fast", rpm > middle);
  }).observe(place, {attributes: true, attributeFilter: ["data-rpm"]});
}"""


def capture(path: Path) -> Path:
    """Write what the microphone hears: noise, one speed, a step to another."""
    rotor = Rotor(pinion=13, gear=117, pole_pairs=5, tail_ratio=4.5, top_rpm=2700.0)
    speeds = np.concatenate((np.full(round(100 * SLOW_S), SLOW_RPM), np.full(round(100 * FAST_S), FAST_RPM)))
    sound = machine_sound(rotor, speeds, RATE_HZ, blades_on=False, seed=9)
    quiet = np.zeros(round(QUIET_S * RATE_HZ))
    whole = np.concatenate((quiet, sound / np.std(sound)))
    whole += 0.5 * np.random.default_rng(2).normal(size=whole.size)
    whole *= 0.6 / np.max(np.abs(whole))
    time_s = np.arange(whole.size) / RATE_HZ
    for tone_hz, begins_s in ((SOUND_TONE_HZ, QUIET_S), (FAST_TONE_HZ, QUIET_S + SLOW_S)):
        whole += np.where(time_s >= begins_s, 0.15 * np.sin(2.0 * np.pi * tone_hz * time_s), 0.0)
    soundfile.write(path, whole, RATE_HZ, subtype="PCM_16")
    return path


def lags_s(stamps: list, tone: str, follows: str) -> list[float]:
    """Return the seconds from each beginning of a tone to the page's next change that follows it."""
    found = []
    for at, (began_ms, what, now) in enumerate(stamps):
        if what == tone and now:
            after = [ms for ms, w, n in stamps[at + 1 :] if w == follows and n]
            found += [(after[0] - began_ms) / 1000.0] if after else []
    return found


def main() -> None:
    """Let a page listen, and print by how much it lags."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        with job.record.open_record(home / "record.sqlite") as record:
            job.record.keep_machine(record, bundled("fox600"))
        heard = capture(home / "capture.wav")
        server = Server(home=home, port=free_port())
        server.start()
        try:
            with sync_playwright() as player:
                fake = ("--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream")
                flags = [*FLAGS, *fake, f"--use-file-for-fake-audio-capture={heard}"]
                browser = player.chromium.launch(executable_path=CHROMIUM, args=flags)
                seen = visit(browser, server.origin)
                seen.go("/m/Fox%20600/sound")
                seen.page.get_by_role("button", name="Listen", exact=True).click()
                seen.page.wait_for_function("Number(document.querySelector('.ear').dataset.rpm) > 0")
                seen.page.evaluate(WATCH, [SOUND_TONE_HZ, FAST_TONE_HZ, (SLOW_RPM + FAST_RPM) / 2.0])
                seen.page.wait_for_timeout(1000.0 * LISTEN_S)
                stamps = seen.page.evaluate("window.stamps")
                browser.close()
        finally:
            server.kill()
    for name, tone, follows in (
        ("a step of 190 rpm, to half way", "tone of step", "fast"),
        ("sound that begins, to the first figure", "tone of sound", "heard"),
    ):
        lags = lags_s(stamps, tone, follows)
        if lags:
            print(f"{name:40s} median {statistics.median(lags):.2f} s, most {max(lags):.2f} s, of {len(lags)}")
        else:
            print(f"{name:40s} nothing followed: {stamps[:8]}")


if __name__ == "__main__":
    main()
