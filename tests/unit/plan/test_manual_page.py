import dataclasses
import re
import shutil
from pathlib import Path

import pytest

from steadyhead.machine.bundled import bundled
from steadyhead.plan import result
from steadyhead.plan.checks import CHECKS, LIMIT_KEYS
from steadyhead.plan.loads import LOADS
from steadyhead.plan.outcomes import COLLECTIVE_RANGE, TAIL_HOLDS, THRUST_REACHED

DOCS = Path(__file__).resolve().parents[3] / "docs"
PAGE = (DOCS / "plan.md").read_text("utf-8")
BLOCKS = re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL)


def test_every_check_load_and_limit_stands_on_the_page():
    words = {check.check for check in (*CHECKS, THRUST_REACHED, TAIL_HOLDS, COLLECTIVE_RANGE)} | {"hover_duty"}
    for word in (*words, *LOADS, *LIMIT_KEYS):
        assert f"`{word}`" in PAGE, word


@pytest.mark.parametrize("name", ["ConditionFigures", "ModePlan", "Choice", "Doubt", "Plan"])
def test_every_key_of_the_answer_stands_in_the_json_page(name):
    page = (DOCS / "json.md").read_text("utf-8").partition(f"### {name}\n")[2].partition("\n##")[0]
    for field in dataclasses.fields(getattr(result, name)):
        assert f"| `{field.name}` |" in page


@pytest.mark.parametrize("block", BLOCKS)
def test_what_the_page_shows_runs(block, tmp_path, monkeypatch, capsys):
    shutil.copy(bundled("fox600"), tmp_path / "kite.toml")
    monkeypatch.chdir(tmp_path)
    exec(compile(block, "docs/plan.md", "exec"), {})
    assert capsys.readouterr().out.strip()


def test_the_page_has_pieces_to_run():
    assert len(BLOCKS) >= 3
