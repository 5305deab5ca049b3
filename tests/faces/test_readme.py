"""The README is true: its Python runs, its commands exist, its pages and pictures are there."""

import re
from pathlib import Path

import pytest
import typer

from steadyhead.cli.main import app

ROOT = Path(__file__).resolve().parents[2]
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]
README = PAGES[0].read_text("utf-8")


def blocks() -> list[tuple[str, str]]:
    return [
        (f"{page.name} block {number}", block)
        for page in PAGES
        for number, block in enumerate(re.findall(r"```python\n(.*?)```", page.read_text("utf-8"), re.DOTALL), start=1)
    ]


@pytest.mark.parametrize(("name", "block"), blocks(), ids=[name for name, _ in blocks()])
def test_a_python_block_of_the_manual_runs(name, block, capsys):
    exec(compile(block, name, "exec"), {"__name__": "manual"})
    assert "nan" not in capsys.readouterr().out


def test_the_readme_has_a_python_block():
    assert any(name.startswith("README.md") for name, _ in blocks())


def test_every_command_of_the_readme_exists_and_every_command_stands_in_it():
    known = set(typer.main.get_command(app).commands)
    named = set(re.findall(r"`steadyhead ([a-z]+)", README))
    assert named <= known
    assert known <= named


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_between_pages_leads_somewhere(page):
    for target in re.findall(r"\]\((?!https?:)([^)#]+)", page.read_text("utf-8")):
        assert (page.parent / target).exists(), target


def test_no_placeholder_is_left_in_the_manual():
    for page in PAGES:
        assert "@@" not in page.read_text("utf-8"), page.name
