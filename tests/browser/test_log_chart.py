"""The chart of a log in a real browser: the wheel brings finer data, a thumb scrolls past it, light and dark read well.

Outside checks: the rows of the log as the standard library's reader reads them, and the contrast of W3C's WCAG 2.2,
1.4.3, from the pixels that were drawn.
"""

import csv
import re

import pytest

from steadyhead.trace.bundled_logs import DEMO_LOGS
from tests.browser.conftest import visit
from tests.browser.test_job import FOX
from tests.browser.test_later_pages import LONG_MS, kept

__all__ = ["kept"]

BENCH_LOG = next(path for path in DEMO_LOGS if path.suffix == ".csv")
LEAST_CONTRAST = 4.5
OPTION = """() => {
  const chart = document.querySelector(".chart");
  return getElement(Number(chart.id.slice(1))).chart.getOption();
}"""
INK = """() => {
  const canvas = document.querySelector(".chart canvas"), ratio = canvas.width / canvas.clientWidth;
  const pixels = canvas.getContext("2d").getImageData(0, 0, Math.round(58 * ratio), canvas.height).data;
  const linear = (part) => part <= 0.04045 * 255 ? part / 255 / 12.92 : ((part / 255 + 0.055) / 1.055) ** 2.4;
  const light = (red, green, blue) => 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
  const ground = light(...getComputedStyle(document.body).backgroundColor.match(/[0-9]+/g).map(Number));
  const seen = [];
  for (let i = 0; i < pixels.length; i += 4) {
    if (pixels[i + 3] < 230) continue;
    const ink = light(pixels[i], pixels[i + 1], pixels[i + 2]);
    seen.push((Math.max(ink, ground) + 0.05) / (Math.min(ink, ground) + 0.05));
  }
  return seen.sort((one, other) => one - other);
}"""
"""Contrast with the page of every full pixel left of the panels: the figures of the axes and their titles."""

GROUPS = """() => [...document.querySelectorAll('[role="group"][aria-label^="Judging"]')].map((one) => one.id)"""
"""What the page shows of logs; one that was looked at before stands there until the click has come through."""


def judged(chromium, kept, **more):
    seen = visit(chromium, kept.origin, **more)
    seen.page.set_default_timeout(LONG_MS)
    seen.go(f"{FOX}/logs")
    earlier = seen.page.evaluate(GROUPS)
    seen.page.get_by_role("button", name=re.compile("fox600_bench.*UTC")).click()
    seen.page.wait_for_function(f"(earlier) => ({GROUPS})().some((id) => !earlier.includes(id))", arg=earlier)
    seen.page.wait_for_function(f"(earlier) => !({GROUPS})().some((id) => earlier.includes(id))", arg=earlier)
    seen.page.wait_for_selector(".chart canvas")
    seen.page.wait_for_selector(".answer .stamp")
    seen.page.wait_for_timeout(500)
    return seen


def window(page) -> tuple[float, float]:
    told = page.evaluate(OPTION)["dataZoom"][0]
    return told["startValue"], told["endValue"]


def drawn_times(page, low: float, high: float) -> list[float]:
    series = next(one for one in page.evaluate(OPTION)["series"] if one["name"] == "pack current")
    return [point[0] for point in series["data"] if low <= point[0] <= high]


def logged_times(low: float, high: float) -> list[float]:
    with BENCH_LOG.open(newline="", encoding="utf-8") as file:
        times = [float(row[0]) for row in list(csv.reader(file))[1:]]
    return [time for time in times if low <= time <= high]


def over_chart(page) -> None:
    page.locator(".chart").scroll_into_view_if_needed()
    box = page.locator(".chart canvas").bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)


def zoom_in(page) -> None:
    over_chart(page)
    page.keyboard.down("Control")
    for _ in range(12):
        page.mouse.wheel(0, -200)
        page.wait_for_timeout(60)
    page.keyboard.up("Control")
    page.wait_for_timeout(1500)


def test_the_wheel_zooms_and_then_every_row_of_the_window_is_drawn(chromium, kept):
    seen = judged(chromium, kept)
    whole = window(seen.page)
    zoom_in(seen.page)
    low, high = window(seen.page)
    assert high - low < 0.4 * (whole[1] - whole[0])
    rows = logged_times(low, high)
    assert len(rows) > 100
    assert drawn_times(seen.page, low, high) == pytest.approx(rows, abs=1e-4)
    seen.picture("log-zoomed-1280-light")
    assert seen.troubles == []
    seen.page.close()


def test_the_wheel_alone_moves_the_page_and_not_the_chart(chromium, kept):
    seen = judged(chromium, kept)
    over_chart(seen.page)
    whole, before = window(seen.page), seen.page.evaluate("scrollY")
    seen.page.mouse.wheel(0, 300)
    seen.page.wait_for_function(f"scrollY > {before}")
    assert window(seen.page) == whole
    seen.page.close()


@pytest.mark.parametrize("schemes", [("light", "dark"), ("dark", "light")], ids="-to-".join)
def test_the_chart_is_drawn_anew_in_colours_that_can_be_read(chromium, kept, schemes):
    seen = judged(chromium, kept, scheme=schemes[0])
    zoom_in(seen.page)
    low, high = window(seen.page)
    for scheme in schemes:
        seen.page.emulate_media(color_scheme=scheme)
        seen.page.wait_for_function(f"document.body.classList.contains('body--{scheme}')")
        seen.page.wait_for_timeout(1500)
        contrasts = seen.page.evaluate(INK)
        assert len(contrasts) > 100
        assert contrasts[len(contrasts) // 2] > LEAST_CONTRAST, scheme
    assert window(seen.page) == pytest.approx((low, high))
    assert drawn_times(seen.page, low, high) == pytest.approx(logged_times(low, high), abs=1e-4)
    seen.picture(f"log-zoomed-1280-{schemes[1]}")
    assert seen.troubles == []
    seen.page.close()


NEAREST = """() => {
  const model = getElement(Number(document.querySelector(".chart").id.slice(1))).chart.getModel();
  const axes = model.queryComponents({mainType: "yAxis"}).map((one) => one.axis);
  return axes.filter((axis) => axis.model.get("show") && axis.model.get("name")).map((axis) => {
    const at = axis.getTicksCoords().map((tick) => tick.coord).sort((a, b) => a - b);
    return Math.min(...at.slice(1).map((place, n) => place - at[n]));
  });
}"""
"""Least distance of two figures of each axis, in points of the screen."""
LINE_OF_FIGURES = 14.0


@pytest.mark.parametrize("width", [390, 1280])
def test_figures_of_an_axis_do_not_touch(chromium, kept, width):
    seen = judged(chromium, kept, width=width)
    nearest = seen.page.evaluate(NEAREST)
    assert len(nearest) == 4
    assert min(nearest) >= LINE_OF_FIGURES
    seen.page.close()


def test_titles_of_tables_that_slide_are_read_whole_on_a_phone(chromium, kept):
    seen = judged(chromium, kept, width=390)
    titles = seen.page.locator(".slide caption span")
    assert titles.count() >= 1
    for box in [title.bounding_box() for title in titles.all()]:
        assert box["x"] >= 0.0
        assert box["x"] + box["width"] <= 390.0
    seen.page.close()


def swipe_up(page, x: float, y: float, far: float) -> None:
    """Draw a thumb up the glass."""
    hand = page.context.new_cdp_session(page)
    hand.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for step in range(1, 14):
        to = {"x": x, "y": y - far * step / 13}
        hand.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [to]})
        page.wait_for_timeout(16)
    hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_a_thumb_on_the_chart_scrolls_the_page(chromium, kept):
    seen = judged(chromium, kept, width=390, has_touch=True, is_mobile=True)
    seen.page.evaluate("document.querySelector('.chart').scrollIntoView({block: 'center'})")
    box = seen.page.locator(".chart canvas").bounding_box()
    before = seen.page.evaluate("scrollY")
    inside_a_panel = box["y"] + 0.58 * box["height"]
    swipe_up(seen.page, box["x"] + box["width"] / 2, inside_a_panel, 260.0)
    seen.page.wait_for_function(f"scrollY > {before + 150}", timeout=10_000)
    seen.page.close()
