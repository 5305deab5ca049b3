"""`steadyhead fly` as a user meets it: exit codes, one sentence on bad input, JSON keys, files whole or not at all."""

import json
import os
import subprocess
import sys
from pathlib import Path

from steadyhead.flight.scenario_file import BUNDLED
from steadyhead.machine.bundled import bundled
from steadyhead.trace.bundled_logs import DEMO_LOGS

FOX = str(bundled("fox600"))
ROOT = Path(__file__).resolve().parents[2]


def fly(*words: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "NO_COLOR": "1", "PYTHONWARNINGS": "default"}
    return subprocess.run(
        [sys.executable, "-m", "steadyhead", "fly", *words],
        capture_output=True, text=True, check=False, cwd=cwd, env=environment, encoding="utf-8",
    )  # fmt: skip


def test_a_flight_is_shown_judged_and_written(tmp_path):
    ran = fly(FOX, "climb_out", "--out", "flight.parquet", "--plot", "flight.svg", cwd=tmp_path)
    assert ran.returncode == 1, ran.stderr
    for word in ("hard climb-out", "simulated", "governed", "climb droop", "Greatest values", "Cautions", "never"):
        assert word in ran.stdout
    assert sorted(path.name for path in tmp_path.iterdir()) == ["flight.parquet", "flight.svg"]
    assert "Traceback" not in ran.stderr


def test_the_json_of_a_flight_has_its_documented_keys():
    ran = fly(FOX, "hover", "--json")
    answer = json.loads(ran.stdout)
    assert set(answer) == {"flight", "judgement", "against", "residuals", "written", "verdict", "cautions"}
    assert {"scenario", "ended", "whole", "peaks", "energy_j", "energy_gap_j", "assumptions"} <= set(answer["flight"])
    assert answer["judgement"]["segments"][0]["kind"] == "governed"
    assert answer["verdict"] in {"fail", "unknown"}
    assert ran.returncode == 1


def test_a_log_is_replayed_and_its_residuals_stated():
    ran = fly(FOX, "--against", str(DEMO_LOGS[1]), "--json")
    answer = json.loads(ran.stdout)
    assert answer["against"]
    heads = [one for one in answer["residuals"] if one["figure"] in ("head_speed_rpm", "motor_side_speed_rpm")]
    assert heads
    keys = {"segment", "start_s", "end_s", "figure", "log_mean", "mean", "rms", "mean_interval", "within_doubt"}
    assert keys == set(heads[0])
    assert all(one["mean_interval"][0] <= one["mean"] <= one["mean_interval"][1] for one in heads)


def test_bad_words_end_in_one_sentence_and_2(tmp_path):
    for words, said in (
        ((FOX, "hovver"), "hover"),
        ((FOX,), "--against"),
        ((FOX, "hover", "--against", str(DEMO_LOGS[0])), "one of them"),
        ((FOX, "hover", "--out", "x.docx"), ".parquet"),
        (("nothing.toml", "hover"), "no such file"),
    ):
        ran = fly(*words, cwd=tmp_path)
        assert ran.returncode == 2, words
        assert said in ran.stderr
        assert len(ran.stderr.strip().splitlines()) == 1
    assert not list(tmp_path.iterdir())


def test_every_bundled_scenario_and_stop_stands_in_the_manual():
    from steadyhead.flight.stops import FLIGHT_STOP_SAYS, FlightStop

    page = (ROOT / "docs" / "flight.md").read_text("utf-8")
    for name in BUNDLED:
        assert f"`{name}`" in page
    for stop in FlightStop:
        assert FLIGHT_STOP_SAYS[stop] in page
