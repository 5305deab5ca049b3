"""`governor` as a user meets it: exit codes, JSON keys, both drawings, one sentence on bad input."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from steadyhead.machine.bundled import bundled

WREN = str(bundled("wren450"))


def steadyhead(*words: str) -> "subprocess.CompletedProcess[str]":
    environment = {**os.environ, "NO_COLOR": "1", "PYTHONWARNINGS": "default"}
    return subprocess.run(
        [sys.executable, "-m", "steadyhead", *words], capture_output=True, text=True, check=False, env=environment,
        encoding="utf-8",
    )  # fmt: skip


def test_json_holds_every_figure_and_both_drawings_are_written(tmp_path: Path) -> None:
    gains, ramp = tmp_path / "map.svg", tmp_path / "ramp.svg"
    ran = steadyhead(
        "governor", WREN, "--mode", "normal", "--map", str(gains), "--ramp", str(ramp), "--matrices", "--json"
    )
    answer = json.loads(ran.stdout)
    assert ran.returncode == 1, ran.stderr
    assert answer["verdict"] in {"fail", "unknown"}
    assert not answer["gains"]["own"]
    assert {one["load"] for one in answer["conditions"]} == {"hover", "climb", "hard cyclic", "fast forward"}
    assert len(answer["conditions"][0]["a_matrix"]) == len(answer["conditions"][0]["state_names"]) == 16
    for key in ("gain_margin", "phase_margin_deg", "modulus_margin", "modulus_margin_interval", "crossover_hz"):
        assert key in answer["conditions"][0]
    for key in ("drop_percent", "rise_percent", "recovery_s", "drop_percent_interval"):
        assert key in answer["steps"][0]
    assert len(answer["tuning"]["points"]) == len(answer["tuning"]["factors"]) ** 2
    assert "unknown until the gains are learned" in answer["tuning"]["advice"]
    quick = next(one for one in answer["ramps"] if one["kind"] == "quick")
    assert quick["today_s"] is None
    assert quick["verdict"] == "unknown"
    assert quick["shortest_s"] > 0.0
    assert "gears.module" in quick["unknown_limits"]
    assert answer["cautions"]
    assert gains.read_text("utf-8").startswith("<svg")
    assert ramp.read_text("utf-8").startswith("<svg")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("governor", WREN, "--mode", "nowhere"), "flight mode: read nowhere"),
        (("governor", "nowhere.toml"), "nowhere.toml"),
    ],
)
def test_bad_input_ends_in_one_sentence_and_2(words: tuple[str, ...], said: str) -> None:
    ran = steadyhead(*words)
    assert ran.returncode == 2
    assert said in ran.stderr
    assert len(ran.stderr.strip().splitlines()) == 1
    assert "Traceback" not in ran.stderr
