"""What people call the checks, the segments of a log and the keys of the machine file."""

import re

from steadyhead.trace.trace import CHANNELS

CHECKS: dict[str, str] = {
    "steady_band": "Steady band in hover",
    "climb_droop": "Droop in a hard climb-out",
    "overspeed": "Overspeed on unloading",
    "recovery": "Recovery after a load change",
    "no_hunting": "No hunting",
    "duty_margin": "Duty in the hardest load",
    "hover_duty": "Hover duty high enough for the controller",
    "cell_voltage": "Lowest cell voltage under load",
    "charge_left": "Charge left at landing",
    "soft_start_time": "Soft start takes its time",
    "quick_restart_granted": "Quick restart is granted",
    "quick_restart_time": "Quick restart reaches head speed in time",
    "quick_restart_prompt": "Motor answers the bail-out at once",
    "no_start_in_autorotation_position": "Autorotation position never starts the motor from rest",
    "hold_stops_motor": "Throttle hold stops the motor",
    "hold_clears_quick_restart": "Throttle hold clears the quick restart",
    "run_logic_conformance": "Motor starts and stops as the run logic says",
    "esc_current": "Controller current",
    "pack_resistance": "Pack resistance",
    "tip_speed": "Blade tip speed",
    "head_speed_limit": "Head speed limit of blades and head",
    "controller_temperature": "Controller temperature",
    "motor_temperature": "Motor temperature",
}

OTHER_CHECKS: dict[str, str] = {
    "thrust_reached": "Rotor reaches the thrust asked for",
    "tail_holds": "Tail rotor holds against the main rotor",
    "collective_range": "Collective stays in its range",
    "motor_current": "Motor current",
    "controller_current": "Current through the controller",
    "pack_current": "Pack current",
    "winding_temperature": "Winding temperature",
    "tip_mach": "Tip Mach number",
    "glide_found": "Autorotation at a head speed looked at",
    "glide_collective": "Collective reaches down to the glide",
    "glide_stable": "Head speed comes back by itself in the glide",
    "glide_tail_known": "What the tail does without the motor",
    "modulus_margin": "Distance of the governor's loop from hunting",
    "gain_margin": "Gain margin of the governor's loop",
    "phase_margin": "Phase margin of the governor's loop",
    "step_held": "Full duty holds the load step",
    "ramp_followed": "Full duty follows the ramp",
    "pinion_tooth": "Bending at a pinion tooth",
    "main_gear_tooth": "Bending at a tooth of the main gear",
    "one_way_torque": "Torque on the one-way bearing",
    "bail_out_height": "Height that a bail-out takes",
    "bail_out_ramp": "Motor comes back by the quick ramp",
    "bail_out_pack_voltage": "Lowest cell voltage in the bail-out",
    "touchdown_sink": "Sink at touchdown without motor",
    "quick_ramp": "Quick ramp is known",
    "soft_ramp": "Soft start is known",
    "hold_from": "Throttle hold stops the motor",
    "start_measured": "Start threshold as measured",
    "cut_off_measured": "Cut-off as measured",
    "start_delay_measured": "Start delay as measured",
    "end_as_described": "End as the machine file says",
    "set_point": "Head speed as the other readings say",
    "read_at_head": "Head speed read at the head, not through the gears alone",
    "read_by_other_means": "Head speed read at the head by other means than heard",
    "at_rest": "Rotor stands still in throttle hold and below the cut-off",
    "quick_restart_on_bench": "Restart on the bench",
    "low_end_reaches": "Low end reaches the learned one",
    "high_end_reaches": "High end reaches the learned one",
    "low_end_dead_travel": "Little dead travel beyond the low end",
    "high_end_dead_travel": "Little dead travel beyond the high end",
    "hold_below_cut_off": "Throttle hold lies below the cut-off",
    "threshold_gap": "Start threshold lies above the cut-off",
    "mode_above_start": "Curve value lies above the start threshold",
    "stick_down": "Curve value with the stick down keeps off both thresholds",
    "start_delay": "Start delay out of throttle hold",
    "restart_delay": "Start delay out of the autorotation position",
    "autorotation_window": "Autorotation position lies in its window",
    "set_point_law": "Set-point law is known",
    "curve": "Curve value for the head speed wanted",
    "todays_curve": "Head speed of today's curve value",
    "logs_and_file_agree": "Logs and machine file can both be right",
    "new_file_explains_logs_better": "Proposed file explains the logs better",
}
"""Checks of the plan and of the throttle channel, beside those of a log in CHECKS."""

_ID = re.compile(r"\b[a-z]+(?:_[a-z]+)*\.[a-z]+(?:_[a-z]+)*\b|\b[a-z]+(?:_[a-z]+)+\b")
_TYPED = re.compile(r'--[a-z-]+ "[^"]*"')
"""What is to be typed as it stands."""
_BETWEEN = re.compile(r"[_.\[\] ]+")
_FOLDERS = re.compile(r"^.*[/\\](?=[^/\\]+$)", re.DOTALL)
SEGMENTS: dict[str, str] = {
    "rest": "rest",
    "soft_spool": "soft spool-up",
    "governed": "governed",
    "autorotation": "autorotation",
    "quick_spool": "quick restart",
    "coast": "coasting",
    "stopped": "stopped",
    "unknown": "not known",
}

_WHOLE = {
    "motor.kv": "motor Kv",
    "rotor.inertia": "main rotor inertia",
    "rotor.lift_factor": "lift of the blade section",
    "rotor.drag_factor": "drag of the blade section",
    "controller.ripple_factor": "extra loss at part duty",
    "gears.efficiency": "gear efficiency",
    "gears.drag_torque": "drag torque of the gears",
    "airframe.mass": "flying mass",
    "airframe.drag_area": "drag area of the airframe",
    "machine.size_class": "size class",
    "channel.cut_off": "cut-off threshold",
    "channel.start": "start threshold",
    "channel.hold": "throttle-hold position",
    "channel.autorotation": "autorotation position",
    "gears.pinion_stress_max": "stress that a pinion tooth bears",
    "gears.main_gear_stress_max": "stress that a tooth of the main gear bears",
    "gears.one_way_torque_max": "torque that the one-way bearing bears",
    "limits.steady_band": "limit of the steady band",
    "limits.droop": "limit of the droop",
    "limits.overspeed": "limit of the overspeed",
}
OF_FULL = "of full"
_FIGURES = {
    "load_duty_max": ("Highest duty in a load", OF_FULL),
    "load_current_max_a": ("Highest current in a load", "A"),
    "load_voltage_min_v": ("Lowest pack voltage in a load", "V"),
    "unload_recovery_s": ("Recovery after unloading", "s"),
    "controller_hottest_c": ("Hottest controller", "°C"),
    "motor_hottest_c": ("Hottest motor", "°C"),
}
_SHARES = {"head_room", "load_duty_max", "duty_max"}
_FIGURE_UNITS = {
    "_m_s": "m/s",
    "_percent": "%",
    "_rpm": "rpm",
    "_deg": "°",
    "_wh": "Wh",
    "_hz": "Hz",
    "_mohm": "mΩ",
    "_nm": "N m",
    "_us": "µs",
    "_s": "s",
    "_a": "A",
    "_v": "V",
    "_w": "W",
    "_c": "°C",
    "_m": "m",
    "_kg_m3": "kg/m³",
    "_j": "J",
}
"""How a JSON key ends, the longer ending first, and the unit that this says."""
_UNIT_ENDS = {"rpm", "percent", "v", "a", "mah", "c", "m", "s", "deg", "wh", "us"}
_TABLES = {
    "rotor": "main rotor",
    "tail": "tail rotor",
    "gears": "gear",
    "pack": "pack",
    "motor": "motor",
    "controller": "controller",
    "airframe": "airframe",
    "channel": "throttle channel",
    "governor": "governor",
    "run_logic": "run logic",
    "site": "flying site",
    "limits": "limit:",
}


def file_name(source: str) -> str:
    """Return a file without the folders it lies in: a sheet handed on tells nothing of its maker's disk."""
    return _FOLDERS.sub("", source)


def check_name(check: str) -> str:
    """Return the human name of a check; an id nobody named is spelt out rather than hidden.

    A check made for each flight mode carries the mode's name: `curve: idle-up 1`.
    """
    kind, colon, of = check.partition(": ")
    name = CHECKS.get(kind) or OTHER_CHECKS.get(kind) or _spelt(kind)
    return f"{name}: {of}" if colon else name


def segment_name(kind: str) -> str:
    """Return the human name of a segment kind."""
    return SEGMENTS.get(kind) or kind.replace("_", " ")


def humanised(words: str) -> str:
    """Return a sentence of another room with the ids of checks, channels and keys said as people say them.

    What is to be typed, such as `--column "A=head_speed_rpm:rpm"`, stays as it is.
    """
    typed = _TYPED.findall(words)
    told = [_ID.sub(lambda found: _said(found.group()), part) for part in _TYPED.split(words)]
    return "".join(part for pair in zip(told, [*typed, ""], strict=True) for part in pair)


def _said(word: str) -> str:
    if word in CHECKS or word in OTHER_CHECKS:
        return word.replace("_", " ")
    if word in CHANNELS:
        return need_name(word)
    return key_name(word) if word.partition(".")[0] in _TABLES else word


def need_name(need: str) -> str:
    """Return what a check needs as a person says it: the channel `pack_voltage_v` is "pack voltage"."""
    if " " in need:
        return humanised(need)
    words = need.split("_")
    if len(words) > 1 and words[-1] in _UNIT_ENDS and need == need.lower():
        return " ".join(words[: -2 if words[-2:] == ["m", "s"] else -1])
    return key_name(need) if "." in need else need.replace("_", " ")


def figure_name(key: str) -> tuple[str, str]:
    """Return a JSON key of a figure as a person says it, and its unit: `flight_time_s` is "Flight time" in "s"."""
    if key in _FIGURES:
        return _FIGURES[key]
    if key in _SHARES or key.endswith("_duty"):
        return _spelt(key), OF_FULL
    for end, unit in _FIGURE_UNITS.items():
        if key.endswith(end):
            return _spelt(key.removesuffix(end)), unit
    return _spelt(key), ""


def figure_shown(key: str) -> tuple[str, str, float]:
    """Return a JSON key of a figure as a person says it, the unit that it is shown in, and how many of that make one.

    A share of full duty is shown in percent, as duty is everywhere else.
    """
    name, unit = figure_name(key)
    return (name, f"% {OF_FULL}", 100.0) if unit == OF_FULL else (name, unit, 1.0)


def key_name(key: str) -> str:
    """Return a machine-file key as a person says it: `motor.resistance` is "motor resistance"."""
    if key in _WHOLE:
        return _WHOLE[key]
    table, dot, field = key.partition(".")
    if not dot:
        return key.replace("_", " ")
    return _BETWEEN.sub(" ", f"{_TABLES.get(table, table)} {field}").strip()


def _spelt(check: str) -> str:
    words = check.replace("_", " ").strip()
    return words[:1].upper() + words[1:]
