"""`listen` as a user meets it: exit codes, JSON keys, the drawing, the trace, one sentence on bad input."""

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from steadyhead.machine.bundled import bundled
from tests.heard_rotor import written
from tests.naive.rotor_sound import Rotor, made

FOX = str(bundled("fox600"))


def steadyhead(*words: str) -> "subprocess.CompletedProcess[str]":
    environment = {**os.environ, "NO_COLOR": "1", "PYTHONWARNINGS": "default"}
    return subprocess.run(
        [sys.executable, "-m", "steadyhead", *words], capture_output=True, text=True, check=False, env=environment,
        encoding="utf-8",
    )  # fmt: skip


@pytest.fixture(scope="module")
def recording(tmp_path_factory) -> Path:
    fox = Rotor(pinion=13, gear=117, pole_pairs=5, tail_ratio=4.5, top_rpm=2400.0)
    sound = made("spool", rotor=fox, blades_on=False, snr_db=10.0, seconds=12.0, rate_hz=22050, seed=8)
    return written(sound, tmp_path_factory.mktemp("sound") / "spool.wav")


def test_json_drawing_and_trace(recording, tmp_path):
    plot, out = tmp_path / "heard.svg", tmp_path / "heard.csv"
    ran = steadyhead("listen", FOX, str(recording), "--plot", str(plot), "--out", str(out), "--json")
    answer = json.loads(ran.stdout)
    assert ran.returncode == 1, ran.stderr
    assert answer["heard"] is True
    assert len(answer["time_s"]) == len(answer["head_speed_rpm"]) == len(answer["confidence"])
    for rpm, sure in zip(answer["head_speed_rpm"], answer["confidence"], strict=True):
        assert (rpm is not None) == (sure >= 0.9)
    assert [segment["kind"] for segment in answer["segments"]] == ["rest", "soft_spool", "governed"]
    assert answer["verdict"] in {"fail", "unknown"}
    assert answer["cautions"]
    drawing = plot.read_text("utf-8")
    assert all(words in drawing for words in ("(rpm)", "confidence", "governed"))
    assert "\ntime_s,head_speed_rpm" in out.read_text("utf-8")


def test_the_terminal_says_what_was_heard(recording):
    ran = steadyhead("listen", FOX, str(recording))
    assert ran.returncode == 1
    for words in ("Lines heard", "gear mesh", "Speeds that were held", "soft spool", "Cautions", "1 m/s towards it"):
        assert words in ran.stdout


def test_the_judge_of_logs_names_the_command_for_recordings(recording):
    ran = steadyhead("judge", FOX, str(recording))
    assert ran.returncode == 2
    assert "steadyhead listen MACHINE spool.wav" in ran.stderr
    assert "Traceback" not in ran.stderr


@pytest.mark.parametrize("case", ["text", "silent second", "missing", "kind"])
def test_bad_input_is_one_sentence_and_exit_2(case, recording, tmp_path):
    path, more = tmp_path / "a.wav", []
    if case == "text":
        path.write_text("no sound\n", "utf-8")
    elif case == "silent second":
        soundfile.write(path, np.zeros(40), 8000)
    elif case == "kind":
        path, more = recording, ["--out", str(tmp_path / "a.xyz")]
    ran = steadyhead("listen", FOX, str(path), *more)
    assert ran.returncode == 2
    assert len(ran.stderr.strip().splitlines()) == 1
    assert ran.stderr.startswith("steadyhead: ")
