"""The microphone in a real browser, fed from a file: the head speed on the page, not long behind the sound."""

import numpy as np
import pytest
import soundfile

from tests.browser.conftest import CHROMIUM, FLAGS, visit
from tests.browser.test_job import FOX
from tests.naive.rotor_sound import Rotor, machine_sound

SPEED_RPM = 1990.0
RATE_HZ = 48000


@pytest.fixture(scope="module")
def listening(tmp_path_factory, chromium, server):
    """A browser whose microphone is a recording of an invented rotor."""
    rotor = Rotor(pinion=13, gear=117, pole_pairs=5, tail_ratio=4.5, top_rpm=2700.0)
    sound = machine_sound(rotor, np.full(1000, SPEED_RPM), RATE_HZ, blades_on=False, seed=9)
    sound = sound / np.std(sound) + 0.5 * np.random.default_rng(2).normal(size=sound.size)
    path = tmp_path_factory.mktemp("sound") / "capture.wav"
    soundfile.write(path, 0.5 * sound / np.max(np.abs(sound)), RATE_HZ, subtype="PCM_16")
    fake = (
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-audio-capture={path}",
        "--autoplay-policy=no-user-gesture-required",
    )
    opened = chromium.browser_type.launch(executable_path=CHROMIUM, args=[*FLAGS, *fake])
    first = visit(opened, server.origin)
    first.go("/")
    first.page.get_by_role("button", name="Take the invented machine").click()
    first.page.wait_for_url("**/machine")
    first.page.close()
    yield opened
    opened.close()


def heard_rpm(page) -> float:
    page.wait_for_function("Number(document.querySelector('.ear').dataset.rpm) > 0")
    page.wait_for_timeout(4000)
    return float(page.locator(".ear").get_attribute("data-rpm"))


def test_the_page_shows_the_head_speed_that_the_microphone_hears(listening, server):
    seen = visit(listening, server.origin, width=390)
    seen.go(f"{FOX}/sound")
    seen.page.get_by_role("button", name="Listen", exact=True).click()
    assert abs(heard_rpm(seen.page) / SPEED_RPM - 1.0) < 0.005
    assert float(seen.page.locator(".ear").get_attribute("data-behind")) < 1.5
    seen.picture("microphone-390-light")
    seen.page.get_by_role("button", name="Stop listening").click()
    seen.page.get_by_text("Stopped.").wait_for()
    assert seen.outside() == []
    assert seen.troubles == []
    seen.page.close()


def test_a_line_that_nobody_was_promised_is_closed(listening, server):
    seen = visit(listening, server.origin)
    seen.go(f"{FOX}/sound")
    reason = seen.page.evaluate(
        """() => new Promise((told) => {
          const socket = new WebSocket(location.origin.replace("http", "ws") + "/live/guess?rate=48000");
          socket.onclose = (event) => told(event.reason);
        })"""
    )
    assert reason == "This page is old: load it again."
    seen.page.close()
