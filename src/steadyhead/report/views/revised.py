"""Two revisions of a machine: what reads otherwise, and which checks that makes void."""

from collections.abc import Sequence
from difflib import unified_diff
from html import escape

from steadyhead.bench.void import bears_on_law, changes_of, is_void
from steadyhead.machine.difference import Difference
from steadyhead.report.content import Cell, Section, Table, columns, points
from steadyhead.report.names import CHECKS, key_name
from steadyhead.report.sentences import listed, tidy
from steadyhead.report.view import View, view
from steadyhead.report.void import LAW
from steadyhead.words.verdict import Outcome

NOT_COUNTED_UP = (
    "The revision that the file states was not counted up: both texts state one number. Count it up when you change "
    "a part: a sheet tells old evidence from new by it."
)

JUDGED_ANEW = ("limits", "reading")
"""Tables by which evidence is judged: another value makes none of it void, but may turn what it proves."""
WHERE_ANEW = "open the kept logs on the page Logs, and the pages Channel and Bench, and make the sheet anew."


def difference_view(found: Sequence[Difference]) -> View:
    """Return every key that differs, before and after, and the checks to run again."""
    void = void_checks(found)
    table = Table(
        caption="What reads otherwise",
        columns=columns("Input", "Before", "Now", words=(0, 1, 2), weights=(2.0, 1.5, 1.5)),
        rows=tuple(
            (
                Cell(text=key_name(one.key)),
                Cell(text=tidy(one.before) or "not there"),
                Cell(text=tidy(one.after) or "not there"),
            )
            for one in found
        ),
        shape="cards",
    )
    section = Section(
        anchor="difference",
        title="Changes",
        short="Changes",
        lead=_lead(found, void),
        tables=(table,) if found else (),
        points=points("Run these checks again", void),
    )
    anew = [key_name(one.key) for one in found if one.key.partition(".")[0] in JUDGED_ANEW]
    outcome = Outcome.UNKNOWN if void or anew else Outcome.PASS
    says = "The checks below were proved before this changed: run them again." if void else "No check is void by it."
    if anew:
        says += f" {listed(anew)}: what was judged before that is to be judged anew; {WHERE_ANEW}"
    return view("Since that revision", outcome, [section], says=says)


def _lead(found: Sequence[Difference], void: Sequence[str]) -> tuple[str, ...]:
    if not found:
        return ("Nothing differs but the text round it.",)
    return (NOT_COUNTED_UP,) if void and all(one.key != "machine.revision" for one in found) else ()


def void_checks(found: Sequence[Difference]) -> tuple[str, ...]:
    """Return the checks, as people call them, that other values of these keys make void; a part known better none."""
    changed = [one.key for one in found if not one.known_better]
    changes = {change for key in changed for change in changes_of(key)}
    law = (LAW,) if any(map(bears_on_law, changed)) else ()
    named = (name for check, name in CHECKS.items() if any(is_void(check, change) for change in changes))
    return (*law, *named)


def lines_html(before: str, after: str) -> str:
    """Return two texts of a machine file line by line, as HTML: what goes is marked −, what comes is marked +."""
    rows = []
    for line in unified_diff(before.splitlines(), after.splitlines(), n=1, lineterm=""):
        if line.startswith(("---", "+++")):
            continue
        kind, mark = {"-": ("goes", "−"), "+": ("comes", "+"), "@": ("skipped", "…")}.get(line[0], ("", " "))
        rows.append(f'<span class="{kind}">{mark} {"" if kind == "skipped" else escape(line[1:])}</span>')
    text = "\n".join(rows)
    return f'<pre class="lines" tabindex="0" aria-label="The file, line by line">{text}</pre>'
