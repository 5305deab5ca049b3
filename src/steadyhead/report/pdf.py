"""The sheet as PDF: the same content, handed to the typesetter as data, never as markup."""

import json
from datetime import UTC, date, datetime
from importlib import resources
from pathlib import Path

from steadyhead.report.content import FullSheet, PageSheet
from steadyhead.report.palette import LIGHT
from steadyhead.report.wording import MARKS
from steadyhead.words.plain import plain


def full_pdf(sheet: FullSheet, made_on: date) -> bytes:
    """Return the full version."""
    return _typeset("full.typ", sheet, made_on)


def page_pdf(sheet: PageSheet, made_on: date) -> bytes:
    """Return the one-page version, letters made smaller until it is one page."""
    return _typeset("page.typ", sheet, made_on)


def _typeset(template: str, sheet: FullSheet | PageSheet, made_on: date) -> bytes:
    import typst

    words = {
        "sheet": json.dumps(plain(sheet), ensure_ascii=False, allow_nan=False),
        "colours": json.dumps(LIGHT),
        "marks": json.dumps({outcome.value: mark for outcome, mark in MARKS.items()}, ensure_ascii=False),
    }
    with resources.as_file(resources.files("steadyhead.report") / "templates") as folder:
        compiled = typst.Compiler(
            str(folder / template),
            root=str(folder),
            font_paths=[str(font_folder())],
            ignore_system_fonts=True,
            sys_inputs=words,
        ).compile(format="pdf", timestamp=datetime(made_on.year, made_on.month, made_on.day, tzinfo=UTC))
    if not isinstance(compiled, bytes):
        raise TypeError(f"the typesetter gave {type(compiled).__name__} for {template}; bytes were expected")
    return compiled


def font_folder() -> Path:
    """Return the folder of the letters that the drawing library ships: the sheet needs none of the system's."""
    import matplotlib

    return Path(matplotlib.get_data_path()) / "fonts" / "ttf"
