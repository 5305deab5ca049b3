"""The sheet in a real browser: nothing loaded, nothing wider than a phone, one printed page."""

import io
from pathlib import Path

import pypdf
import pytest

from tests.faces.test_sheet import written


@pytest.fixture(scope="module")
def browser(chromium):
    return chromium


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory):
    return written(tmp_path_factory.mktemp("browser"))


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_no_page_is_wider_than_its_window_and_none_loads_anything(browser, files, width: int, scheme: str) -> None:
    for path in (files.html, files.page_html):
        page = browser.new_page(viewport={"width": width, "height": 844}, color_scheme=scheme)
        asked, troubles = [], []
        page.on("request", lambda request, asked=asked: asked.append(request.url))
        page.on("console", lambda message, troubles=troubles: troubles.append(message.text))
        page.goto(path.as_uri())
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert asked == [path.as_uri()]
        assert troubles == []
        page.close()


def test_the_dark_page_draws_in_light_ink(browser, files) -> None:
    ground = {}
    for scheme in ("light", "dark"):
        page = browser.new_page(color_scheme=scheme)
        page.goto(files.html.as_uri())
        ground[scheme] = page.evaluate("getComputedStyle(document.querySelector('figure svg path')).fill")
        page.close()
    assert ground["light"] == "rgb(255, 255, 255)"
    assert ground["dark"] == "rgb(17, 23, 29)"


def test_the_one_page_version_prints_on_one_page(browser, files, tmp_path: Path) -> None:
    page = browser.new_page()
    page.goto(files.page_html.as_uri())
    printed = page.pdf(prefer_css_page_size=True)
    page.close()
    assert len(pypdf.PdfReader(io.BytesIO(printed)).pages) == 1


def test_the_settings_can_be_reached_with_the_keyboard(browser, files) -> None:
    page = browser.new_page()
    page.goto(files.html.as_uri())
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.getAttribute('href')") == "#settings"
    page.close()


@pytest.mark.parametrize("width", [800, 1280])
def test_a_long_reason_does_not_break_the_names_of_the_checks(browser, files, width: int) -> None:
    """The widest word of a name, in the ink of the name, fits into its column."""
    page = browser.new_page(viewport={"width": width, "height": 844})
    page.goto(files.html.as_uri())
    page.evaluate(
        """() => {
          const reasons = document.querySelectorAll('.checks tbody td:last-child');
          reasons.forEach((cell) => { cell.textContent = 'it '.repeat(300) });
        }"""
    )
    lacking = page.evaluate(
        """() => [...document.querySelectorAll('.checks tbody th')].flatMap((cell) => {
          const inner = cell.clientWidth - 2 * parseFloat(getComputedStyle(cell).paddingLeft);
          const ink = document.createElement('canvas').getContext('2d');
          ink.font = getComputedStyle(cell).font;
          return cell.textContent.split(/\\s+/).filter((word) => ink.measureText(word).width > inner);
        })"""
    )
    assert page.locator(".checks tbody th").count() > 10
    assert lacking == []
    page.close()
