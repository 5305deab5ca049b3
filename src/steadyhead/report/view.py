"""One answer as a page shows it: the verdict in words, then the same sections that the sheet is made of."""

from collections.abc import Sequence
from dataclasses import dataclass

from steadyhead.report.content import Section
from steadyhead.report.palette import DARK, LIGHT, variables
from steadyhead.report.sentences import listed
from steadyhead.words.verdict import Outcome

SAYS = {
    Outcome.PASS: "Every check here passed on what is known.",
    Outcome.FAIL: "Something failed: see the checks marked ✗.",
    Outcome.UNKNOWN: "Not proved: something is not known. Unknown is not a pass.",
}


@dataclass(frozen=True, kw_only=True)
class View:
    """One answer, ready to be shown."""

    title: str
    verdict: Outcome
    says: str
    facts: tuple[str, ...]
    sections: tuple[Section, ...]


def _where_failed(sections: Sequence[Section]) -> str:
    """Return which tables hold what failed, so that nobody has to look through all of them."""
    tables = [table for section in sections for table in section.tables]
    failed = [t.caption for t in tables if any(c.verdict == Outcome.FAIL for row in t.rows for c in row)]
    where = listed([f"“{caption}”" for caption in dict.fromkeys(failed)], most=3)
    return f"Something failed: see the rows marked ✗ under {where}." if failed else SAYS[Outcome.FAIL]


def view(
    title: str, verdict: Outcome, sections: Sequence[Section], facts: Sequence[str] = (), *, says: str = ""
) -> View:
    """Return a view with its own sentence, or the one that belongs to its verdict."""
    says = says or (_where_failed(sections) if verdict is Outcome.FAIL else SAYS[verdict])
    return View(title=title, verdict=verdict, says=says, facts=tuple(facts), sections=tuple(sections))


def view_html(shown: View) -> str:
    """Return a view as a piece of HTML to stand inside a page that carries `view_css`."""
    from steadyhead.report.html import rendered

    return rendered("view.html.j2", view=shown)


def view_css() -> str:
    """Return the style that views need: the sheet's own, in light and in dark."""
    from steadyhead.report.html import rendered

    return rendered("view.css.j2", light=variables(LIGHT), dark=variables(DARK))
