"""Writes the machine file that the owner of a log's machine would write: from the truth's `machine_given` only."""

from typing import Any

from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text


def machine_text(given: dict[str, Any], name: str = "given") -> str:
    """Return the machine file as TOML text; what the owner does not know is left out."""
    (pinion, gear), *second = given["gear_stages_teeth"]
    stage = ""
    if second:
        stage = f"second_pinion_teeth = {second[0][0]}\nsecond_gear_teeth = {second[0][1]}\n"
    driven = "true" if given["tail_driven_in_autorotation"] else "false"
    return f"""
[machine]
name = "{name}"
size_class = {given["size_class"]}
invented = true

[rotor]
blades = {given["main_blades"]}
blade_length = "{given["blade_length_m"]} m"
radius = "{given["rotor_radius_m"]} m"
chord = "{given["chord_m"]} m"
collective_max = "{given["collective_at_full_stick_deg"]} deg"

[tail]
blades = {given["tail_blades"]}
ratio = {given["tail_ratio"]}
driven_in_autorotation = {driven}

[gears]
pinion_teeth = {pinion}
main_gear_teeth = {gear}
{stage}
[motor]
kv = "{given["kv_rpm_per_v"]} rpm/V"
poles = {given["poles"]}

[controller]
current_burst = "{given["esc_burst_a"]} A"
switching_frequency = "{given["esc_switch_hz"]} Hz"

[pack]
cells = {given["cells_in_series"]}
capacity = "{given["capacity_mah"]} mAh"
resistance_when_new = "{given["pack_resistance_when_new_mohm"]} mohm"

[site]
temperature = "{given["air_temperature_c"]} degC"

[limits]
head_speed_max = "{given["head_speed_limit_rpm"]} rpm"
"""


def machine_from(given: dict[str, Any], name: str = "given") -> Machine:
    """Return the machine read from that text."""
    return machine_from_text(machine_text(given, name), f"{name}.toml")
