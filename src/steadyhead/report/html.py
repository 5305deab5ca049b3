"""The sheet as HTML that needs nothing from outside: style, colours and drawings stand in the file."""

import re
from functools import cache
from typing import TYPE_CHECKING

from steadyhead.report.content import FullSheet, PageSheet
from steadyhead.report.figures.canvas import Drawing
from steadyhead.report.palette import DARK, LIGHT, variables
from steadyhead.report.wording import MARKS

if TYPE_CHECKING:
    from jinja2 import Environment

_NAMESPACE = re.compile(r'\sxmlns(?::\w+)?="[^"]*"')
_STYLE = re.compile(r"<style type=\"text/css\">.*?</style>", re.DOTALL)
_SIZE = re.compile(r'(<svg[^>]*?) width="[^"]*" height="[^"]*"')
_ID = re.compile(r'(\bid="|url\(#|href="#)')
_COLOUR = re.compile("|".join(re.escape(shade) for shade in LIGHT.values()))
_NAMES = {shade: name for name, shade in LIGHT.items()}


def full_html(sheet: FullSheet) -> str:
    """Return the full version."""
    return _environment().get_template("full.html.j2").render(sheet=sheet, **_shared())


def page_html(sheet: PageSheet) -> str:
    """Return the one-page version."""
    return _environment().get_template("page.html.j2").render(sheet=sheet, **_shared())


def rendered(template: str, **given: object) -> str:
    """Return a template of this room filled in, for pieces that stand in another page."""
    return _environment().get_template(template).render(**{**_shared(), **given})


def inline_svg(drawing: Drawing) -> str:
    """Return the drawing for use inside a page: its colours follow the page's, and its ids stay its own."""
    svg = _STYLE.sub("", _NAMESPACE.sub("", drawing.svg))
    svg = _SIZE.sub(r"\1", svg, count=1)
    svg = _ID.sub(rf"\g<1>{drawing.name}-", svg)
    return _COLOUR.sub(lambda found: f"var(--{_NAMES[found.group()]})", svg)


def _shared() -> dict[str, object]:
    return {
        "light": variables(LIGHT),
        "dark": variables(DARK),
        "marks": {outcome.value: mark for outcome, mark in MARKS.items()},
    }


@cache
def _environment() -> "Environment":
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        loader=PackageLoader("steadyhead.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    # The only text let through unescaped: drawings made by this package, whose letters the SVG writer escaped.
    environment.filters["inline"] = lambda drawing: Markup(inline_svg(drawing))
    return environment
