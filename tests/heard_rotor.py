"""What the sound tests share: the tracker on a made recording, and the machine file of its rotor."""

from pathlib import Path

import numpy as np
import soundfile

from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.sound_lines import Line, SoundGearing, lines_of
from steadyhead.trace.sound_tracker import CLAIMED_FROM, Frames, Tracker
from tests.naive.rotor_sound import Made, Rotor

FOLDER = Path(__file__).parent / "data" / "sound"


def lines_of_rotor(rotor: Rotor) -> tuple[Line, ...]:
    return lines_of(
        SoundGearing(
            blades=rotor.blades,
            tail_blades=rotor.tail_blades,
            tail_ratio=rotor.tail_ratio,
            mesh_teeth=rotor.meshes,
            motor_ratio=rotor.ratio,
            pole_pairs=rotor.pole_pairs,
        )
    )


def tracked(made: Made, block_s: float = 100.0) -> Frames:
    tracker = Tracker(lines_of_rotor(made.rotor), made.rate_hz, made.rotor.top_rpm)
    size = int(block_s * made.rate_hz)
    parts = [tracker.push(made.sound[a : a + size]) for a in range(0, made.sound.size, size)]
    return Frames.joined([*parts, tracker.finish()])


def error_percent(frames: Frames, time_s, head_rpm):
    """Signed error of every frame, percent of the true speed; infinite where the truth stands still."""
    truth = np.interp(frames.time_s, time_s, head_rpm)
    return np.where(truth > 1.0, 100.0 * (frames.head_speed_rpm / np.maximum(truth, 1.0) - 1.0), np.inf)


def right_share(made: Made, frames: Frames) -> tuple[float, float]:
    """Share of the claimed frames within 0.5 %, and share of all frames that are claimed."""
    claimed = frames.confidence >= CLAIMED_FROM
    off = np.abs(error_percent(frames, made.time_s, made.head_rpm))[claimed]
    return float((off < 0.5).mean()) if off.size else 1.0, float(claimed.mean())


def machine_of(rotor: Rotor) -> Machine:
    second = ""
    if rotor.second_pinion:
        second = f"second_pinion_teeth = {rotor.second_pinion}\nsecond_gear_teeth = {rotor.second_gear}\n"
    return machine_from_text(
        f"""
[machine]
name = "made"
size_class = 600
invented = true
[rotor]
blades = {rotor.blades}
[tail]
blades = {rotor.tail_blades}
ratio = {rotor.tail_ratio}
[gears]
pinion_teeth = {rotor.pinion}
main_gear_teeth = {rotor.gear}
{second}
[motor]
kv = "560 rpm/V"
poles = {2 * rotor.pole_pairs}
[pack]
cells = 12
capacity = "3300 mAh"
[[flight_mode]]
name = "one"
head_speed = "{0.6 * rotor.top_rpm} rpm"
channel = "50 %"
[[flight_mode]]
name = "two"
head_speed = "{0.72 * rotor.top_rpm} rpm"
channel = "60 %"
[[flight_mode]]
name = "three"
head_speed = "{0.85 * rotor.top_rpm} rpm"
channel = "70 %"
""",
        "made",
    )


def written(made: Made, path: Path, subtype: str | None = None) -> Path:
    soundfile.write(path, made.sound, made.rate_hz, subtype=subtype)
    return path
