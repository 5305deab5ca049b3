"""The frame that every page stands in: name of the machine, the stages of the job in their order, the cautions."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from html import escape
from itertools import pairwise
from pathlib import Path

from nicegui import ui

from steadyhead.web.addresses import page_of
from steadyhead.words import cautions

_DRAWN = "window.steadyheadDrawn = true"
"""Sent last: what was sent before, such as values that were set while the page was drawn, is there when this is."""
_SCRIPTS = ("link", "ear", "unsaved")
WAITS = "Connecting to the program. The page takes nothing yet."
LOST = "The link to the program is lost: nothing can be typed or pressed here until it is back."
_SHOW_HERE = "document.querySelector('nav.stages [aria-current]')?.scrollIntoView({inline: 'center', block: 'nearest'})"
STATIC = Path(__file__).with_name("static")


@dataclass(frozen=True, kw_only=True)
class Stage:
    """One stage of the job, and the page where it is done."""

    key: str
    name: str
    does: str


STAGES = (
    Stage(key="machine", name="Machine", does="what it is, and what of it is only typical"),
    Stage(key="plan", name="Plan", does="head speeds that the drive can hold"),
    Stage(key="channel", name="Channel", does="end points, thresholds, curve values"),
    Stage(key="logic", name="Switches", does="every switch sequence against the safety rules"),
    Stage(key="governor", name="Governor", does="margins, gains, spool-up and quick ramp"),
    Stage(key="fly", name="Simulate", does="a flight in time before the real one"),
    Stage(key="bench", name="Bench", does="prove it with the blades off"),
    Stage(key="logs", name="Logs", does="judge what was flown"),
    Stage(key="sound", name="Sound", does="head speed from a recording or the microphone"),
    Stage(key="compare", name="Compare", does="logs before a change against logs after it"),
    Stage(key="learn", name="Learn", does="what logs tell of the machine, and a file that holds it"),
    Stage(key="advise", name="Advise", does="what to change and by how much, what to measure next"),
    Stage(key="descent", name="Descent", does="autorotation and the height that a bail-out needs"),
    Stage(key="study", name="Study", does="many machines at once, drawn from the doubts"),
    Stage(key="sheet", name="Sheet", does="settings with their evidence"),
)


@cache
def style() -> str:
    """Return the style of every page."""
    from steadyhead.report.view import view_css

    return f"{view_css()}{STATIC.joinpath('frame.css').read_text('utf-8')}"


@contextmanager
def frame(
    title: str, machine: str = "", key: str = "", here: str = "", warned: Sequence[str] = (), kept: str = ""
) -> Iterator[None]:
    """Stand a page in its frame; `key` is the machine's place in the addresses, `here` the stage of this page.

    `kept` says which revision of the machine the page is about.
    """
    ui.page_title(f"{title} – {machine}" if machine else title)
    ui.add_css(style())
    ui.add_head_html("".join(f'<script src="/static/{name}.js" defer></script>' for name in _SCRIPTS))
    ui.query("html").props('lang="en"')
    ui.dark_mode(None)
    layout = ui.context.client.layout
    with layout, ui.element("div").move(layout, 0):
        ui.html('<a class="skip" href="#main">Skip to the page</a>', sanitize=False)
        _link(cautions.WHEN_DONE if warned == cautions.BENCH else "")
        _top(machine, key, here, kept)
    with ui.element("div").props('id="main" tabindex="-1" inert'):
        with ui.element("h1"):
            ui.label(title)
        yield
        if here:
            _neighbours(key, here)
    ui.run_javascript(_SHOW_HERE)
    ui.run_javascript(_DRAWN)
    _cautions(warned or cautions.ALL, unfolded=bool(warned))
    with layout, ui.element("footer").classes("foot"):
        ui.label("It advises, it does not certify. Figures are estimates with their uncertainty, never a permission.")


def _link(first: str) -> None:
    """Stand the place where the page says that the program does not listen to it; `first` is what a person has to do
    before anything else, where a motor may be live. Until it listens, `link.js` lets nothing be typed or pressed."""
    lost = " ".join(filter(None, (first, LOST)))
    ui.html(
        f'<p class="link-said" role="status" data-waits="{escape(WAITS)}" data-lost="{escape(lost)}"></p>',
        sanitize=False,
    )


def _top(machine: str, key: str, here: str, kept: str) -> None:
    with ui.element("header").classes("bar"):
        ui.link("steadyhead", "/").classes("home")
        if machine:
            ui.label(machine).classes("which")
        if kept:
            ui.label(kept).classes("kept-as")
    if key:
        with ui.element("nav").classes("stages").props('aria-label="Stages of the job"'), ui.element("ul"):
            for stage in STAGES:
                with ui.element("li"):
                    link = ui.link(stage.name, page_of(key, stage.key)).props(f'title="{stage.does}"')
                    if stage.key == here:
                        link.props('aria-current="page"')


def _neighbours(key: str, here: str) -> None:
    """Show the way to the stage before and the stage after, in reach of a thumb."""
    before = dict(pairwise(reversed(STAGES)))
    after = dict(pairwise(STAGES))
    now = next(stage for stage in STAGES if stage.key == here)
    with ui.element("nav").classes("neighbours").props('aria-label="Stage before and after"'):
        for beside, arrow in ((before.get(now), "← {}"), (after.get(now), "{} →")):
            if beside is None:
                ui.element("span")
            else:
                ui.link(arrow.format(beside.name), page_of(key, beside.key))


def _cautions(said: Sequence[str], *, unfolded: bool) -> None:
    with ui.element("details").classes("cautions-of-page").props("open" if unfolded else ""):
        with ui.element("summary"):
            ui.label("Before anything turns")
        with ui.element("ul"):
            for caution in said:
                with ui.element("li"):
                    ui.label(caution)
