"""`descend` and its bail-out part as a user meets it."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from steadyhead.machine.bundled import bundled

FOX = str(bundled("fox600"))


def steadyhead(*words: str) -> "subprocess.CompletedProcess[str]":
    environment = {**os.environ, "NO_COLOR": "1", "COLUMNS": "160"}
    return subprocess.run(
        [sys.executable, "-m", "steadyhead", *words], capture_output=True, text=True, check=False, env=environment,
        encoding="utf-8",
    )  # fmt: skip


@pytest.fixture(scope="module")
def answer(tmp_path_factory):
    folder = tmp_path_factory.mktemp("descent")
    ran = steadyhead("descend", FOX, "--draws", "100", "--json", "--figures", str(folder))
    assert ran.returncode == 1, ran.stderr
    return json.loads(ran.stdout), folder


def test_json_holds_heights_with_chance_and_interval(answer):
    told, _ = answer
    assert [one["way"] for one in told["bail_outs"]] == ["straight down", "glide"]
    down = told["bail_outs"][0]
    for way in ("today", "granted", "soft"):
        assert down[way]["chance"] == 0.95
        assert down[way]["drawn"] >= 100
    assert down["granted"]["least_height_m"] == int(down["granted"]["least_height_m"])
    assert down["granted"]["least_height_m"] > down["granted"]["height_lost_m"]
    assert down["soft"]["least_height_m"] > down["granted"]["least_height_m"]
    assert len(down["ramps"]) > 5
    assert {"one_way_torque", "pinion_tooth"} <= {check["check"] for check in down["checks"]}


def test_json_holds_landing_and_diagram(answer):
    told, _ = answer
    assert told["landing"]["best_possible"]["sink_m_s"] < told["landing"]["pilot"]["sink_m_s"]
    assert told["landing"]["pilot"]["sink_m_s_interval"]
    points = told["height_velocity"]["points"]
    assert len(points) == 30
    assert points[0]["high_m"] > points[0]["low_m"]


def test_what_cannot_be_validated_is_said_and_the_cautions_stand(answer):
    told, _ = answer
    said = " ".join(told["warnings"])
    assert "nothing here is validated" in said
    assert "after a failure of motor" in said
    assert any("practise higher" in caution for caution in told["cautions"])
    assert told["verdict"] in {"fail", "unknown"}
    assert any("quick ramp" in reason for reason in told["reasons"])


def test_no_height_is_called_safe(answer):
    told, folder = answer
    words = (json.dumps(told) + "".join(path.read_text("utf-8") for path in Path(folder).glob("*.svg"))).lower()
    assert words.count("safe") == words.count("not safe") + words.count("fire-safe")


def test_drawings_carry_units_and_the_caution(answer):
    _, folder = answer
    ramp, heights = (Path(folder) / name for name in ("bail-out.svg", "height-velocity.svg"))
    assert "never a permission" in ramp.read_text("utf-8")
    assert "never a permission" in heights.read_text("utf-8")
    assert "height above the ground (m)" in heights.read_text("utf-8")
    assert "height lost to level flight (m)" in ramp.read_text("utf-8")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--chance", "1.2"), "chance"),
        (("--draws", "3"), "draws"),
        (("--mode", "idle-up 9"), "did you mean"),
    ],
)
def test_bad_words_are_one_sentence_and_exit_2(words, said):
    ran = steadyhead("descend", FOX, *words)
    assert ran.returncode == 2
    assert said in ran.stderr
    assert "Traceback" not in ran.stderr
