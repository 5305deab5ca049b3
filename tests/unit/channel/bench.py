"""Invented machines and readings for the channel tests."""

from steadyhead.channel.pulse import Pulse
from steadyhead.channel.result import Reading
from steadyhead.channel.setting import ChannelSetting, Doubted, Mode
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text

PARTS = """
[machine]
name = "bench fox"
size_class = 600
revision = 3
invented = true
[gears]
pinion_teeth = 13
main_gear_teeth = 117
[motor]
kv = "560 rpm/V"
[pack]
cells = 12
capacity = "3300 mAh"
"""
CHANNEL = {
    "pulse_low": "1100 us",
    "pulse_high": "1900 us",
    "travel_low": "100 %",
    "travel_high": "100 %",
    "step": "1 us",
    "jitter": "1 us",
    "learned_low": "1100 us",
    "learned_high": "1900 us",
    "cut_off": "8 %",
    "start": "22 %",
    "ramp_rate": "50 %/s",
    "hold": "0 %",
    "autorotation": "15 %",
}
MODES = (("normal", "1730 rpm", "57 %"), ("idle-up 1", "1990 rpm", "70 %"), ("idle-up 2", "2250 rpm", "83 %"))


def machine(
    *,
    without: tuple[str, ...] = (),
    modes: tuple[tuple[str, str, str], ...] = MODES,
    readings: tuple[tuple[str, str], ...] = (),
    more: str = "",
    **channel: str,
) -> Machine:
    """A machine whose channel is all known and right, but for what is changed or taken out."""
    keys = {key: value for key, value in (CHANNEL | channel).items() if key not in without}
    text = PARTS + "[channel]\n" + "".join(f'{key} = "{value}"\n' for key, value in keys.items())
    for name, speed, percent in modes:
        today = f'channel = "{percent}"\n' if percent else ""
        text += f'[[flight_mode]]\nname = "{name}"\nhead_speed = "{speed}"\n{today}'
    for percent, speed in readings:
        text += f'[[reading]]\nchannel = "{percent}"\nhead_speed = "{speed}"\n'
    waits = "" if "[run_logic]" in more else '[run_logic]\nstart_delay = "0.1 s"\n'
    return machine_from_text(text + waits + more, "bench_fox.toml")


def reading(percent: float, head_speed_rpm: float, spread_rpm: float = 5.0, source: str = "bench") -> Reading:
    return Reading(percent=percent, head_speed_rpm=head_speed_rpm, spread_rpm=spread_rpm, source=source)


def line_readings(
    *percents: float, offset_rpm: float = 590.0, slope: float = 20.0, spread_rpm: float = 5.0
) -> tuple[Reading, ...]:
    """Readings that lie on a line exactly."""
    return tuple(reading(at, offset_rpm + slope * at, spread_rpm) for at in percents)


def pulse(**changed: float) -> Pulse:
    return Pulse(low_us=1100.0, high_us=1900.0, step_us=1.0, jitter_us=1.0)._replace(**changed)


def setting(**changed: object) -> ChannelSetting:
    known: dict[str, object] = {
        "pulse": pulse(),
        "learned_low_us": Doubted(1100.0),
        "learned_high_us": Doubted(1900.0),
        "cut_off_percent": Doubted(8.0),
        "start_percent": Doubted(22.0),
        "controller_wait_s": 0.1,
        "ramp_rate_percent_s": Doubted(50.0),
        "hold_percent": 0.0,
        "autorotation_percent": 15.0,
        "modes": (Mode("normal", 1730.0, 57.0), Mode("idle-up 1", 1990.0, 70.0), Mode("idle-up 2", 2250.0, 83.0)),
    }
    return ChannelSetting(**(known | changed))  # type: ignore[arg-type]
