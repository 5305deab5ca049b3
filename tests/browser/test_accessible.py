"""Every page against WCAG 2.2 A and AA, in light and dark, at a desk's width and a phone's; and by keyboard alone.

Outside check: axe-core, the open rule set for the Web Content Accessibility Guidelines (W3C), bundled and run offline.
"""

from itertools import pairwise

import pytest

from steadyhead import job
from steadyhead.machine.bundled import bundled
from steadyhead.trace.bundled_logs import DEMO_LOGS
from steadyhead.web.frame import STAGES
from tests.browser.conftest import visit
from tests.browser.test_bench_page import begin, confirm_safety, own, title
from tests.browser.test_job import FOX

__all__ = ["own"]

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
LOOKS = (("light", 1280), ("dark", 1280), ("dark", 390), ("light", 390))
PLAN_MS = 240_000
"""A worker that plans for the first time, on a machine that does much else."""
ANSWERS = {"machine", "plan", "channel", "logic"}
"""Stages that show their answer without being asked."""


@pytest.fixture(scope="module")
def axe():
    base = pytest.importorskip("axe_playwright_python.base", reason="axe-playwright-python is not installed")
    return base.AXE_SCRIPT


@pytest.fixture(scope="module")
def fox(server):
    """The invented machine in two revisions, laid into the record while the server has it open."""
    text = bundled("fox600").read_text("utf-8")
    with job.record.open_record(server.home / "record.sqlite") as record:
        job.record.keep_machine_text(record, text, "fox600.toml")
        job.record.keep_machine_text(record, text + "\n# once more\n", "fox600.toml")
    return FOX


THINNED = """() => {
  window.socket.removeAllListeners("disconnect");
  window.socket.disconnect();
  for (const svg of document.querySelectorAll("svg"))
    for (const part of [...svg.children]) if (part.tagName !== "title") part.remove();
  const built = (one) => [one, ...one.querySelectorAll("*")].map((e) => e.tagName + e.className).join();
  for (const list of document.querySelectorAll("tbody, ul")) {
    const seen = {};
    for (const one of [...list.children]) {
      const like = built(one);
      seen[like] = (seen[like] || 0) + 1;
      if (seen[like] > 2) one.remove();
    }
  }
}"""
"""Strokes of drawings are no text, and a third row built like two others tells nothing new: both cost axe minutes.

The page is cut off from its server first: axe keeps it so busy that it would be taken for lost and loaded anew.
"""


def faults(seen, axe: str, where: str) -> list[str]:
    """Return what axe finds in every look of the page."""
    found = []
    seen.page.wait_for_timeout(300)
    opened = seen.page.locator("details:not([open]) > summary")
    while opened.count():
        opened.first.click()
    seen.page.evaluate(THINNED)
    seen.page.evaluate(axe)
    for scheme, width in LOOKS:
        seen.page.emulate_media(color_scheme=scheme)
        seen.page.set_viewport_size({"width": width, "height": 844})
        seen.page.wait_for_function(f"document.body.classList.contains('body--{scheme}')")
        ran = seen.page.evaluate("(tags) => axe.run({resultTypes: ['violations'], runOnly: tags})", RULES)
        assert len(ran["passes"]) > 10
        found += [
            f"{where} {scheme} {width}: {fault['id']} {node['target']} {node['html'][:150]}"
            for fault in ran["violations"]
            for node in fault["nodes"]
        ]
    return found


@pytest.mark.parametrize("stage", ["", *(stage.key for stage in STAGES)])
def test_no_page_breaks_a_rule(chromium, server, fox, axe, stage):
    seen = visit(chromium, server.origin)
    seen.go(f"{fox}/{stage}" if stage else "/")
    if stage in ANSWERS:
        seen.page.wait_for_selector(".stamp", timeout=PLAN_MS)
    assert faults(seen, axe, stage or "first") == []
    assert seen.outside() == []
    seen.page.close()


def test_the_lists_of_the_study_are_open_when_they_are_looked_at(chromium, server, fox, axe):
    seen = visit(chromium, server.origin)
    seen.go(f"{fox}/study")
    seen.page.evaluate(
        """() => { const pale = document.createElement("p"); pale.textContent = "pale"; pale.style.color = "#999";
          document.querySelector("#main details:not([open])").append(pale); }"""
    )
    assert "color-contrast" in " ".join(faults(seen, axe, "spoilt study"))
    assert seen.page.locator("details:not([open])").count() == 0
    seen.page.close()


def test_a_simulated_flight_breaks_no_rule(chromium, server, fox, axe):
    seen = visit(chromium, server.origin)
    seen.go(f"{fox}/fly")
    seen.page.get_by_role("button", name="Fly it").click()
    seen.page.wait_for_selector(".answer .stamp", timeout=PLAN_MS)
    assert faults(seen, axe, "simulated flight") == []
    seen.page.close()


def test_no_refusal_breaks_a_rule(chromium, server, axe):
    seen = visit(chromium, server.origin)
    seen.go("/m/Nobody/plan")
    assert faults(seen, axe, "refusal") == []
    seen.page.close()


def test_a_judged_log_breaks_no_rule(chromium, server, fox, axe):
    seen = visit(chromium, server.origin)
    seen.go(f"{fox}/logs")
    seen.page.locator("input[type=file]").set_input_files(DEMO_LOGS[0])
    seen.page.wait_for_selector(".answer .stamp", timeout=PLAN_MS)
    assert faults(seen, axe, "judged log") == []
    seen.page.close()


def test_the_check_would_find_what_is_wrong(chromium, server, axe):
    seen = visit(chromium, server.origin)
    seen.go("/")
    seen.page.evaluate(
        """() => { const bad = document.createElement("button"); bad.style.cssText = "width:9px;height:9px";
          const pale = document.createElement("p"); pale.textContent = "pale"; pale.style.color = "#999";
          document.querySelector("#main").append(bad, pale); }"""
    )
    found = " ".join(faults(seen, axe, "spoilt"))
    assert "button-name" in found
    assert "color-contrast" in found
    seen.page.close()


FOCUS = """() => {
  const at = document.activeElement, look = getComputedStyle(at);
  const field = at.closest(".q-field__control");
  const seen = field ? getComputedStyle(field) : look;
  const box = at.getBoundingClientRect();
  return {
    tag: at.tagName, name: at.getAttribute("aria-label") || at.closest(".choice")?.children[0].innerText
      || at.closest("label")?.innerText || at.innerText || "",
    id: (at.dataset.stop ??= String(Math.random())),
    shown: (seen.outlineStyle !== "none" && parseFloat(seen.outlineWidth) >= 2) || seen.boxShadow.includes(" 5px"),
    top: box.top + scrollY, left: box.left, inside: box.bottom > 0 && box.top < innerHeight,
  };
}"""


def walked(page) -> list[dict]:
    """Press Tab until the focus has gone round the page, and return where it stopped."""
    stops: list[dict] = []
    for _ in range(200):
        page.keyboard.press("Tab")
        at = page.evaluate(FOCUS)
        if at["tag"] == "BODY" or (stops and at["id"] == stops[0]["id"]):
            return stops
        stops.append(at)
    raise AssertionError("the focus does not come round")


REACHABLE = """() => [...document.querySelectorAll("a[href], button, input, select, textarea, summary")]
  .filter((one) => one.checkVisibility({visibilityProperty: true}) && !one.disabled && one.tabIndex >= 0)
  .map((one) => one.getAttribute("aria-label") || one.closest(".choice")?.children[0].innerText
    || one.closest("label")?.innerText || one.innerText || one.outerHTML)"""


@pytest.mark.parametrize("stage", ["", *(stage.key for stage in STAGES)])
def test_every_control_is_reached_by_tab_in_order_and_seen(chromium, server, fox, stage):
    seen = visit(chromium, server.origin)
    seen.go(f"{fox}/{stage}" if stage else "/")
    if stage in ANSWERS:
        seen.page.wait_for_selector(".stamp", timeout=PLAN_MS)
    seen.page.wait_for_timeout(300)
    stops = walked(seen.page)
    names = [stop["name"] for stop in stops]
    assert names[0] == "Skip to the page"
    assert set(seen.page.evaluate(REACHABLE)) <= set(names)
    assert [stop["name"] for stop in stops if not stop["shown"]] == []
    assert [stop["name"] for stop in stops if not stop["inside"]] == []
    for one, after in pairwise(stops[1:]):
        assert after["top"] > one["top"] - 30 or after["left"] > one["left"] + 30, (one["name"], after["name"])
    seen.page.close()


def test_the_skip_link_leads_past_the_stages(chromium, server, fox):
    seen = visit(chromium, server.origin)
    seen.go(f"{fox}/machine")
    seen.page.keyboard.press("Tab")
    seen.page.keyboard.press("Enter")
    assert seen.page.evaluate("document.activeElement.id") == "main"
    seen.page.keyboard.press("Tab")
    assert seen.page.evaluate("document.activeElement.closest('#main') !== null")
    seen.page.close()


def tab_to(page, name: str) -> None:
    for _ in range(80):
        page.keyboard.press("Tab")
        if page.evaluate(FOCUS)["name"].strip() == name:
            return
    raise AssertionError(f"{name} is not reached by Tab")


def test_bench_steps_are_answered_by_keyboard_alone(chromium, own, axe):
    seen = visit(chromium, own.origin)
    begin(seen)
    page = seen.page
    while page.locator(".step input[inputmode=decimal]").count() == 0:
        before = title(seen)
        tab_to(page, "yes")
        page.keyboard.press("Enter")
        page.wait_for_function(f"document.querySelector('.step h2').innerText !== {before!r}")
    before = title(seen)
    tab_to(page, "pulse width, µs")
    page.keyboard.type("1100")
    tab_to(page, "Keep it")
    page.keyboard.press("Enter")
    page.wait_for_function(f"document.querySelector('.step h2').innerText !== {before!r}")
    page.locator("table").get_by_text("1100").first.wait_for()
    tab_to(page, "Repeat a step, note a change, or begin anew")
    page.keyboard.press("Enter")
    tab_to(page, "What was changed")
    page.keyboard.press("ArrowDown")
    tab_to(page, "Note the change")
    page.keyboard.press("Enter")
    page.locator(".step[aria-label=safety]").wait_for()
    assert confirm_safety(seen) >= 3
    assert seen.troubles == []
    page.locator("details.card summary").click()
    assert faults(seen, axe, "bench step") == []
    page.close()
