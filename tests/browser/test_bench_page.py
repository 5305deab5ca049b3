"""The guided bench procedure in a real browser: safety first, verdict at once, two windows, a killed server."""

import pytest

from steadyhead.bench import guided, shelf
from steadyhead.bench.record import open_record
from steadyhead.bench.safety_steps import SAFETY
from steadyhead.machine.bundled import bundled
from tests.browser.conftest import Server, free_port, visit
from tests.browser.test_job import FOX
from tests.unit.bench.bench_answers import head_speed, typed
from tests.unit.bench.test_recordings import recorded, silent


@pytest.fixture
def own(tmp_path):
    made = Server(home=tmp_path, port=free_port())
    made.start()
    yield made
    made.kill()


def begin(seen) -> None:
    seen.go("/")
    seen.page.get_by_role("button", name="Take the invented machine").click()
    seen.page.wait_for_url("**/machine")
    seen.go(f"{FOX}/bench")
    seen.page.get_by_role("button", name="Begin the bench run").click()
    seen.page.locator(".step").wait_for()


def title(seen) -> str:
    return seen.page.locator(".step h2").inner_text()


def confirm_safety(seen) -> int:
    """Confirm every safety step; return how many there were."""
    count = 0
    seen.page.locator(".step").wait_for()
    while seen.page.locator(".step").get_attribute("aria-label") == "safety":
        before = title(seen)
        seen.page.locator(".step").get_by_role("button", name="yes", exact=True).click()
        seen.page.wait_for_function(f"document.querySelector('.step h2').innerText !== {before!r}")
        count += 1
    return count


def test_a_run_goes_on_after_the_server_was_killed_and_safety_is_asked_anew(chromium, own):
    seen = visit(chromium, own.origin, width=390)
    begin(seen)
    assert seen.page.locator(".cautions-of-page").get_attribute("open") is not None
    assert confirm_safety(seen) >= 3
    page = seen.page
    while page.locator(".step input[inputmode=decimal]").count() == 0:
        before = title(seen)
        page.locator(".step").get_by_role("button", name="yes", exact=True).click()
        page.wait_for_function(f"document.querySelector('.step h2').innerText !== {before!r}")
    before = title(seen)
    seen.picture("bench-step-390-light")
    page.locator(".step input[inputmode=decimal]").first.fill("1100")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_function(f"document.querySelector('.step h2').innerText !== {before!r}")
    page.locator(".stamp").wait_for()
    seen.page.close()
    own.kill()
    own.start()
    again = visit(chromium, own.origin)
    again.go(f"{FOX}/bench")
    again.page.get_by_text("1100").first.wait_for()
    assert confirm_safety(again) == len(SAFETY)
    again.picture("bench-resumed-1280-light")
    assert again.outside() == []
    again.page.close()


def test_the_focus_goes_to_the_new_step_and_the_whole_run_by_key_goes_on(chromium, own):
    seen = visit(chromium, own.origin, width=390)
    begin(seen)
    for _ in range(len(SAFETY)):
        before = title(seen)
        seen.page.locator(".step").get_by_role("button", name="yes", exact=True).focus()
        seen.page.keyboard.press("Enter")
        seen.page.wait_for_function(f"document.querySelector('.step h2').innerText !== {before!r}")
        seen.page.wait_for_function("document.activeElement === document.querySelector('.step h2')")
        assert seen.page.locator(".step h2").bounding_box()["y"] >= 0.0
    seen.page.close()


def test_a_second_window_follows_the_first(chromium, own):
    one, two = visit(chromium, own.origin), visit(chromium, own.origin)
    begin(one)
    two.go(f"{FOX}/bench")
    two.page.locator(".step").wait_for()
    before = title(two)
    one.page.locator(".step").get_by_role("button", name="yes", exact=True).click()
    two.page.wait_for_function(f"document.querySelector('.step h2').innerText !== {before!r}")
    assert title(one) == title(two)
    one.page.close()
    two.page.close()


def test_a_recording_answers_a_set_point_and_a_silent_one_does_not(chromium, own, tmp_path):
    with open_record(own.home / "record.sqlite") as record:
        run = guided.start_run(record, bundled("fox600")).run
        while not (step := guided.current_step(record, run)).step.startswith("set_point"):
            guided.answer(record, run, step.step, typed(step))
    seen = visit(chromium, own.origin, width=390)
    seen.page.set_default_timeout(600_000)
    seen.go(f"{FOX}/bench")
    confirm_safety(seen)
    brought = seen.page.locator(".step input[type=file]")
    brought.set_input_files(silent(tmp_path / "still.wav"))
    assert "still.wav, in which this machine is not heard" in seen.page.get_by_role("alert").inner_text()
    brought.set_input_files(recorded(tmp_path / "held.flac", head_speed(step.percent)))
    seen.page.get_by_text("The file has answered the step").wait_for()
    seen.page.get_by_text("recording held.flac").first.wait_for()
    seen.picture("bench-recording-390-light")
    with open_record(own.home / "record.sqlite") as record:
        assert len(guided.run_summary(record, run).readings) == 1
        assert [kept.name for kept in shelf.recordings(record, "Fox 600")] == ["held.flac"]
    assert seen.outside() == []
    assert seen.troubles == []
    seen.page.close()


def test_safety_is_asked_anew_whenever_the_page_is_opened_and_a_pause_stays(chromium, own):
    one = visit(chromium, own.origin)
    begin(one)
    confirm_safety(one)
    two = visit(chromium, own.origin)
    two.go(f"{FOX}/bench")
    assert confirm_safety(two) == len(SAFETY)
    after = title(two)
    two.page.reload()
    assert confirm_safety(two) == len(SAFETY)
    assert title(two) == after
    two.page.get_by_role("button", name="Pause").click()
    two.page.get_by_text("Paused.").wait_for()
    one.page.reload()
    one.page.get_by_role("button", name="Go on").wait_for()
    with open_record(own.home / "record.sqlite") as record:
        assert guided.run_summary(record, guided.latest_run(record, "Fox 600")).paused
    one.page.close()
    two.page.close()


def test_a_decimal_comma_is_no_other_number(chromium, own):
    with open_record(own.home / "record.sqlite") as record:
        run = guided.start_run(record, bundled("fox600")).run
        while guided.current_step(record, run).step != "start_delay":
            guided.answer(record, run, guided.current_step(record, run).step, typed(guided.current_step(record, run)))
    seen = visit(chromium, own.origin, width=390)
    seen.go(f"{FOX}/bench")
    confirm_safety(seen)
    step = seen.page.locator(".step")
    step.get_by_label("seconds, s").press_sequentially("1.234,5")
    step.get_by_role("button", name="Keep it").click()
    assert "1.234,5" in seen.page.get_by_role("alert").inner_text()
    step.get_by_label("seconds, s").fill("")
    step.get_by_label("seconds, s").press_sequentially("9,5")
    step.get_by_role("button", name="Keep it").click()
    seen.page.get_by_text("9.5 s").first.wait_for()
    with open_record(own.home / "record.sqlite") as record:
        told = next(one for one in guided.run_summary(record, run).steps if one.step == "start_delay")
        assert told.answer == "9.5 s"
    seen.page.close()
