"""The whole job in a real browser: from a new machine to the sheet; nothing asked from outside; phone and desk."""

import re
from pathlib import Path

import pytest

from steadyhead.trace.bundled_logs import DEMO_LOGS
from tests.browser.conftest import visit

DATA = Path(__file__).resolve().parents[1] / "data"
FOX = "/m/Fox%20600"
STAGES = ("machine", "plan", "channel", "logic", "governor", "fly", "logs", "sheet")

SHEET_MS = 240_000
"""A sheet with descent and bail-outs takes 20 s, and several times as long while other tests run."""


@pytest.fixture(scope="module")
def fox(chromium, server):
    """The invented machine is kept."""
    first = visit(chromium, server.origin)
    first.go("/")
    first.page.get_by_role("button", name="Take the invented machine").click()
    first.page.wait_for_url("**/machine")
    first.page.close()
    return FOX


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_no_page_asks_outside_or_is_wider_than_its_window(chromium, server, fox, width, scheme):
    seen = visit(chromium, server.origin, width=width, scheme=scheme)
    for path in ("/", *(f"{fox}/{stage}" for stage in STAGES)):
        seen.go(path)
        if path.endswith(("machine", "plan", "channel", "logic")):
            seen.page.wait_for_selector(".stamp")
        assert seen.page.evaluate("document.documentElement.scrollWidth") <= width, path
        seen.picture(f"{path.strip('/').replace('/', '-').replace('%20', '-') or 'first'}-{width}-{scheme}")
    assert seen.outside() == []
    assert seen.troubles == []
    seen.page.close()


def test_a_new_machine_is_made_and_kept(desk_wide):
    desk_wide.go("/")
    desk_wide.page.get_by_label("Name").fill("Heron <b>bold</b>/2")
    desk_wide.page.get_by_role("button", name="Make it").click()
    desk_wide.page.wait_for_url("**/machine")
    desk_wide.page.wait_for_selector(".stamp")
    assert desk_wide.page.locator(".bar .which").inner_text() == "Heron <b>bold</b>/2"
    assert desk_wide.page.locator(".answer-title b").count() == 0


@pytest.mark.parametrize("width", [320, 390])
def test_a_long_name_without_spaces_stays_within_the_window(chromium, server, width):
    seen = visit(chromium, server.origin, width=width)
    seen.go("/")
    name = "Wettbewerbshubschrauber" * 3
    seen.page.get_by_label("Name").fill(name)
    seen.page.get_by_role("button", name="Make it").click()
    seen.page.wait_for_url("**/machine")
    for path in ("/", f"/m/{name}/machine", f"/m/{name}/sheet"):
        seen.go(path)
        seen.page.get_by_text(name).first.wait_for()
        assert seen.page.evaluate("document.documentElement.scrollWidth") <= width, path
    seen.page.close()


def test_a_name_that_cannot_be_is_refused_in_one_sentence(desk_wide):
    desk_wide.go("/")
    desk_wide.page.get_by_role("button", name="Make it").click()
    refused = desk_wide.page.get_by_role("alert")
    refused.wait_for()
    assert "right would be" in refused.inner_text()


def test_a_file_that_cannot_be_read_is_refused_with_its_line(desk_wide):
    desk_wide.go("/")
    bad = {"name": "bad.toml", "mimeType": "text/plain", "buffer": b"[machine]\nname = 3\n"}
    desk_wide.page.locator("input[type=file]").set_input_files(bad)
    refused = desk_wide.page.get_by_role("alert")
    refused.wait_for()
    assert "bad.toml line" in refused.inner_text()


def test_the_sliders_answer_at_once(desk_wide, fox):
    desk_wide.go(f"{fox}/plan")
    page = desk_wide.page
    before = page.locator(".glimpse table caption").inner_text()
    slider = page.get_by_label("Head speed, rpm")
    slider.focus()
    page.evaluate(
        """() => {
          addEventListener("keydown", () => { window.begun = performance.now(); }, true);
          new MutationObserver(() => { window.seen ??= performance.now(); })
            .observe(document.querySelector(".glimpse"),
            { childList: true, subtree: true, characterData: true });
          window.seen = undefined;
        }"""
    )
    page.keyboard.press("ArrowRight")
    page.wait_for_function(f"document.querySelector('.glimpse table caption').textContent !== {before!r}")
    took_ms = page.evaluate("window.seen - window.begun")
    assert page.locator(".glimpse table caption").inner_text().startswith("1740 rpm")
    assert 0.0 < took_ms < 5000.0


def test_a_reading_moves_the_law_and_stays(desk_wide, fox):
    page = desk_wide.page
    desk_wide.go(f"{fox}/channel")
    page.wait_for_selector(".stamp")
    page.get_by_label("Curve value, %").fill("75")
    page.get_by_label("Head speed, rpm").fill("2085")
    page.get_by_label("Sure to").fill("6")
    page.get_by_role("button", name="Keep the reading").click()
    page.get_by_text("2085 rpm").first.wait_for()
    desk_wide.go(f"{fox}/channel")
    page.get_by_text("2085 rpm").first.wait_for()


def test_a_log_is_judged_kept_and_comes_back(desk_wide, fox):
    page = desk_wide.page
    desk_wide.go(f"{fox}/logs")
    page.locator("input[type=file]").set_input_files(DEMO_LOGS[0])
    page.wait_for_selector(".stamp")
    page.wait_for_selector(".chart canvas")
    desk_wide.picture("log-judged-1280")
    verdict = page.locator(".stamp").get_attribute("data-verdict")
    desk_wide.go(f"{fox}/logs")
    page.get_by_role("button", name=re.compile("UTC")).first.click()
    page.wait_for_selector(".stamp")
    assert page.locator(".stamp").get_attribute("data-verdict") == verdict


def test_every_scenario_of_the_menu_is_flown(desk_wide, fox):
    page = desk_wide.page
    desk_wide.go(f"{fox}/fly")
    menu = page.get_by_label("Scenario")
    offered = menu.locator("option").evaluate_all("options => options.map(one => one.value)")
    assert len(offered) == 12
    for name in offered:
        menu.select_option(name)
        page.get_by_role("button", name="Fly it", exact=True).click()
        page.get_by_role("button", name="Stop").wait_for()
        page.get_by_role("button", name="Stop").wait_for(state="detached")
        page.locator(".stamp, .refused").first.wait_for()
        assert page.locator(".refused").count() == 0, name


def test_every_change_of_the_bench_menu_is_noted(desk_wide, fox):
    page = desk_wide.page
    desk_wide.go(f"{fox}/bench")
    page.get_by_role("button", name="Begin the bench run").click()
    menu = page.get_by_label("What was changed")
    for name in menu.locator("option").evaluate_all("options => options.map(one => one.value)"):
        page.get_by_text("Repeat a step, note a change, or begin anew").click()
        menu.select_option(name)
        page.get_by_role("button", name="Note the change").click()
        page.get_by_role("button", name="Note the change").wait_for(state="hidden")
        assert page.locator(".refused").count() == 0, name


def test_advice_that_is_worked_out_is_found_again_in_another_window(chromium, desk_wide, fox, server):
    page = desk_wide.page
    desk_wide.go(f"{fox}/advise")
    page.get_by_role("button", name="Say what to change").click()
    page.get_by_role("button", name="Stop").wait_for()
    page.reload()
    page.get_by_role("button", name="Stop").wait_for()
    other = visit(chromium, server.origin)
    other.go(f"{fox}/advise")
    other.page.get_by_role("button", name="Stop").click()
    page.get_by_text("Stopped. Nothing was kept of it.").wait_for()
    other.page.close()


def test_long_work_can_be_stopped_and_outlives_a_reload(desk_wide, fox):
    page = desk_wide.page
    desk_wide.go(f"{fox}/governor")
    page.get_by_role("button", name="Look at the governor").click()
    page.get_by_role("button", name="Stop").wait_for()
    page.reload()
    page.get_by_role("button", name="Stop").click()
    page.get_by_text("Stopped. Nothing was kept of it.").wait_for()
    page.get_by_role("button", name="Begin again").wait_for()


def test_a_sheet_is_made_kept_and_opened(desk_wide, fox, server):
    page = desk_wide.page
    desk_wide.go(f"{fox}/sheet")
    page.get_by_role("button", name="Make the sheet").click()
    link = page.get_by_role("link", name=re.compile("setup-sheet.html"))
    link.first.wait_for(timeout=SHEET_MS)
    desk_wide.picture("sheet-1280")
    answer = page.request.get(server.origin + link.first.get_attribute("href"))
    assert answer.status == 200
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert "Fox 600" in answer.text()


def test_an_unknown_machine_is_one_sentence(desk_wide):
    desk_wide.go("/m/Nobody/plan")
    assert "no machine Nobody" in desk_wide.page.get_by_role("alert").inner_text()


MALFORMED = sorted(
    path
    for path in (DATA / "malformed").iterdir()
    if path.suffix in (".csv", ".parquet") and path.name != "MALFORMED.csv"
)


@pytest.mark.parametrize("path", MALFORMED, ids=lambda path: path.name)
def test_a_malformed_log_is_judged_or_refused_in_one_sentence(desk_wide, fox, path):
    page = desk_wide.page
    desk_wide.go(f"{fox}/logs")
    page.locator("input[type=file]").set_input_files(path)
    told = page.get_by_role("group", name=f"Judging {path.name}")
    told.locator(".stamp, .refused").first.wait_for()
    if told.locator(".refused").count():
        said = told.get_by_role("alert").inner_text()
        assert "fault of the program" not in said
        assert "Traceback" not in said
        assert path.name in said
        assert "/" not in said.split(path.name)[0]
    assert desk_wide.troubles == []


def replaced(status: str) -> int:
    """Return how many readings were replaced by a newer one, by the words of the page; other tests share its record."""
    found = re.search(r"(\d+) replaced by a newer reading", status)
    return int(found[1]) if found else 0


def test_a_corrected_column_takes_the_old_reading_out_and_a_switch_leaves_a_log_out(desk_wide, fox, tmp_path):
    page = desk_wide.page
    path = tmp_path / "aux.csv"
    rows = "".join(f"{k * 0.05:.2f},{min(1700, k * 5)},{k % 50}\n" for k in range(1200))
    path.write_text(f"time (s),head speed (rpm),aux 3\n{rows}", "utf-8")
    kept = page.get_by_role("region", name="Logs that are kept")
    told = kept.get_by_role("status")
    desk_wide.go(f"{fox}/logs")
    before = replaced(told.inner_text() if told.count() else "")
    for said, labelled in (("aux 3=duty:%", "aux 3 = duty:%"), ("aux 3=ignore", "aux 3 = ignore")):
        desk_wide.go(f"{fox}/logs")
        page.get_by_label("Column=meaning:unit").fill(said)
        page.keyboard.press("Tab")
        page.locator("input[type=file]").set_input_files(path)
        page.get_by_role("button", name=re.compile(labelled)).first.wait_for()
    assert replaced(told.inner_text()) == before + 1
    entry = kept.get_by_role("listitem").filter(has_text="aux 3 = ignore")
    assert entry.get_by_role("checkbox").count() == 1
    assert kept.get_by_role("checkbox").count() == kept.locator("ul").first.get_by_role("listitem").count()
    entry.get_by_role("checkbox").click()
    kept.get_by_text("1 left out by you").wait_for()
    desk_wide.go(f"{fox}/sheet")
    page.get_by_text("1 left out by you").wait_for()


def test_all_logs_are_left_out_and_taken_at_once(desk_wide, fox, tmp_path):
    page = desk_wide.page
    desk_wide.go(f"{fox}/logs")
    for name in ("one.csv", "two.csv"):
        path = tmp_path / name
        rows = "".join(f"{k * 0.05:.2f},{min(1500 + len(name), k * 5 + ord(name[0]))}\n" for k in range(1200))
        path.write_text(f"time (s),head speed (rpm)\n{rows}", "utf-8")
        page.locator("input[type=file]").set_input_files(path)
        page.get_by_role("group", name=f"Judging {name}").locator(".stamp").wait_for()
        assert page.locator(".chart-says").first.inner_text().startswith(f"{name}: ")
    kept = page.get_by_role("region", name="Logs that are kept")
    kept.get_by_role("button", name="Leave all out").click()
    kept.get_by_text("0 logs are taken as evidence").wait_for()
    kept.get_by_role("button", name="Take all for the sheet").click()
    kept.get_by_text("left out by you").wait_for(state="detached")


def test_several_logs_are_brought_at_once_and_found_again(desk_wide, fox, tmp_path):
    page = desk_wide.page
    paths = [tmp_path / "first.csv", tmp_path / "second.csv"]
    for path, top in zip(paths, (1600, 1700), strict=True):
        rows = "".join(f"{k * 0.05:.2f},{min(top, k * 5)}\n" for k in range(1200))
        path.write_text(f"time (s),head speed (rpm)\n{rows}", "utf-8")
    desk_wide.go(f"{fox}/logs")
    page.locator("input[type=file]").set_input_files(paths)
    for path in paths:
        page.get_by_role("group", name=f"Judging {path.name}").locator(".stamp").wait_for()
    desk_wide.go(f"{fox}/logs")
    page.get_by_role("group", name=re.compile("Judging (first|second).csv")).locator(".stamp").wait_for()
