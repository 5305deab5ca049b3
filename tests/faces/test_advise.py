"""`advise` as a user meets it: JSON keys, exit code, terminal text, one sentence on bad input."""

import itertools
import json
import os
import subprocess
import sys
from pathlib import Path

from rich.console import Console

from steadyhead.advise.result import Advice, Change, Effect, MeasureNext
from steadyhead.cli.show_advise import show_advice
from steadyhead.machine.bundled import bundled
from steadyhead.words.verdict import Outcome


def steadyhead(*words: str) -> "subprocess.CompletedProcess[str]":
    environment = {**os.environ, "NO_COLOR": "1", "PYTHONWARNINGS": "default"}
    return subprocess.run(
        [sys.executable, "-m", "steadyhead", *words], capture_output=True, text=True, check=False, env=environment,
        encoding="utf-8",
    )  # fmt: skip


def test_json_tells_changes_with_before_and_after_and_what_to_measure(tmp_path: Path) -> None:
    whole = bundled("fox600").read_text("utf-8")
    first, *modes = whole.split("[[flight_mode]]")
    path = tmp_path / "one_mode.toml"
    path.write_text(f"{first}[[flight_mode]]{modes[2]}", "utf-8")
    ran = steadyhead("advise", str(path), "--json")
    answer = json.loads(ran.stdout)
    assert ran.returncode == 1, ran.stderr
    assert answer["verdict"] == "fail"
    assert [change["rank"] for change in answer["changes"]] == list(range(1, len(answer["changes"]) + 1))
    position = next(change for change in answer["changes"] if change["key"] == "channel.autorotation")
    assert position["why"]
    assert position["makes_void"]
    keys = {"check", "place", "before", "before_interval", "after", "after_interval", "limit_text", "moved"}
    assert keys <= set(position["effects"][0])
    assert answer["measure_next"][0]["key"] == "readings"
    assert 0.09 <= position["numbers"]["channel.autorotation"] <= 0.21
    assert {"climb-out", "glide", "bail-out height", "ramps"} <= set(answer["looked_at"])
    ramp = next(change for change in answer["changes"] if change["key"] == "governor.quick_spool")
    assert ramp["numbers"]["governor.quick_spool"] > 2.0
    assert any(one["check"] == "main_gear_tooth" and one["after"] < one["before"] for one in ramp["effects"])
    assert any("never a permission" in line for line in answer["cautions"])
    assert any("Main and tail blades off" in line for line in answer["cautions"])


def test_the_terminal_shows_before_after_and_caution(capsys) -> None:
    effect = Effect(
        check="duty_margin", place="sport", part="plan", unit="", limit_text="<= 0.95", before=0.99,
        before_interval=(0.95, 1.03), after=0.91, after_interval=(0.88, 0.94), before_verdict=Outcome.FAIL,
        after_verdict=Outcome.PASS, moved="mended",
    )  # fmt: skip
    change = Change(
        rank=1, key="gears.pinion_teeth", what="pinion", today="12 teeth", to="13 teeth", relative=False,
        numbers={"gears.pinion_teeth": 13.0},
        why=("plan, sport: duty is 0.99",), mended=1, effects=(effect,), sure="computed, not measured", note="",
        makes_void=("steady_band",),
    )  # fmt: skip
    row = MeasureNext(
        rank=1, key="motor.kv", origin="maker", decides=1, has_part_in=0, verdicts=("plan: duty",), share=0.6,
        of_figure="plan: duty", how="measure Kv",
    )  # fmt: skip
    show_advice(
        Advice(
            machine="Plover", machine_revision=1, looked_at=("plan",), failing=1, unknown=1, changes=(change,),
            withheld=(), without_figures=(), measure_next=(row,), verdict=Outcome.FAIL, says="1 check fails.",
            warnings=(), cautions=("Blades off.",),
        ),
        as_json=False,
    )  # fmt: skip
    said = " ".join(capsys.readouterr().out.split())
    assert "1. pinion: 12 teeth -> 13 teeth" in said
    assert "mended duty margin sport 0.99 (0.95 to 1.03) 0.91 (0.88 to 0.94) <= 0.95 pass" in said
    assert "1 motor.kv maker measure Kv 1 0 60%" in said
    assert said.endswith("Cautions - Blades off.")


WHERE = "idle-up 2, worst in climb, pack at reserve, cold"


def advice() -> Advice:
    effects = tuple(
        Effect(
            check=check, place=WHERE, part="plan", unit="", limit_text=limit, before=before, before_interval=None,
            after=after, after_interval=None if after is None else (0.8512, 0.9919), before_verdict=Outcome.FAIL,
            after_verdict=Outcome.PASS, moved="mended",
        )
        for check, limit, before, after in (("duty_margin", "<= 0.95", 0.9993, 0.9163), ("step_held", "", None, None))
    )  # fmt: skip
    change = Change(
        rank=1, key="flight_mode.3.head_speed", what="head speed of idle-up 2", today="3100 rpm", to="2914 rpm",
        relative=False, numbers={}, why=(f"plan, {WHERE}: duty is 0.9993, limit <= 0.95 (common practice, no source)",),
        mended=2, effects=effects, sure="computed, not measured", note="set the curve value again",
        makes_void=("steady_band", "no_start_in_autorotation_position", "hold_clears_quick_restart"),
    )  # fmt: skip
    row = MeasureNext(
        rank=1, key="motor.winding_temperature_max", origin="unknown", decides=6, has_part_in=2, verdicts=(), share=0.6,
        of_figure="", how="look it up in the maker's manual and write motor.winding_temperature_max into the file",
    )  # fmt: skip
    return Advice(
        machine="Plover", machine_revision=1, looked_at=("plan",), failing=1, unknown=1, changes=(change,),
        withheld=(), without_figures=(), measure_next=(row,), verdict=Outcome.FAIL, says="1 check fails.",
        warnings=(), cautions=("Main and tail blades off for every bench test with a live motor.",),
    )  # fmt: skip


def shown(monkeypatch, capsys, columns: int) -> list[str]:
    monkeypatch.setattr("steadyhead.cli.show_advise.console", lambda: Console(highlight=False, width=columns))
    show_advice(advice(), as_json=False)
    return [line.rstrip() for line in capsys.readouterr().out.splitlines()]


def test_a_narrow_terminal_breaks_no_name_and_no_figure_and_hangs_its_lines(monkeypatch, capsys) -> None:
    lines = shown(monkeypatch, capsys, 80)
    assert max(len(line) for line in lines) <= 80
    said = " ".join(" ".join(lines).split())
    assert "1. motor.winding_temperature_max (unknown): look it up" in said
    assert "settles 6, helps 2, 60% of the doubt" in said
    assert f"mended: duty margin, {WHERE}: 0.999 -> 0.916 (0.851 to 0.992), limit <= 0.95: pass" in said
    assert f"mended: step held, {WHERE}: fail -> pass" in said
    after_bullets = [b for a, b in itertools.pairwise(lines) if a.startswith("  ") and b]
    assert all(line.startswith(("  - ", "    ")) for line in after_bullets)


def test_a_wide_terminal_shows_a_table(monkeypatch, capsys) -> None:
    lines = shown(monkeypatch, capsys, 120)
    assert max(len(line) for line in lines) <= 120
    head = next(line for line in lines if "before" in line)
    assert head.split() == ["what", "happens", "check", "where", "before", "after", "limit", "then"]
    assert any("motor.winding_temperature_max" in line and "60%" in line for line in lines)


def test_bad_input_ends_in_one_sentence_and_2() -> None:
    ran = steadyhead("advise", "nowhere.toml")
    assert ran.returncode == 2
    assert "nowhere.toml" in ran.stderr
    assert "Traceback" not in ran.stderr
