"""The command line as a user meets it: exit codes, one sentence on bad input, JSON keys, nothing half-written."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from steadyhead.machine.bundled import BUNDLED, bundled
from steadyhead.trace.bundled_logs import DEMO_LOGS

BENCH, FLIGHT = (str(path) for path in DEMO_LOGS)
FOX = str(bundled("fox600"))


def steadyhead(*words: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "NO_COLOR": "1", "PYTHONWARNINGS": "default"}
    return subprocess.run(
        [sys.executable, "-m", "steadyhead", *words],
        capture_output=True, text=True, check=False, cwd=cwd, env=environment, encoding="utf-8",
    )  # fmt: skip


def test_help_lists_the_commands_and_the_caution():
    ran = steadyhead("--help")
    assert ran.returncode == 0
    for word in (
        "demo",
        "new",
        "check",
        "schema",
        "plan",
        "channel",
        "logic",
        "fly",
        "governor",
        "descend",
        "judge",
        "columns",
        "compare",
        "sheet",
        "Blades off",
    ):
        assert word in ran.stdout


def test_help_imports_nothing_heavy():
    code = (
        "import sys, steadyhead.cli.main\n"
        "heavy = ('numba', 'polars', 'scipy', 'pint', 'pydantic', 'matplotlib', 'numpy')\n"
        "print([m for m in heavy if m in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


def test_judging_a_flight_does_not_wait_for_the_compiler():
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "from steadyhead import job\n"
        f"machine, log = job.read_machine(Path({FOX!r})), Path({FLIGHT!r})\n"
        "checks = job.judge(machine, log).checks\n"
        "print(len(checks), 'numba.np.arraymath' in sys.modules)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    count, loaded = ran.stdout.split()
    assert int(count) > 10
    assert loaded == "False"


@pytest.mark.parametrize("name", sorted(BUNDLED))
def test_check_passes_every_bundled_machine(name):
    ran = steadyhead("check", str(bundled(name)), "--json")
    answer = json.loads(ran.stdout)
    assert answer["verdict"] == "pass", answer["implausible"]
    assert ran.returncode == 0
    assert answer["invented"]


def test_new_writes_a_file_that_check_reads(tmp_path):
    made = steadyhead("new", "kite", "--size", "550", cwd=tmp_path)
    assert made.returncode == 0, made.stderr
    assert steadyhead("check", "kite.toml", cwd=tmp_path).returncode in {0, 1}


def test_new_never_overwrites(tmp_path):
    (tmp_path / "kite.toml").write_text("mine")
    made = steadyhead("new", "kite", "--size", "550", cwd=tmp_path)
    assert made.returncode == 2
    assert (tmp_path / "kite.toml").read_text() == "mine"


def test_plan_json_holds_the_promised_keys():
    answer = json.loads(steadyhead("plan", FOX, "--json").stdout)
    assert {"machine", "density_kg_m3", "modes", "pinions", "verdict", "unknowns"} <= answer.keys()
    condition = answer["modes"][0]["conditions"][0]
    promised = (
        "condition collective_deg thrust_n rotor_power_w tail_power_w shaft_power_w motor_rpm motor_current_a "
        "pack_current_a pack_voltage_v duty head_room tip_speed_m_s tip_mach figure_of_merit verdict reasons"
    )
    assert set(promised.split()) <= condition.keys()


def test_channel_json_holds_the_promised_keys_and_uses_the_readings():
    ran = steadyhead("channel", FOX, "--reading", "100=2196", "--reading", "97=2067", "--json")
    answer = json.loads(ran.stdout)
    assert answer["law"]["kind"] == "affine"
    assert answer["law"]["slope_rpm_per_percent"] == pytest.approx(43.0, abs=0.05)
    for key in ("modes", "end_points", "autorotation_window_percent", "next_reading_percent", "verdict", "reasons"):
        assert key in answer
    assert {"cut_off_us", "start_us", "margin_us", "start_delay_s"} <= answer["thresholds"].keys()
    assert ran.returncode == (0 if answer["verdict"] == "pass" else 1)


def test_judge_json_holds_the_promised_keys():
    ran = steadyhead("judge", FOX, FLIGHT, "--json")
    answer = json.loads(ran.stdout)
    assert {"log", "rows_read", "warnings", "segments", "checks", "advice", "verdict"} <= answer.keys()
    kinds = [segment["kind"] for segment in answer["segments"]]
    assert kinds[0] == "rest"
    assert "autorotation" in kinds
    granted = {check["check"]: check["verdict"] for check in answer["checks"]}["quick_restart_granted"]
    assert granted == "fail"
    assert ran.returncode == 1


def test_several_logs_are_judged_one_by_one_and_together():
    ran = steadyhead("judge", FOX, BENCH, FLIGHT, "--json")
    answer = json.loads(ran.stdout)
    assert [Path(log["log"]).name for log in answer["logs"]] == [Path(BENCH).name, Path(FLIGHT).name]
    assert answer["verdict"] == "fail"
    assert ran.returncode == 1
    together = {check["check"]: check for check in answer["checks"]}
    assert together["quick_restart_granted"]["verdict"] == "fail"
    assert Path(together["quick_restart_granted"]["worst_log"]).name == Path(FLIGHT).name
    shown = steadyhead("judge", FOX, BENCH, FLIGHT).stdout
    assert "2 logs" in shown
    assert "Duty left" in shown


def test_what_was_said_of_columns_is_kept_used_listed_and_forgotten(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    log = tmp_path / "unclear.csv"
    rows = "".join(f"{0.05 * k:.2f},{2000 + k % 2},{1500 + k % 2}\n" for k in range(60))
    log.write_text(f"time (s),rpm A,rpm B\n{rows}", "utf-8")
    asked = steadyhead("judge", FOX, str(log))
    assert asked.returncode == 2
    assert '--column "rpm A=head_speed_rpm' in asked.stderr
    told = steadyhead(
        "judge", FOX, str(log), "--column", "rpm B=head_speed_rpm:rpm", "--column", "rpm A=ignore", "--json"
    )
    again = steadyhead("judge", FOX, str(log), "--json")
    assert told.returncode == again.returncode == 1
    assert any("as remembered for this layout" in step for step in json.loads(again.stdout)["history"])
    kept = json.loads(steadyhead("columns", "--json").stdout)
    assert list(kept["layouts"].values()) == [{"rpm B": "head_speed_rpm:rpm", "rpm A": "ignore"}]
    assert steadyhead("columns", "--forget", "zzz").returncode == 2
    layout = next(iter(kept["layouts"]))
    assert f"forgotten: {layout}" in steadyhead("columns", "--forget", layout[:4]).stdout
    assert steadyhead("judge", FOX, str(log)).returncode == 2
    assert "nothing is remembered" in steadyhead("columns").stdout


def test_compare_says_what_changed_and_never_passes_on_noise():
    same = steadyhead("compare", FOX, FLIGHT, FLIGHT, "--json")
    answer = json.loads(same.stdout)
    assert same.returncode == 1
    assert answer["verdict"] == "unknown"
    assert {change["said"] for change in answer["changes"]} <= {"not beyond noise", "cannot tell"}
    shown = steadyhead("compare", FOX, BENCH, FLIGHT, "--after", FLIGHT, "--density", "1.2", "1.15")
    assert shown.returncode == 1
    assert "Conditions" in shown.stdout
    assert "air density" in shown.stdout
    assert "Cautions" in shown.stdout
    assert steadyhead("compare", FOX, BENCH, "nowhere.csv").returncode == 2


def test_the_terminal_and_the_json_tell_the_same_verdicts():
    shown = steadyhead("judge", FOX, BENCH).stdout
    answer = json.loads(steadyhead("judge", FOX, BENCH, "--json").stdout)
    for check in answer["checks"]:
        assert check["check"].replace("_", " ") in shown


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("plan", "nowhere.toml"), "nowhere.toml"),
        (("plan", "."), "directory"),
        (("judge", FOX, "nowhere.csv"), "nowhere.csv"),
        (("judge", FOX, "."), "folder"),
        (("channel", FOX, "--reading", "eighty=1710"), "eighty=1710"),
        (("channel", FOX, "--reading", "80=1710", "--reading", "80=2400"), "2400"),
        (("judge", FOX, BENCH, "--column", "nonsense"), "nonsense"),
        (("new", "kite", "--size", "5"), "5"),
    ],
)
def test_bad_input_ends_in_one_sentence_and_2(tmp_path, words, said):
    ran = steadyhead(*words, cwd=tmp_path)
    assert ran.returncode == 2, ran.stdout + ran.stderr
    assert said in ran.stderr
    assert "Traceback" not in ran.stderr
    assert not list(tmp_path.iterdir())


def test_demo_writes_the_sheet_and_opens_nothing(tmp_path):
    ran = steadyhead("demo", "--out", "out", "--json", cwd=tmp_path)
    assert ran.returncode == 0, ran.stderr
    answer = json.loads(ran.stdout)
    written = sorted(path.name for path in (tmp_path / "out").iterdir())
    assert sum(name.endswith(".pdf") for name in written) == 2
    assert sum(name.endswith(".html") for name in written) == 2
    assert answer["verdict"] == "fail"
    failed = [
        check["check"] for judged in answer["judgements"] for check in judged["checks"] if check["verdict"] == "fail"
    ]
    assert failed == ["quick_restart_granted"]


def test_three_ways_in_give_one_answer():
    from steadyhead import job
    from steadyhead.words.plain import plain

    machine = job.read_machine(bundled("fox600"))
    by_library = plain(job.channel(machine, ["80=2190", "60=1790", "70=1990"]))
    words = ("channel", FOX, "--reading", "60=1790", "--reading", "80=2190", "--reading", "70=1990", "--json")
    by_command = json.loads(steadyhead(*words).stdout)
    assert by_command == by_library
