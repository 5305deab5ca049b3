"""The guided bench procedure in a real browser: safety first, verdict at once, two windows, a killed server."""

import pytest

from tests.browser.conftest import Server, free_port, visit
from tests.browser.test_job import FOX


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
    while page.locator(".step input[type=number]").count() == 0:
        before = title(seen)
        page.locator(".step").get_by_role("button", name="yes", exact=True).click()
        page.wait_for_function(f"document.querySelector('.step h2').innerText !== {before!r}")
    before = title(seen)
    seen.picture("bench-step-390-light")
    page.locator(".step input[type=number]").first.fill("1100")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_function(f"document.querySelector('.step h2').innerText !== {before!r}")
    page.locator(".stamp").wait_for()
    seen.page.close()
    own.kill()
    own.start()
    again = visit(chromium, own.origin)
    again.go(f"{FOX}/bench")
    again.page.get_by_text("1100").first.wait_for()
    again.picture("bench-resumed-1280-light")
    assert again.outside() == []
    again.page.close()


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
