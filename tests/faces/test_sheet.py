"""The sheet as its reader holds it: two HTML files and two PDF files."""

import os
import re
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import pypdf
import pytest

from steadyhead.report.evidence import Evidence
from steadyhead.report.names import CHECKS, check_name
from steadyhead.report.sheet import SheetFiles, write_sheet
from steadyhead.words import cautions
from steadyhead.words.verdict import Outcome, Verdict
from tests.unit.report import hand_made

DAY = date(2026, 11, 25)
HOSTILE = '<script>alert("x")</script> #eval("1") *bold* $x^2$ @ref \\ ${7*7} {{7*7}} _u_ `raw` [a] "q"'


def written(folder: Path, **changed) -> SheetFiles:
    given = {
        "machine": hand_made.HandMachine(),
        "plan": hand_made.plan(),
        "channel": hand_made.channel(),
        "judgements": (hand_made.judgement("flight.csv"), hand_made.judgement("bench.csv")),
    }
    return write_sheet(folder, Evidence(**(given | changed)), DAY)


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> SheetFiles:
    return written(tmp_path_factory.mktemp("sheet"))


class Reader(HTMLParser):
    """Collects what a browser would load and what a person would read."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.loads: list[str] = []
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.words: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        for name, value in attrs:
            if name in ("src", "href", "xlink:href", "data", "action") and value and not value.startswith("#"):
                self.loads.append(value)
            if name == "id" and value:
                self.ids.append(value)

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @property
    def text(self) -> str:
        return re.sub(r"\s+", " ", " ".join(self.words))


def pdf_text(path: Path) -> str:
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pypdf.PdfReader(path).pages))


def test_the_sheet_says_which_of_the_logs_that_are_kept_it_does_not_show(tmp_path: Path) -> None:
    says = "2 logs are taken as evidence; 1 left out by you."
    for made, shown in ((written(tmp_path / "some", kept_logs=says), True), (written(tmp_path / "all"), False)):
        for path in (made.html, made.page_html):
            assert (says in path.read_text("utf-8")) is shown
    bare = written(tmp_path / "none", judgements=(), kept_logs="0 logs are taken as evidence; 3 left out by you.")
    assert "3 left out by you" in bare.html.read_text("utf-8")
    assert "3 left out by you" in bare.page_html.read_text("utf-8")


def test_the_pages_load_nothing_from_anywhere(files: SheetFiles) -> None:
    for path in (files.html, files.page_html):
        text = path.read_text("utf-8")
        reader = Reader(text)
        assert reader.loads == []
        assert not {"script", "link", "iframe", "img", "object", "embed"} & set(reader.tags)
        assert "http:" not in text
        assert "https:" not in text
        assert "@import" not in text
        assert not re.search(r"url\((?!#)", text)


def test_no_id_stands_twice_in_a_page(files: SheetFiles) -> None:
    for path in (files.html, files.page_html):
        ids = Reader(path.read_text("utf-8")).ids
        assert len(ids) == len(set(ids))


def test_every_check_stands_in_every_version(files: SheetFiles) -> None:
    page, full = (Reader(path.read_text("utf-8")).text for path in (files.page_html, files.html))
    pdf = pdf_text(files.pdf)
    for check in CHECKS:
        assert check_name(check) in page
        assert check_name(check) in full
        assert check_name(check) in pdf


def test_every_version_carries_machine_date_verdict_and_every_caution(files: SheetFiles) -> None:
    shown = [Reader(path.read_text("utf-8")).text for path in (files.html, files.page_html)]
    shown += [pdf_text(path) for path in (files.pdf, files.page_pdf)]
    for text in shown:
        assert "Hand-made 600" in text
        assert "25 November 2026" in text
        assert "Revision 3" in text
        assert "Invented machine" in text
        assert "fail" in text.lower()
        for caution in cautions.ALL:
            assert caution.split(".")[0] in text


def test_a_loose_page_still_says_of_which_revision_and_day_it_is_and_the_overall_verdict(files: SheetFiles) -> None:
    pages = [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(files.pdf).pages]
    assert len(pages) > 5
    for page in pages:
        assert re.search(r"Revision 3 · Made \d\d \w+ \d{4} · overall (pass|fail|unknown)", page)


def test_the_one_page_version_is_one_page_of_a4(files: SheetFiles) -> None:
    (page,) = pypdf.PdfReader(files.page_pdf).pages
    assert (round(float(page.mediabox.width)), round(float(page.mediabox.height))) == (595, 842)


def test_four_modes_and_a_long_name_still_go_on_one_page(tmp_path: Path) -> None:
    speeds = {f"a flight mode with a long name {n}, flown in wind": 1700.0 + 150.0 * n for n in range(4)}
    machine = hand_made.HandMachine(name="The very long name of a machine that nobody could keep short " * 2)
    long = written(tmp_path, machine=machine, plan=hand_made.plan(speeds), channel=hand_made.channel(speeds))
    assert len(pypdf.PdfReader(long.page_pdf).pages) == 1
    assert "wind" in pdf_text(long.page_pdf)


def test_unknown_is_never_shown_as_pass(tmp_path: Path) -> None:
    unknown = tuple(Verdict.unknown(check, "the log cannot tell") for check in CHECKS)
    plan = hand_made.plan({"normal": 1700.0})
    made = written(
        tmp_path,
        plan=replace(
            plan, pinions=(), verdict=Outcome.UNKNOWN, modes=(replace(plan.modes[0], verdict=Outcome.UNKNOWN),)
        ),
        judgements=[hand_made.judgement("flight.csv", unknown)],
    )
    text = made.page_html.read_text("utf-8")
    checks = text[text.index('class="marked"') : text.index("<dl>")]
    assert "pass" not in checks
    assert checks.count(">unknown<") + checks.count("unknown</span>") >= len(CHECKS)
    assert 'class="stamp unknown"' in text


def test_a_sheet_without_any_log_says_that_nothing_is_proved(tmp_path: Path) -> None:
    bare = written(tmp_path, plan=None, channel=None, judgements=[])
    for text in (bare.html.read_text("utf-8"), pdf_text(bare.pdf), pdf_text(bare.page_pdf)):
        assert "No log was judged" in text
        assert "unknown" in text.lower()
    assert 'class="stamp unknown"' in bare.html.read_text("utf-8")


def test_hostile_names_are_shown_as_text_and_do_nothing(tmp_path: Path) -> None:
    speeds = {HOSTILE: 1900.0}
    log = HOSTILE.replace("/", "").replace("\\ ", "")
    judged = replace(
        hand_made.judgement("/somewhere/private/" + log),
        advice=(HOSTILE,),
        warnings=(HOSTILE,),
        history=(HOSTILE,),
        unknowns=(HOSTILE,),
    )
    made = written(
        tmp_path,
        machine=hand_made.HandMachine(name=HOSTILE),
        plan=hand_made.plan(speeds),
        channel=hand_made.channel(speeds),
        judgements=[judged],
    )
    for path in (made.html, made.page_html):
        text = path.read_text("utf-8")
        assert "script" not in Reader(text).tags
        assert HOSTILE in Reader(text).text
        assert "{{7*7}}" in text
        assert log in Reader(text).text
        assert "private" not in text
    whole = pdf_text(made.page_pdf)
    for part in ("<script>", "#eval", "*bold*", "$x^2$", "@ref", "\\", "{{7*7}}", "_u_", "`raw`"):
        assert part in whole


def test_a_full_disk_leaves_no_half_written_sheet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    old = written(tmp_path)
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    synced, calls = os.fsync, []

    def full(handle: int) -> None:
        calls.append(handle)
        if len(calls) > 2:
            raise OSError(28, "No space left on device")
        synced(handle)

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        written(tmp_path, machine=hand_made.HandMachine(name="Another"))
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before
    assert old.pdf in before


def test_the_same_results_give_the_same_files(tmp_path: Path, files: SheetFiles) -> None:
    again = written(tmp_path)
    for name in ("html", "pdf", "page_html", "page_pdf"):
        assert getattr(again, name).read_bytes() == getattr(files, name).read_bytes(), name


def test_the_files_stay_small_enough_to_send(files: SheetFiles) -> None:
    assert files.html.stat().st_size < 1_500_000
    assert files.pdf.stat().st_size < 1_500_000
