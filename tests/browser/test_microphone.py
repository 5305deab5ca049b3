"""The microphone in a real browser, fed from a file: the head speed on the page, not long behind the sound.

At the bench nothing of it is kept before it is accepted, and nothing at all where blades are heard."""

import numpy as np
import pytest
import soundfile

from steadyhead.bench import guided, shelf
from steadyhead.bench.record import open_record
from steadyhead.bench.safety_steps import SAFETY
from steadyhead.machine.bundled import bundled
from tests.browser.conftest import CHROMIUM, FLAGS, visit
from tests.browser.test_bench_page import confirm_safety
from tests.browser.test_job import FOX
from tests.naive.rotor_sound import Rotor, machine_sound
from tests.unit.bench.bench_answers import typed

SPEED_RPM = 1990.0
RATE_HZ = 48000


def hearing(chromium, path, *, blades_on):
    """Return a browser whose microphone is a recording of an invented rotor."""
    rotor = Rotor(pinion=13, gear=117, pole_pairs=5, tail_ratio=4.5, top_rpm=2700.0)
    sound = machine_sound(rotor, np.full(1000, SPEED_RPM), RATE_HZ, blades_on=blades_on, seed=9)
    sound = sound / np.std(sound) + 0.5 * np.random.default_rng(2).normal(size=sound.size)
    soundfile.write(path, 0.5 * sound / np.max(np.abs(sound)), RATE_HZ, subtype="PCM_16")
    fake = (
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-audio-capture={path}",
        "--autoplay-policy=no-user-gesture-required",
    )
    return chromium.browser_type.launch(executable_path=CHROMIUM, args=[*FLAGS, *fake])


@pytest.fixture(scope="module")
def listening(tmp_path_factory, chromium, server):
    opened = hearing(chromium, tmp_path_factory.mktemp("sound") / "capture.wav", blades_on=False)
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
    assert seen.page.locator(".ear-speed").inner_text() == "not listening"
    seen.page.get_by_role("button", name="Listen", exact=True).click()
    assert abs(heard_rpm(seen.page) / SPEED_RPM - 1.0) < 0.005
    assert float(seen.page.locator(".ear").get_attribute("data-behind")) < 1.5
    seen.picture("microphone-390-light")
    seen.page.get_by_role("button", name="Stop listening").click()
    seen.page.get_by_text("Stopped.").wait_for()
    assert seen.page.locator(".ear-speed").inner_text() == "not listening"
    assert not seen.page.locator(".ear").get_attribute("data-rpm")
    assert seen.outside() == []
    assert seen.troubles == []
    seen.page.close()


def test_a_speed_that_is_no_longer_heard_does_not_stay_on_the_page(listening, server):
    seen = visit(listening, server.origin)
    seen.go(f"{FOX}/sound")
    seen.page.get_by_role("button", name="Listen", exact=True).click()
    heard_rpm(seen.page)
    seen.page.evaluate("document.querySelector('.ear').ear.socket.onmessage = () => {}")
    seen.page.wait_for_function("document.querySelector('.ear-speed').textContent === 'no sound arrives'")
    assert not seen.page.locator(".ear").get_attribute("data-rpm")
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


@pytest.fixture
def at_set_point(server, listening):
    """A run that stands at its first set point, in the record that the server shows."""
    with open_record(server.home / "record.sqlite") as record:
        run = guided.start_run(record, bundled("fox600")).run
        while not (step := guided.current_step(record, run)).step.startswith("set_point"):
            guided.answer(record, run, step.step, typed(step))
        yield record, run, step


def recordings(record):
    return [kept.name for kept in shelf.recordings(record, "Fox 600")]


def test_what_the_microphone_held_is_kept_once_it_was_accepted_and_not_before(listening, server, at_set_point):
    record, run, _ = at_set_point
    seen = visit(listening, server.origin, width=390)
    seen.go(f"{FOX}/bench")
    confirm_safety(seen)
    seen.page.get_by_role("button", name="Listen", exact=True).click()
    heard_rpm(seen.page)
    take = seen.page.get_by_role("button", name="Take the speed that is held")
    take.click()
    seen.page.get_by_text("Held: 19").wait_for()
    seen.picture("bench-microphone-390-light")
    seen.page.get_by_role("button", name="Throw it away").click()
    seen.page.get_by_text("Held: 19").wait_for(state="detached")
    assert recordings(record) == []
    assert guided.run_summary(record, run).readings == ()
    take.click()
    seen.page.get_by_role("region", name="Microphone").get_by_role("button", name="Keep it").click()
    seen.page.get_by_text("microphone", exact=True).first.wait_for()
    reading = guided.run_summary(record, run).readings[0]
    assert abs(reading.head_speed_rpm / SPEED_RPM - 1.0) < 0.005
    assert recordings(record) == ["microphone.wav"]
    assert seen.troubles == []
    seen.page.close()


@pytest.fixture
def with_blades(chromium, server, tmp_path):
    """A bench page whose microphone hears blades."""
    opened = hearing(chromium, tmp_path / "blades.wav", blades_on=True)
    seen = visit(opened, server.origin, width=390)
    yield seen
    opened.close()


def listen(seen) -> None:
    seen.page.get_by_role("button", name="Listen", exact=True).click()
    seen.page.get_by_role("alert").filter(has_text="Blades are heard").wait_for()


def nothing_taken(seen, record, run, step, before) -> None:
    seen.page.get_by_text("the run is paused").wait_for()
    assert seen.page.get_by_text("Held:").count() == 0
    seen.page.get_by_text("Safety is confirmed anew before it goes on.").wait_for()
    now = guided.run_summary(record, run)
    assert now.paused
    assert now.readings == ()
    assert next(one for one in now.steps if one.step == step.step).answer == ""
    assert recordings(record) == before


def by_microphone(page) -> None:
    heard_rpm(page)
    page.get_by_role("button", name="Take the speed that is held").click()


def by_hand(page) -> None:
    page.get_by_label("head speed, rpm").fill("1558")
    page.locator(".step").get_by_role("button", name="Keep it").first.click()


def by_leaving_out(page) -> None:
    page.get_by_role("button", name="Leave it out").click()


def test_at_the_bench_blades_that_are_heard_are_told_at_once_and_no_answer_is_taken(with_blades, server, at_set_point):
    record, run, step = at_set_point
    before = recordings(record)
    seen = with_blades
    seen.go(f"{FOX}/bench")
    confirm_safety(seen)
    for answered in (by_microphone, by_hand, by_leaving_out):
        listen(seen)
        seen.picture("bench-blades-heard-390-light")
        answered(seen.page)
        nothing_taken(seen, record, run, step, before)
        seen.picture("bench-blades-paused-390-light")
        seen.page.get_by_role("button", name="Go on").click()
        assert confirm_safety(seen) == len(SAFETY)


def test_an_answer_in_another_window_is_not_taken_either(chromium, with_blades, server, at_set_point):
    record, run, step = at_set_point
    before = recordings(record)
    other = visit(chromium, server.origin)
    other.go(f"{FOX}/bench")
    with_blades.go(f"{FOX}/bench")
    confirm_safety(with_blades)
    listen(with_blades)
    other.page.locator(".step h2", has_text=step.title).wait_for()
    by_hand(other.page)
    nothing_taken(other, record, run, step, before)
    other.page.close()
