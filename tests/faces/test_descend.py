"""`descend` as a user meets it: cautions first, JSON keys, exit codes, one sentence on bad input."""

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


def test_json_holds_every_figure_and_the_cautions(tmp_path: Path) -> None:
    plot = tmp_path / "glide.svg"
    ran = steadyhead("descend", WREN, "--plot", str(plot), "--json")
    answer = json.loads(ran.stdout)
    assert ran.returncode == 1, ran.stderr
    assert answer["verdict"] in {"fail", "unknown"}
    assert answer["tail_driven"] is False
    one = answer["head_speeds"][2]
    assert one["modes"]
    for key in ("sink_m_s", "sink_m_s_interval", "collective_deg", "state", "stable", "settling_s"):
        assert key in one["points"][0]
    for key in ("least_sink", "best_glide", "reserve_ratio"):
        assert one[key]
    for key in ("rotor_energy_j", "energy_height_m", "hover_time_s", "flare_reserve_s", "flare_index_ft3_lb"):
        assert one["energy"][key] > 0.0
    assert {row["air"] for row in answer["airs"]} > {"air of the site"}
    assert answer["what_if"][0]["change"] == "as it is"
    assert answer["settled"][0]["head_speed_rpm"] > answer["settled"][-1]["head_speed_rpm"]
    assert plot.read_text("utf-8").startswith("<svg")
    assert answer["tunnel"]["often_said_ratio"] == 1.8
    assert "never a permission" in answer["cautions"][0]
    assert any("nothing but the fin" in warning for warning in answer["warnings"])


def test_the_terminal_says_the_cautions_before_the_first_figure() -> None:
    said = steadyhead("descend", WREN).stdout
    assert said.index("never a permission") < said.index("Steady autorotation")
    assert "instructor" in said
    assert "often said: 1.8" in said


@pytest.mark.parametrize(("words", "said"), [(("descend", "nowhere.toml"), "nowhere.toml")])
def test_bad_input_ends_in_one_sentence_and_2(words: tuple[str, ...], said: str) -> None:
    ran = steadyhead(*words)
    assert ran.returncode == 2
    assert said in ran.stderr
    assert len(ran.stderr.strip().splitlines()) == 1
    assert "Traceback" not in ran.stderr
