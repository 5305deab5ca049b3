"""`learn` as a user meets it: exit codes, JSON keys, a new file that reads and plans, one sentence on bad input."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import polars as pl
import pytest

from steadyhead import job
from steadyhead.machine.bundled import bundled
from tests.given_machine import machine_text

DATA = Path(__file__).parents[1] / "data" / "logs"
COAST = DATA / "coast_down.parquet"


def steadyhead(*words: str) -> "subprocess.CompletedProcess[str]":
    environment = {**os.environ, "NO_COLOR": "1", "PYTHONWARNINGS": "default", "OPENBLAS_NUM_THREADS": "1"}
    return subprocess.run(
        [sys.executable, "-m", "steadyhead", *words], capture_output=True, text=True, check=False, env=environment,
        encoding="utf-8",
    )  # fmt: skip


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Path:
    truth = json.loads((DATA / "coast_down.parquet.truth.json").read_text("utf-8"))
    path = tmp_path_factory.mktemp("own") / "own.toml"
    rows = '\n[[flight_mode]]\nname = "one"\nhead_speed = "1650 rpm"\n[airframe]\nmass = "2.95 kg"\n'
    plain = machine_text(truth["machine_given"])
    radius = f'"{truth["machine_given"]["rotor_radius_m"]} m"'
    ruled = plain.replace(f"radius = {radius}", f'radius = {{ value = {radius}, from = "measured" }}')
    counted = re.sub(r"pinion_teeth = (\d+)", r'pinion_teeth = { value = \1, from = "measured" }', ruled)
    assert counted != ruled
    path.write_text("# Mine: hands off.\n" + counted + rows, "utf-8")
    path.with_name("plain.toml").write_text(plain + rows, "utf-8")
    return path


def test_a_blade_length_that_nobody_measured_leaves_the_agreement_unknown_and_names_it(own: Path) -> None:
    ran = steadyhead("learn", str(own.with_name("plain.toml")), str(COAST), "--json")
    assert ran.returncode == 1, ran.stderr
    check = next(one for one in json.loads(ran.stdout)["checks"] if one["check"] == "logs_and_file_agree")
    assert check["verdict"] == "unknown"
    assert check["needs"] == ["rotor.radius", "gears.pinion_teeth"]
    assert "measure it with a ruler" in check["reason"]


def test_it_learns_writes_a_new_file_and_leaves_the_old(own: Path, tmp_path: Path) -> None:
    before, new, plot = own.read_bytes(), tmp_path / "new.toml", tmp_path / "learned.svg"
    ran = steadyhead("learn", str(own), str(COAST), "--out", str(new), "--plot", str(plot), "--json")
    assert ran.returncode == 0, ran.stderr
    answer = json.loads(ran.stdout)
    assert answer["verdict"] == "pass"
    told = {one["key"]: one for one in answer["parameters"] if one["told"]}
    assert {"motor.kv", "rotor.inertia", "rotor.drag_factor", "pack.resistance"} <= set(told)
    for one in told.values():
        assert one["value_interval"][0] < one["value"] < one["value_interval"][1]
    untold = [one for one in answer["parameters"] if not one["told"]]
    assert all(one["value"] is None and one["needs"] for one in untold)
    assert answer["proposal"]["written"] == str(new)
    checks = {one["check"]: one["verdict"] for one in answer["checks"]}
    assert checks == {"logs_and_file_agree": "pass", "new_file_explains_logs_better": "pass"}
    assert {one["figure"] for one in answer["replayed"]} >= {"pack_current_a", "pack_voltage_v", "duty"}
    assert all(one["before_rms"] > 0.0 and one["after_rms"] > 0.0 for one in answer["replayed"])
    assert answer["cautions"]
    assert own.read_bytes() == before
    text = new.read_text("utf-8")
    assert text.startswith("# Mine: hands off.")
    drawn = plot.read_text("utf-8")
    words = (
        "pass: 6 numbers told by 1 log",
        "logs over file (1 = alike)",
        "the log",
        "your file",
        "proposed file",
        "(rpm)",
    )
    assert all(word in drawn for word in words)
    assert text.count('from = "fitted"') == len([c for c in answer["proposal"]["changes"] if c["key"] != "reading"])


def test_the_proposed_file_checks_and_plans_with_less_doubt(own: Path, tmp_path: Path) -> None:
    new = tmp_path / "new.toml"
    job.learn(own, [COAST], out=new)
    old_machine, new_machine = job.read_machine(own), job.read_machine(new)
    assert "motor.kv" in {entry.key for entry in job.check(new_machine).given}
    widths = []
    for machine in (old_machine, new_machine):
        conditions = job.plan(machine).modes[0].conditions
        hover = next(c for c in conditions if c.condition == "hover, full pack, warm")
        assert hover.duty_interval is not None
        widths.append(hover.duty_interval[1] - hover.duty_interval[0])
    assert widths[1] < 0.8 * widths[0]


def test_a_second_run_on_the_proposal_proposes_the_same_again(own: Path, tmp_path: Path) -> None:
    new = tmp_path / "new.toml"
    first = job.learn(own, [COAST], out=new)
    again = job.learn(new, [COAST])
    one = {p.key: p.value for p in first.parameters if p.told}
    two = {p.key: p.value for p in again.parameters if p.told}
    assert two["motor.kv"] == pytest.approx(one["motor.kv"], rel=0.002)
    assert two["rotor.inertia"] == pytest.approx(one["rotor.inertia"], rel=0.05)


def test_a_file_that_is_there_is_never_written_over(own: Path) -> None:
    before = own.read_bytes()
    ran = steadyhead("learn", str(own), str(COAST), "--out", str(own))
    assert ran.returncode == 2
    assert "your own machine file" in ran.stderr
    assert "Traceback" not in ran.stderr
    assert own.read_bytes() == before


def test_a_log_that_can_tell_nothing_says_what_each_number_needs(own: Path, tmp_path: Path) -> None:
    table = pl.read_parquet(COAST)
    poor = tmp_path / "poor.csv"
    table.head(200).select(table.columns[0], "head speed [rpm]").write_csv(poor)
    ran = steadyhead("learn", str(own), str(poor))
    assert ran.returncode == 1, ran.stderr
    assert "learn unknown" in ran.stdout
    assert "Not told by these logs" in ran.stdout
    assert "motor.kv: needs duty" in ran.stdout
    assert "coast-down alone cannot separate inertia from drag torque" in " ".join(ran.stdout.split())
    assert "makers' manuals" in ran.stdout


def test_the_log_of_another_machine_ends_in_fail_and_no_file_is_written(tmp_path: Path) -> None:
    fox, new = tmp_path / "fox.toml", tmp_path / "new.toml"
    fox.write_text(Path(bundled("fox600")).read_text("utf-8"), "utf-8")
    ran = steadyhead("learn", str(fox), str(COAST), "--out", str(new))
    assert ran.returncode == 1, ran.stderr
    words = " ".join(ran.stdout.split())
    assert "learn fail" in words
    assert "logs and file agree" in words
    assert "the count of cells in the file is wrong, or the log is of another pack or machine; 8 cells would" in words
    assert "nothing is proposed" in words
    assert not new.exists()
