"""What is typed or pressed while the program does not listen to a page: nothing can be, and the page says so."""

import re

import pytest

from tests.browser.conftest import visit
from tests.browser.test_bench_page import begin, own, title
from tests.browser.test_job import FOX, fox

__all__ = ["fox", "own"]
LONG_MS = 240_000
CLOSED = "#main[inert]"
OPEN = "#main:not([inert])"
SAID = ".link-said"


@pytest.fixture
def held(chromium, server, fox):
    """A page whose socket comes only when it is let through; what the page sends is what the program hears."""
    seen = visit(chromium, server.origin)
    seen.page.set_default_timeout(LONG_MS)
    waiting = []
    seen.page.route_web_socket(re.compile("socket.io"), lambda one: waiting.append(one))  # noqa: PLW0108 playwright marks what it is given
    yield seen, waiting
    seen.page.close()


def test_a_page_takes_nothing_before_the_program_listens(held):
    seen, waiting = held
    page = seen.page
    page.goto(f"{seen.origin}{FOX}/study")
    page.locator(CLOSED).wait_for()
    page.locator(SAID).filter(has_text="Connecting").wait_for()
    assert page.locator(SAID).get_attribute("role") == "status"
    seen.picture("link-waits-1280")
    begun = page.get_by_role("button", name="Begin the study", include_hidden=True)
    begun.click(force=True)
    draws = page.locator("input").nth(2)
    draws.click(force=True)
    page.keyboard.type("7")
    assert draws.input_value() == "100"
    assert not page.evaluate("document.getElementById('main').contains(document.activeElement)")
    for one in waiting:
        one.connect_to_server()
    page.locator(OPEN).wait_for()
    assert page.locator(SAID).inner_text() == ""
    assert page.get_by_text("Begun before").count() == 0
    page.get_by_text("The study file: edit it, or bring one").click()
    page.get_by_label("Study file (TOML)", exact=True).fill('machine = "../other.toml"\n')
    page.get_by_role("button", name="Begin the study").click()
    assert "the file of this machine" in page.get_by_role("alert").inner_text()


def test_the_focus_comes_back_with_the_link(held):
    seen, waiting = held
    page = seen.page
    page.goto(f"{seen.origin}{FOX}/channel")
    page.locator(CLOSED).wait_for()
    waiting[0].connect_to_server()
    page.locator(OPEN).wait_for()
    page.get_by_label("Curve value, %").fill("75")
    waiting[0].close()
    page.locator(SAID).filter(has_text="link to the program is lost").wait_for()
    assert not page.evaluate("document.getElementById('main').contains(document.activeElement)")
    page.unroute_all()
    page.route_web_socket(re.compile("socket.io"), lambda one: one.connect_to_server())
    for one in waiting[1:]:
        one.connect_to_server()
    page.locator(OPEN).wait_for()
    assert page.locator(SAID).inner_text() == ""
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "Curve value, %"
    assert page.get_by_label("Curve value, %").input_value() == "75"


@pytest.mark.parametrize("width", [390, 1280])
def test_no_answer_can_be_pressed_once_the_server_died(chromium, own, width):
    seen = visit(chromium, own.origin, width=width)
    begin(seen)
    before = title(seen)
    yes = seen.page.locator(".step").get_by_role("button", name="yes", exact=True, include_hidden=True)
    yes.focus()
    own.kill()
    seen.page.locator(CLOSED).wait_for()
    said = seen.page.locator(SAID).filter(has_text="link to the program is lost")
    said.wait_for()
    assert "disconnect the pack first" in said.inner_text()
    seen.picture(f"link-lost-{width}")
    yes.click(force=True)
    seen.page.keyboard.press("Enter")
    own.start()
    seen.page.locator(OPEN).wait_for(timeout=LONG_MS)
    seen.page.locator(".step").wait_for()
    assert title(seen) == before
    assert seen.page.locator(SAID).inner_text() == ""
    seen.page.close()
