import re
import sys
from pathlib import Path

import pytest

from steadyhead.machine.description import Machine
from tests.unit.machine.sample import LEAST, machine

ROOT = Path(__file__).resolve().parents[3]
TEXT = (ROOT / "docs" / "machine-file.md").read_text("utf-8")


def test_the_tables_of_the_page_follow_the_code(monkeypatch):
    monkeypatch.setattr(sys, "path", [str(ROOT / "scripts"), *sys.path])
    from machine_page import machine_page

    assert machine_page() == TEXT, "run make docs"


@pytest.mark.parametrize("table", Machine.model_fields)
def test_every_key_stands_in_the_manual_under_its_table(table):
    rows = Machine.row_type(table)
    section = TEXT.partition(f"### {rows.__doc__.splitlines()[0].rstrip('.')}")[2].partition("\n##")[0]
    for name, key in rows.declared().items():
        assert f"| `{name}`" in section
        assert key.says in section


@pytest.mark.parametrize("block", re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL))
def test_every_piece_of_a_machine_file_in_the_manual_reads(block):
    assert machine(block, least=LEAST).value("airframe.mass").si == pytest.approx(3.6)
