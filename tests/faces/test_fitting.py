"""Tables in the terminal: whatever its width, no figure is cut and no line is longer than the terminal is wide."""

import io

import pytest
from rich.console import Console
from rich.table import Table

from steadyhead.cli.fitting import print_table

KINDS = ("rest", "soft spool", "governed", "autorotation")
FIGURES = tuple(f"{1000.0 + 37.21 * k:.2f}" for k in range(12))


def table() -> Table:
    made = Table(title="Segments", title_justify="left", box=None, pad_edge=False, show_edge=False)
    made.add_column("segment")
    made.add_column("from s", justify="right")
    for number in range(len(FIGURES)):
        made.add_column(f"figure {number}", justify="right")
    made.add_column("why", overflow="fold")
    for place, kind in enumerate(KINDS):
        made.add_row(kind, f"{100.5 + place}", *FIGURES, "[green]pass[/] for a reason that takes many words to say")
    return made


def printed(width: int, repeated: int) -> str:
    out = io.StringIO()
    print_table(Console(file=out, width=width, highlight=False), table(), repeated=repeated)
    return out.getvalue()


@pytest.mark.parametrize("width", [30, 40, 57, 80, 120, 160, 250])
@pytest.mark.parametrize("repeated", [1, 2])
def test_no_figure_is_cut_and_no_line_is_too_long(width: int, repeated: int) -> None:
    shown = printed(width, repeated)
    assert "…" not in shown
    assert max(len(line) for line in shown.splitlines()) <= width
    words = shown.split()
    for figure in FIGURES:
        assert words.count(figure) == len(KINDS)
    assert words.count("Segments") == 1
    assert words.count("pass") == len(KINDS)


def test_every_part_says_which_row_it_is_of() -> None:
    parts = printed(57, 2).split("\n\n")
    assert len(parts) > 2
    for part in parts:
        for place, kind in enumerate(KINDS):
            assert any(line.startswith(kind) and f" {100.5 + place}" in line for line in part.splitlines())


def test_an_interval_stays_with_its_figure() -> None:
    made = Table(box=None, pad_edge=False, show_edge=False)
    made.add_column("mode")
    for number in range(8):
        made.add_column(f"figure {number}", justify="right")
        made.add_column("90 %", justify="right")
    made.add_row("normal", *(words for k in range(8) for words in (f"{k}.5", f"{k}.1 to {k}.9")))
    for width in range(30, 140, 7):
        out = io.StringIO()
        print_table(Console(file=out, width=width, highlight=False), made)
        rows = [line.split() for line in out.getvalue().splitlines() if line.startswith("normal")]
        assert [word for row in rows for word in row if word.endswith(".5")] == [f"{k}.5" for k in range(8)]
        for row in rows:
            for k in range(8):
                assert (f"{k}.5" in row) == (f"{k}.1" in row)


def test_a_table_that_fits_comes_in_one_piece() -> None:
    assert "\n\n" not in printed(250, 1)
