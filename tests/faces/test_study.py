"""`study` as a user meets it: what the terminal says, the JSON's shape, exit codes, a cluster on this machine."""

import json
import os
import subprocess
import sys
from pathlib import Path

import polars as pl
import pytest
from polars.testing import assert_frame_equal

STUDY = """
name = "which pinion"
machine = "wren450"
question = "{question}"
draws = 2
spreads = ["motor.kv"]

[sweep]
gears.pinion_teeth = [12, 13]
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "pinion.toml"
    path.write_text(STUDY.format(question="verdict"), "utf-8")
    return path


def steadyhead(*words: str) -> "subprocess.CompletedProcess[str]":
    environment = {**os.environ, "NO_COLOR": "1", "COLUMNS": "100", "PYTHONWARNINGS": "default"}
    return subprocess.run(
        [sys.executable, "-m", "steadyhead", "study", *words], capture_output=True, text=True, check=False,
        env=environment, encoding="utf-8",
    )  # fmt: skip


def test_json_holds_every_point_and_a_cluster_on_this_machine_gives_the_same_rows(file, tmp_path):
    here, cluster = tmp_path / "here", tmp_path / "cluster"
    ran = steadyhead(str(file), "--out", str(here), "--workers", "1", "--json")
    assert ran.returncode == 1, ran.stderr
    answer = json.loads(ran.stdout)
    assert set(answer) == {
        "study", "machine", "collects", "question", "rows", "seed", "inputs", "points", "influences", "influence_of",
        "trade_of", "worst", "checks", "verdict", "warnings", "cautions", "written",
        "device",
    }  # fmt: skip
    assert [point["point"] for point in answer["points"]] == ["gears.pinion_teeth 12", "gears.pinion_teeth 13"]
    for point in answer["points"]:
        assert point["machines"] == 2 == point["passed"] + point["failed"] + point["unknown"]
        low, high = point["pass_share_interval"]
        assert 0.0 <= low <= point["pass_share"] <= high <= 1.0
        figures = {one["figure"]: one for one in point["figures"]}
        assert figures["head_room"]["known"] == 2
        assert figures["flight_time_s"]["interval"][0] <= figures["flight_time_s"]["mean"]
    assert answer["verdict"] in {"fail", "unknown"}
    assert {check["check"] for check in answer["checks"]} == {"share_that_passes"}
    assert any("blades off" in caution for caution in answer["cautions"])
    again = steadyhead(str(file), "--out", str(cluster), "--scheduler", "local", "--workers", "2", "--json")
    assert again.returncode == 1, again.stderr
    both = [pl.read_parquet(folder / "rows.parquet") for folder in (here, cluster)]
    assert_frame_equal(*both, rel_tol=1e-9, abs_tol=0.0)


def test_the_terminal_says_shares_figures_checks_and_cautions(file, tmp_path):
    file.write_text(STUDY.format(question="trade"), "utf-8")
    ran = steadyhead(str(file), "--out", str(tmp_path / "out"), "--workers", "1")
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.startswith("which pinion: wren450.toml, 4 machines, no verdict asked for")
    for words in (
        "share that pass",
        "nine in ten lie",
        "On the front",
        "2 draws say little",
        "blades off",
        "study.svg",
    ):
        assert words in ran.stdout


def test_a_study_that_cannot_be_is_one_sentence_and_exit_2(tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text('machine = "wren450"\nqestion = "worst"\n', "utf-8")
    ran = steadyhead(str(path))
    assert ran.returncode == 2
    assert "did you mean question?" in ran.stderr
    assert "Traceback" not in ran.stderr
    assert not (tmp_path / "bad").exists()
