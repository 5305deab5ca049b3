"""The pages after the first flight in a real browser: compare, learn, advise, study; and what an edit makes void."""

import json
import re
import shutil
import subprocess
import sys
from itertools import pairwise

import pytest
from playwright.sync_api import expect

from steadyhead import job
from steadyhead.bench.record import keep_log, keep_machine, log_path, open_record
from steadyhead.report.names import check_name
from steadyhead.report.wording import moment
from steadyhead.trace.bundled_logs import DEMO_LOGS
from tests.browser.conftest import Server, free_port, visit
from tests.browser.test_job import FOX

STAGES = ("compare", "learn", "advise", "study")
LONG_MS = 600_000
"""Only busy cores take so long; on quiet ones nothing here waits for more than half a minute."""


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """A server on a record that holds the invented machine and both of its invented logs."""
    home = tmp_path_factory.mktemp("later")
    machine = job.read_machine(job.bundled("fox600"))
    with open_record(home / "record.sqlite") as record:
        revision = keep_machine(record, job.bundled("fox600"))
        for log in DEMO_LOGS:
            keep_log(record, revision, job.judge(machine, log))
    made = Server(home=home, port=free_port())
    made.start()
    yield made
    made.kill()


@pytest.fixture
def seen(chromium, kept):
    made = visit(chromium, kept.origin)
    made.page.set_default_timeout(LONG_MS)
    yield made
    assert made.outside() == []
    assert made.troubles == []
    made.page.close()


def saved(seen) -> dict:
    with seen.page.expect_download() as waited:
        seen.page.get_by_role("button", name="Save as JSON").click()
    return json.loads(waited.value.path().read_text("utf-8"))


def named_logs(kept, folder) -> list:
    """Lay the kept logs out under their own names, oldest first."""
    laid = []
    with open_record(kept.home / "record.sqlite") as record:
        for log in job.shelf.logs(record, "Fox 600")[::-1]:
            laid.append(folder / log.name)
            shutil.copyfile(log_path(record, log.id), laid[-1])
    return laid


HERE_IS_SEEN = """() => {
  const box = document.querySelector("nav.stages [aria-current]").getBoundingClientRect();
  return box.left >= 0 && box.right <= innerWidth;
}"""
"""The page brings its own stage into view once it is connected: a busy core takes a moment."""


def one_below_the_other(places) -> bool:
    boxes = [place.bounding_box() for place in places.all()]
    return all(below["y"] >= above["y"] + above["height"] - 1.0 for above, below in pairwise(boxes))


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_no_later_page_is_wider_than_its_window(chromium, kept, width, scheme):
    made = visit(chromium, kept.origin, width=width, scheme=scheme)
    for stage in STAGES:
        made.go(f"{FOX}/{stage}")
        assert made.page.evaluate("document.documentElement.scrollWidth") <= width, stage
        here = made.page.locator("nav.stages [aria-current]")
        assert here.bounding_box()["height"] >= 44.0
        made.page.wait_for_function(HERE_IS_SEEN)
        assert made.page.locator("nav.neighbours a").count() == 2
        assert one_below_the_other(made.page.locator("fieldset, fieldset ~ button")), stage
        made.picture(f"later-{stage}-{width}-{scheme}")
    assert made.outside() == []
    assert made.troubles == []
    made.page.close()


def test_compare_shows_what_the_command_answers(seen, kept, tmp_path):
    seen.go(f"{FOX}/compare")
    seen.page.get_by_role("button", name="Compare them").click()
    seen.page.wait_for_selector(".stamp")
    seen.picture("compare-1280-light")
    answer = saved(seen)
    assert answer["verdict"] == seen.page.locator(".stamp").get_attribute("data-verdict")
    before, after = named_logs(kept, tmp_path)
    told = subprocess.run(
        [sys.executable, "-m", "steadyhead", "compare", str(job.bundled("fox600")), before.name, after.name, "--json"],
        capture_output=True, text=True, check=False, cwd=tmp_path,
    )  # fmt: skip
    assert answer == json.loads(told.stdout)


def test_compare_asks_for_a_log_on_each_side(seen):
    seen.go(f"{FOX}/compare")
    seen.page.get_by_role("radio", name="leave out").first.click()
    seen.page.get_by_role("button", name="Compare them").click()
    assert "each side" in seen.page.get_by_role("alert").inner_text()


def test_a_learned_file_is_kept_only_after_the_tick_and_the_revision_page_says_what_is_void(seen, kept, tmp_path):
    page = seen.page
    seen.go(f"{FOX}/learn")
    ticks = page.get_by_role("checkbox")
    assert page.get_by_text("as judged when it was kept").count() == ticks.count() == 2
    page.get_by_role("button", name="Tick none").click()
    expect(ticks.nth(1)).not_to_be_checked()
    expect(ticks.nth(0)).not_to_be_checked()
    page.get_by_role("button", name="Tick all").click()
    expect(ticks.nth(0)).to_be_checked()
    page.get_by_role("checkbox", name=re.compile("fox600_flight")).click()
    page.get_by_role("button", name="Learn from them").click()
    page.wait_for_selector(".stamp")
    assert "steadyhead-" not in page.locator("#main").inner_text()
    seen.picture("learn-1280-light")
    answer = saved(seen)
    told = job.learn(job.bundled("fox600"), named_logs(kept, tmp_path)[:1])
    assert answer["verdict"] == told.verdict.value
    assert [one["value"] for one in answer["parameters"]] == [one.value for one in told.parameters]
    assert answer["proposal"]["text"] == told.proposal.text
    for check in told.checks:
        assert page.get_by_role("row", name=re.compile(f"^{check_name(check.check)}")).count() == 1
    assert told.replayed
    flown = page.get_by_role("table", name="Logs flown again")
    assert flown.locator("tbody tr").count() == len(answer["replayed"]) == len(told.replayed)
    page.get_by_role("button", name="Keep as a new revision").click()
    assert "Nothing was kept" in page.get_by_role("alert").inner_text()
    assert len(revisions(kept)) == 1
    page.get_by_text("The file, line by line").click()
    assert any("measured" in line for line in page.locator(".lines .comes").all_inner_texts())
    assert "It makes no check void." in page.locator("#main").inner_text()
    page.get_by_role("checkbox", name=re.compile("I have read what changes")).click()
    page.get_by_role("button", name="Keep as a new revision").click()
    page.wait_for_url("**/machine")
    assert "Run these checks again" not in page.locator("#main").inner_text()
    assert [one.revision for one in revisions(kept)] == [2, 1]


def revisions(kept) -> tuple:
    with open_record(kept.home / "record.sqlite") as record:
        return job.shelf.revisions(record, "Fox 600")


def test_another_pinion_makes_checks_void_and_the_old_file_does_not(seen, kept):
    page = seen.page
    seen.go(f"{FOX}/machine")
    file = page.get_by_label("Machine file (TOML)")
    before = file.input_value()
    assert "pinion_teeth = 13" in before
    for text, shown in ((before.replace("pinion_teeth = 13", "pinion_teeth = 14"), "14"), (before, "13")):
        file.fill(text)
        page.get_by_role("button", name="Keep this revision").click()
        # No box is there while the page is drawn anew.
        page.wait_for_function(f"document.querySelector('textarea')?.value.includes('pinion_teeth = {shown}')")
        page.wait_for_load_state()
        if shown == "14":
            section = page.get_by_role("region", name="Earlier revisions")
            section.get_by_text("Gear pinion teeth").or_(section.get_by_text("gear pinion teeth")).first.wait_for()
            assert "Duty in the hardest load" in section.inner_text()
            assert "Motor temperature" in section.inner_text()
            newest = revisions(kept)[0]
            told = f"revision {newest.revision}, file {newest.id[:8]}, kept {moment(newest.added_on)}"
            assert page.locator(".bar .kept-as").inner_text() == told
            assert "Throttle hold stops the motor" not in section.inner_text()
            seen.picture("revision-1280-light")


def test_advice_says_how_far_it_is_outlives_a_reload_and_can_be_stopped(seen):
    page = seen.page
    seen.go(f"{FOX}/advise")
    assert page.locator(".cautions-of-page").get_attribute("open") is not None
    page.get_by_role("button", name="Say what to change").click()
    page.get_by_role("button", name="Stop").wait_for()
    page.reload()
    page.get_by_role("button", name="Say what to change").click()
    page.get_by_role("button", name="Stop").click()
    page.get_by_text("Stopped. Nothing was kept of it.").wait_for()


def test_a_study_is_stopped_goes_on_and_is_shown(seen, kept):
    page = seen.page
    seen.go(f"{FOX}/study")
    page.get_by_label("Machines drawn for each").fill("4")
    page.get_by_label("Machines drawn for each").blur()
    page.get_by_role("button", name="Begin the study").click()
    page.get_by_role("button", name="Stop").click()
    page.get_by_text("Stopped. The parts that were done are kept.").wait_for()
    assert page.get_by_text("Nothing was kept").count() == 0
    assert page.get_by_role("button", name="Go on with it").count() == 1
    page.reload()
    page.get_by_role("button", name="Go on with it").click()
    page.wait_for_selector(".stamp")
    page.wait_for_selector("figure svg")
    page.get_by_role("button", name="Show it").wait_for()
    seen.picture("study-1280-light")
    answer = saved(seen)
    begun = job.studies.kept_studies(kept.home / "record.sqlite", "Fox 600")
    assert [one.done for one in begun] == [True]
    summary = json.loads(begun[0].file.with_name("summary.json").read_text("utf-8"))
    assert {**answer, "written": []} == {**summary, "written": []}
    assert sum(point["machines"] for point in answer["points"]) == 12


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("Machines drawn for each", "-5"),
        ("Machines drawn for each", "0"),
        ("Machines drawn for each", ""),
        ("Machines drawn for each", "1.000"),
        ("Smallest pinion, teeth", "0"),
        ("Largest pinion, teeth", "11"),
    ],
)
def test_a_study_form_says_at_the_field_what_is_wrong(seen, field, typed):
    seen.go(f"{FOX}/study")
    seen.page.get_by_label(field).fill(typed)
    said = seen.page.locator(".q-field", has=seen.page.get_by_label(field)).get_by_role("alert")
    said.filter(has_text="right would be a whole number").wait_for()
    assert (f"'{typed}'" if typed else "nothing") in said.inner_text()
    if (field, typed) == ("Largest pinion, teeth", "11"):
        seen.picture("study-form-1280")
    seen.page.get_by_role("button", name="Begin the study").click()
    seen.page.get_by_role("alert").filter(has_text=f"{field}: read").wait_for()
    assert seen.page.get_by_text('.toml"').count() == 0
    seen.page.get_by_label(field).fill("14")
    said.wait_for(state="detached")


def test_a_study_of_another_file_is_refused(seen):
    page = seen.page
    seen.go(f"{FOX}/study")
    page.get_by_text("The study file: edit it, or bring one").click()
    page.get_by_label("Study file (TOML)", exact=True).fill('machine = "../other.toml"\n')
    page.get_by_role("button", name="Begin the study").click()
    assert "the file of this machine" in page.get_by_role("alert").inner_text()
