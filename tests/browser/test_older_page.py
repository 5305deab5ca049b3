"""A page knows the machine file that it was made from: once another is kept it says so, and leads and keeps nothing."""

import itertools
import re

import pytest

from steadyhead.bench import guided, shelf
from steadyhead.bench.record import keep_sheet, open_record
from steadyhead.machine.bundled import bundled
from steadyhead.words.verdict import Outcome
from tests.browser.conftest import linked, visit

TEXT = bundled("heron520").read_text("utf-8")
ALIKE = "Heron"
NUMBERS = itertools.count(1)
STAGES = (
    "plan",
    "channel",
    "bench",
    "logs",
    "sound",
    "learn",
    "advise",
    "fly",
    "compare",
    "study",
    "sheet",
    "governor",
)
OLDER = "The machine file was changed since this page was made"


@pytest.fixture
def heron(server, chromium):
    """The machine under a name of its own, kept on the first page."""
    made = visit(chromium, server.origin)
    text = TEXT.replace('"Heron 520"', f'"{ALIKE} {next(NUMBERS)}"')
    made.go("/")
    made.page.set_input_files(
        "input[type=file]", {"name": "heron.toml", "mimeType": "text/plain", "buffer": text.encode()}
    )
    made.page.wait_for_url("**/machine")
    linked(made.page)
    yield made
    made.page.close()


def keep(page, old, new):
    box = page.locator("textarea").first
    text = box.input_value()
    assert old in text
    box.fill(text.replace(old, new))
    page.get_by_role("button", name="Keep this revision").click()


def test_every_open_page_says_that_the_file_was_changed_and_does_nothing(server, chromium, heron):
    address = heron.page.url.removeprefix(server.origin).removesuffix("machine")
    others = {stage: visit(chromium, server.origin) for stage in STAGES}
    for stage, other in others.items():
        other.go(f"{address}{stage}")
    stale = visit(chromium, server.origin)
    stale.go(f"{address}machine")
    pinion = re.search(r"pinion_teeth = (\d+)", TEXT)[0]
    keep(heron.page, pinion, pinion.replace("= 1", "= 2"))
    for stage, other in others.items():
        other.page.get_by_text(OLDER).wait_for()
        other.picture(f"older-{stage}")
    channel = others["channel"].page
    channel.get_by_label("Curve value, %").fill("60")
    channel.get_by_label("Head speed, rpm").fill("1900")
    channel.get_by_role("button", name="Keep the reading").click()
    channel.get_by_text("nothing was kept").wait_for()
    bench = others["bench"].page
    bench.get_by_role("button", name="Begin the bench run").click()
    bench.get_by_text("nothing was kept").wait_for()
    keep(stale.page, "revision = 1", "revision = 7")
    stale.page.get_by_text("nothing was kept").wait_for()
    assert "revision = 7" in stale.page.locator("textarea").first.input_value()
    assert "revision = 7" not in heron.page.locator("textarea").first.input_value()
    channel.get_by_role("button", name="Load the page anew").click()
    channel.get_by_text(OLDER).wait_for(state="detached")
    channel.get_by_label("Curve value, %").wait_for()
    assert channel.get_by_text(OLDER).count() == 0
    for other in (*others.values(), stale):
        other.page.close()


def test_the_name_in_a_text_takes_no_other_machines_place(server, chromium, heron):
    page, kept = heron.page, heron.page.url
    name = re.search(r'name = ".*"', page.locator("textarea").first.input_value())[0]
    keep(page, name, 'name = "Heron alone"')
    page.get_by_text("names a machine that is not kept yet").wait_for()
    heron.picture("named-anew")
    page.get_by_role("button", name="Keep it as a new machine").click()
    page.wait_for_url("**/Heron%20alone/machine")
    page.goto(kept)
    linked(page)
    keep(page, name, 'name = "Heron alone"')
    refused = page.get_by_role("alert").filter(has_text="is kept already as another one")
    refused.wait_for()
    other = visit(chromium, server.origin)
    other.go("/")
    changed = TEXT.replace('"Heron 520"', '"Heron alone"') + "\n# brought\n"
    other.page.set_input_files(
        "input[type=file]", {"name": "a.toml", "mimeType": "text/plain", "buffer": changed.encode()}
    )
    other.page.get_by_text('A machine "Heron alone" is kept already').wait_for()
    other.picture("named-alike")
    other.page.get_by_role("button", name="Keep it as the newest file").click()
    other.page.wait_for_url("**/Heron%20alone/machine")
    assert "# brought" in other.page.locator("textarea").first.input_value()
    other.page.close()


def test_what_was_edited_and_not_kept_is_not_lost_by_a_link(heron):
    page, asked = heron.page, []
    page.on("dialog", lambda one: (asked.append(one.type), one.dismiss()))
    page.locator("textarea").first.press_sequentially("# mine\n")
    page.locator("nav.stages").get_by_text("Plan", exact=True).click()
    page.wait_for_timeout(500)
    assert asked == ["beforeunload"]
    assert page.url.endswith("/machine")
    page.get_by_role("button", name="Keep this revision").click()
    page.wait_for_function("document.querySelector('textarea').value.includes('# mine') && !window.steadyheadUnsaved")
    page.locator("nav.stages").get_by_text("Plan", exact=True).click()
    page.wait_for_url("**/plan")
    assert asked == ["beforeunload"]


def test_what_is_typed_on_the_channel_page_is_refused_or_kept_as_it_is(chromium, server, heron):
    page = heron.page
    page.goto(page.url.replace("/machine", "/channel"))
    linked(page)
    percent, speed = page.get_by_label("Curve value, %"), page.get_by_label("Head speed, rpm")

    def typed(at, rpm):
        percent.fill(at)
        speed.fill(rpm)
        speed.blur()
        page.get_by_role("button", name="Keep the reading").click()

    for at, rpm, read in (("755", "1650", "755 %"), ("75", "-5", "-5 rpm")):
        typed(at, rpm)
        page.get_by_role("alert").filter(has_text=f"read {read}").wait_for()
        assert percent.input_value() == at
        assert page.get_by_text("Kept readings").count() == 0
    typed("50", "1750")
    page.get_by_text("50 %: 1750 rpm, spread not stated").wait_for()
    typed("100", "1752")
    page.get_by_text("100 %: 1752 rpm").wait_for()
    typed("100", "2400")
    page.get_by_role("alert").filter(has_text="Nothing was kept").wait_for()
    page.get_by_role("checkbox", name="100 %: 1752 rpm").click()
    typed("100", "2400")
    page.get_by_text("100 %: 2400 rpm").wait_for()
    page.get_by_role("cell", name="not stated").first.wait_for()
    heron.picture("channel-kept-readings")
    assert heron.troubles == []


def test_a_log_may_be_brought_again_on_the_same_page(heron):
    page = heron.page
    page.goto(page.url.replace("/machine", "/logs"))
    linked(page)
    log = {"name": "odd.csv", "mimeType": "text/plain", "buffer": b"p,q\n1,2\n3,4\n5,6\n"}
    for times in (1, 2):
        page.set_input_files("input[type=file]", log)
        page.wait_for_function(f"document.querySelectorAll('[aria-label=\"Judging odd.csv\"]').length === {times}")
    assert page.get_by_text("brought").filter(has_text="already").count() == 0


def test_a_sheet_of_an_older_file_is_marked(server, heron, tmp_path):
    page = heron.page
    paper = tmp_path / "sheet.html"
    paper.write_text("<p>an invented sheet</p>", "utf-8")
    name = page.locator(".bar .which").inner_text()
    with open_record(server.home / "record.sqlite") as record:
        record_of = shelf.newest_revision(record, name)
        keep_sheet(record, record_of, paper, Outcome.PASS)
    machine = page.url
    page.goto(machine.replace("/machine", "/sheet"))
    linked(page)
    page.get_by_text(f"file {record_of.id[:8]}, ").first.wait_for()
    assert page.get_by_text("Made from an older machine file").count() == 0
    page.goto(machine)
    linked(page)
    kept_as = page.locator(".bar .kept-as")
    before = kept_as.inner_text()
    keep(page, "revision = 1", "revision = 1  # the same number")
    kept_as.filter(has_not_text=before).wait_for()
    linked(page)
    page.goto(machine.replace("/machine", "/sheet"))
    linked(page)
    page.get_by_text("Made from an older machine file").wait_for()
    heron.picture("sheet-of-older-file")


def test_a_bench_page_takes_no_answer_by_an_older_file(server, chromium, heron):
    bench = visit(chromium, server.origin)
    bench.page.goto(heron.page.url.replace("/machine", "/bench"))
    linked(bench.page)
    bench.page.get_by_role("button", name="Begin the bench run").click()
    bench.page.get_by_role("button", name="yes", exact=True).wait_for()
    name = heron.page.locator(".bar .which").inner_text()

    def events():
        with open_record(server.home / "record.sqlite") as record:
            return guided.run_summary(record, guided.latest_run(record, name)).events

    before = events()
    keep(heron.page, "revision = 1", "revision = 1  # again")
    bench.page.get_by_text("As of the older machine file").or_(bench.page.get_by_text(OLDER)).first.wait_for()
    bench.page.get_by_role("button", name="yes", exact=True).click()
    bench.page.get_by_text("nothing was kept").wait_for()
    bench.page.get_by_text("Throttle hold on; disconnect the pack").first.wait_for()
    assert events() == before
    bench.picture("older-bench-step")
    bench.page.get_by_role("button", name="Load the page anew").click()
    bench.page.get_by_text(OLDER).wait_for(state="detached")
    bench.page.get_by_role("button", name="yes", exact=True).click()
    bench.page.wait_for_timeout(1500)
    assert events() > before
    bench.page.close()
