"""Print the error table of docs/physics-rotor.md: our rotor against every published figure, misses included.

Run from the root of the repository: python scripts/rotor_errors.py
"""

import math
import sys
from collections.abc import Iterable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.physics.rotor import Rotor
from steadyhead.physics.section import constant_section, model_section
from tests.published.rotor_rigs import (
    CASTLES_SLOPE,
    ROTOR_DRAG_RISE,
    TUNNEL_DRAG_RISE,
    Rig,
    castles_rig,
    castles_section,
    knight_rig,
    knight_section,
    rows,
)


def line(what: str, errors: Iterable[float], unit: str = "%") -> None:
    """Print one row: points, mean, rms, worst."""
    found = list(errors)
    rms = math.sqrt(sum(e * e for e in found) / len(found))
    worst = max(found, key=abs)
    print(f"| {what} | {len(found)} | {sum(found) / len(found):+.1f} | {rms:.1f} | {worst:+.1f} | {unit} |")


def percent(got: float, published: float) -> float:
    """Error of a figure against a published one, %."""
    return 100.0 * (got / published - 1.0)


def knight() -> None:
    """TN-626 hover, three sections, three ranges of thrust."""
    table = [row for row in rows("knight_hefner_1937_hover.csv") if float(row["CT"]) > 0.0]
    sections = {
        "5.75/rad, drag rise 1.25 (in-sample)": knight_section(ROTOR_DRAG_RISE),
        "5.75/rad, drag rise 0.75 (wind tunnel)": knight_section(TUNNEL_DRAG_RISE),
        "bundled section": model_section(),
    }
    for name, section in sections.items():
        for low, high in ((0.05, 1.0), (0.03, 0.05), (0.0, 0.03)):
            part = [row for row in table if low <= float(row["CT_over_sigma"]) < high]
            where = f"TN-626, CT/sigma {low}-{high}, {name}" if high < 1.0 else f"TN-626, CT/sigma >= {low}, {name}"
            pitch, thrust, power = [], [], []
            for row in part:
                rig = knight_rig(row["blades"])
                thrust.append(percent(rig.ct(rig.at_pitch(section, float(row["collective_deg"]))), float(row["CT"])))
                collective, loads = rig.at_thrust(section, float(row["CT"]))
                pitch.append(collective - float(row["collective_deg"]))
                power.append(percent(rig.cq(loads), float(row["CQ"])))
            line(where + ": thrust at pitch", thrust)
            line(where + ": power at thrust", power)
            line(where + ": pitch at thrust", pitch, "deg")
        zero = [row for row in rows("knight_hefner_1937_hover.csv") if float(row["CT"]) == 0.0]
        line(
            f"TN-626, zero-thrust torque, {name}",
            [
                percent(knight_rig(r["blades"]).cq(knight_rig(r["blades"]).at_pitch(section, 0.0)), float(r["CQ"]))
                for r in zero
            ],
        )


def castles() -> None:
    """TN-2474 hover, two sections."""
    table = [row for row in rows("castles_gray_1951_hover.csv") if float(row["CT_over_sigma"]) >= 0.05]
    for name, bundled in (("its lift slopes, drag rise 1.25", False), ("bundled section", True)):
        thrust, power = [], []
        for row in table:
            rig = castles_rig(row["rotor"], row["rotor_speed_rpm"])
            section = model_section() if bundled else castles_section(row["rotor"], row["rotor_speed_rpm"])
            angle = float(row["blade_angle_075R_deg"])
            thrust.append(percent(rig.ct(rig.at_pitch(section, angle)), float(row["CT"])))
            if row["delta_CQ"]:
                zero = rig.cq(rig.at_pitch(section, 0.0))
                _, loads = rig.at_thrust(section, float(row["CT"]))
                power.append(percent(rig.cq(loads), float(row["delta_CQ"]) + zero))
        line(f"TN-2474 hover, CT/sigma >= 0.05, {name}: thrust at pitch", thrust)
        line(f"TN-2474 hover, CT/sigma >= 0.05, {name}: power at thrust", power)


def descent() -> None:
    """TN-2474 mean inflow in descent."""
    parts: dict[str, list[float]] = {"below 1.3": [], "1.3 to 1.75": [], "above 1.75": []}
    for row in rows("castles_gray_1951_descent.csv"):
        ratio, ct = float(row["lambda_z_V_over_vh"]), float(row["CT"])
        if ratio == 0.0 or not row["lambda_i_thrust"]:
            continue
        rig = castles_rig(row["rotor"], row["rotor_speed_rpm"])
        section = castles_section(row["rotor"], row["rotor_speed_rpm"])
        unit = rig.hover_inflow_m_s(ct)
        _, loads = rig.at_thrust(section, ct, -ratio * unit)
        key = "below 1.3" if ratio < 1.3 else "1.3 to 1.75" if ratio < 1.75 else "above 1.75"
        parts[key].append(loads.inflow_m_s / unit - float(row["lambda_i_thrust"]))
    for key, errors in parts.items():
        rms = math.sqrt(sum(e * e for e in errors) / len(errors))
        worst = max(errors, key=abs)
        mean = sum(errors) / len(errors)
        what = f"TN-2474 descent, V/vh {key}: inflow over vh"
        print(f"| {what} | {len(errors)} | {mean:+.2f} | {rms:.2f} | {worst:+.2f} | vh |")


def autorotation_ratio(rig: Rig, ct: float) -> float:
    """Rate of descent over hover inflow at which the shaft needs no torque."""
    name = "6ft" if rig.rotor.radius_m > 0.7 else "4ft"
    speed = round(rig.speed_rad_s * 30.0 / math.pi)
    section = constant_section(CASTLES_SLOPE[name, float(speed)], 0.0113, 0.0, ROTOR_DRAG_RISE)
    low, high = 1.5, 3.2
    for _ in range(30):
        middle = 0.5 * (low + high)
        _, loads = rig.at_thrust(section, ct, -middle * rig.hover_inflow_m_s(ct))
        low, high = (middle, high) if loads.power_w > 0.0 else (low, middle)
    return low


def autorotation() -> None:
    """TN-2474 descent without shaft torque."""
    errors = []
    for row in rows("castles_gray_1951_autorotation_derived.csv"):
        if row["B_V_over_vh_zero_shaft_torque"]:
            rig = castles_rig(row["rotor"], row["rotor_speed_rpm"])
            errors.append(autorotation_ratio(rig, float(row["CT"])) - float(row["B_V_over_vh_zero_shaft_torque"]))
    rms = math.sqrt(sum(e * e for e in errors) / len(errors))
    worst, mean = max(errors, key=abs), sum(errors) / len(errors)
    print(f"| TN-2474, descent without shaft torque | {len(errors)} | {mean:+.2f} | {rms:.2f} | {worst:+.2f} | vh |")


def caradonna() -> None:
    """TM-81232, for the record only."""
    section = constant_section(5.73, 0.0085, 0.0, 0.4)
    rotor = Rotor(2.0, 1.143, 0.1905, 0.1905, 0.0)
    errors = []
    for row in rows("caradonna_tung_1981_ct.csv"):
        rig = Rig(rotor, float(row["rotor_speed_rpm"]) * math.pi / 30.0)
        errors.append(percent(rig.ct(rig.at_pitch(section, float(row["collective_deg"]))), float(row["CT"])))
    line("TM-81232, blade aspect ratio 6 (not a target): thrust at pitch", errors)


if __name__ == "__main__":
    print("| what | points | mean | rms | worst | unit |\n| --- | --- | --- | --- | --- | --- |")
    for part in (knight, castles, descent, autorotation, caradonna):
        part()
