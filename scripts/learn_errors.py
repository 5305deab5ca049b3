"""Print what `learn` makes of logs whose truth is known, misses included: value, interval, truth, and whether it holds.

Run from the root of the repository: python scripts/learn_errors.py [FOLDER] [--write]
FOLDER holds NAME and NAME.truth.json; without one the development logs are taken. --write puts the table into
docs/learn.md between its marks.
"""

import json
import math
import os
import sys
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.judge.gearing_of import gearing_of
from steadyhead.learn.learning import learned
from steadyhead.learn.result import Learned
from steadyhead.trace.reading import read_trace
from tests.given_machine import machine_from, machine_text

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "learn.md"
BEGIN, END = "<!-- error table: begin -->", "<!-- error table: end -->"
Row = tuple[str, float, tuple[float, float], float]


def rows(truth: dict[str, Any], told: Learned) -> list[Row]:
    """Return name, value, interval and truth of everything that was told and is known."""
    hidden, given, governor = truth["machine_hidden"], truth["machine_given"], truth["governor_hidden"]
    known = {
        "motor.kv": given["kv_rpm_per_v"],
        "motor.resistance": hidden["winding_mohm_20c"],
        "pack.slow_time": hidden["pack_rc_time_s"],
        "rotor.inertia": hidden["rotor_side_inertia_kgm2"],
        "rotor.hub_inertia": 1e3 * hidden["rotor_side_inertia_kgm2"],
        "gears.drag_torque": hidden["gear_drag_nm"],
        "pack_resistance_as_flown": hidden["pack_r0_mohm"],
        "motor_and_controller_resistance": hidden["winding_mohm_20c"] + hidden["esc_mohm"],
        "whole_inertia": 1e3 * hidden["total_inertia_kgm2"],
    }
    found: list[Row] = []
    for one in told.parameters:
        if one.key in known and one.value is not None and one.value_interval is not None:
            found.append((one.key, one.value, one.value_interval, known[one.key]))
    found += [(f.name, f.value, f.value_interval, known[f.name]) for f in told.figures if f.name in known]
    for seen in told.governors:
        if seen.told and seen.gain and seen.gain_interval and seen.integral_time_s and seen.integral_time_s_interval:
            time_s = governor["kp"] / governor["ki"]
            found.append(("governor.gain", seen.gain, seen.gain_interval, governor["kp"]))
            found.append(("governor.integral_time", seen.integral_time_s, seen.integral_time_s_interval, time_s))
    law = told.law.law
    if told.law.told and law.slope_rpm_per_percent and law.slope_rpm_per_percent_interval:
        slope = truth["set_speed_law"]["rpm_per_percent"]
        found.append(("rpm per percent", law.slope_rpm_per_percent, law.slope_rpm_per_percent_interval, slope))
    return found


def main() -> None:
    """Learn every log of the folder, print, and write when asked."""
    words = [word for word in sys.argv[1:] if not word.startswith("--")]
    folder = Path(words[0]) if words else ROOT / "tests" / "data" / "logs"
    lines = ["| log | figure | learned | 90 % | truth | off by | held |", "| --- | --- | --- | --- | --- | --- | --- |"]
    errors: dict[str, list[tuple[float, bool]]] = {}
    for path in sorted(folder.glob("*.truth.json")):
        truth = json.loads(path.read_text("utf-8"))
        machine = machine_from(truth["machine_given"])
        trace = read_trace(folder / truth["file_name"], gearing=gearing_of(machine))
        for name, value, (low, high), true in rows(
            truth, learned(machine, machine_text(truth["machine_given"]), [trace])
        ):
            off, held = 100.0 * (value / true - 1.0), low <= true <= high
            errors.setdefault(name, []).append((off, held))
            words = f"{true:.4g} | {off:+.1f} % | {'yes' if held else '**no**'}"
            lines.append(
                f"| {truth['file_name']} | {name.replace('_', ' ')} | {value:.4g} | {low:.4g} to {high:.4g} | {words} |"
            )
    lines += ["", "| figure | logs | off by, root mean square | held |", "| --- | --- | --- | --- |"]
    for name, seen in sorted(errors.items()):
        rms = math.sqrt(sum(off * off for off, _ in seen) / len(seen))
        held = f"{sum(held for _, held in seen)} of {len(seen)}"
        lines.append(f"| {name.replace('_', ' ')} | {len(seen)} | {rms:.1f} % | {held} |")
    print("\n".join(lines))
    if "--write" in sys.argv:
        before, _, rest = PAGE.read_text("utf-8").partition(BEGIN)
        PAGE.write_text(before + BEGIN + "\n" + "\n".join(lines) + "\n" + END + rest.partition(END)[2], "utf-8")


if __name__ == "__main__":
    main()
