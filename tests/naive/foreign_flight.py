"""Draws an invented machine, a flight and what is wrong with it, for the third invented drive.

Imports nothing of ours. What is true of the flight is worked out in foreign_truth.py.
"""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from tests.naive.foreign_drive import FALL, GROUND, HOVER, LAND, RPM, STICK, Drive, flown

FAULTS = (
    "slow hunting", "hunting", "quick hunting", "droops with room", "sags", "winds up", "falls through the bearing",
    "slow to recover", "worn pack", "weak cell", "starts in the autorotation position", "quick ramp from rest",
    "quick restart lost", "soft ramp in the bail-out", "restart too slow", "restart waits", "driven in hold",
    "hold lags", "hold clears nothing", "soft start too quick", "soft start too slow", "too fast", "empty",
    "too much current",
)  # fmt: skip
Columns = dict[str, np.ndarray]


@dataclass
class Story:
    """What the pilot did and when: marks hold begin and end of each kind of thing, one after the other."""

    channel: list[tuple[float, float]] = field(default_factory=list)
    stick: list[tuple[float, int, float]] = field(default_factory=list)
    marks: dict[str, list[float]] = field(
        default_factory=lambda: {k: [] for k in ("hover", "climb", "pump", "mode", "bail", "hold", "waits", "burst")}
    )
    length_s: float = 0.0


@dataclass(frozen=True)
class Flight:
    """One flight: the machine as its owner knows it, the drive, the story, and what happened, clean."""

    fault: str
    drive: Drive
    story: Story
    true: Columns
    owner: dict[str, Any]
    weak_cell_ohm: float
    """How much more than the mean the weakest cell loses to each ampere."""


def flight_of(seed: int) -> Flight:
    """Return the flight of a seed; two in five are sound."""
    rng = np.random.default_rng([seed, 907])
    fault = "none" if seed % 5 < 2 else FAULTS[(seed // 5 * 3 + seed % 5 - 2) % len(FAULTS)]
    drive, owner = _machine(rng, fault)
    story = _story(rng, fault, drive)
    clean = flown(drive, story.channel, story.stick, story.length_s, seed)
    if "hunting" in fault:
        wanted = rng.uniform(0.8, 2.2)
        a, b = story.marks["hover"][:2]
        part = clean["head"][int(1000 * a) : int(1000 * b)]
        swing = np.sqrt(2.0) * part.std() / part.mean() * 100.0
        drive = drive._replace(swing_duty=drive.swing_duty * wanted / max(swing, 0.02))
        clean = flown(drive, story.channel, story.stick, story.length_s, seed)
    peak = float(clean["amp"].max())
    owner["burst_a"] = float(round(peak * (0.8 if fault == "too much current" else rng.uniform(1.25, 1.6))))
    top = float(clean["head"].max())
    owner["head_max_rpm"] = float(round(top * (0.93 if fault == "too fast" else rng.uniform(1.08, 1.2))))
    spare = float((clean["volt"] / drive.cells)[int(clean["amp"].argmax())]) - 3.1
    return Flight(fault, drive, story, clean, owner, (spare if fault == "weak cell" else 0.03) / peak)


def _machine(rng: np.random.Generator, fault: str) -> tuple[Drive, dict[str, Any]]:
    size = float(rng.choice([420, 450, 480, 550, 570, 600, 630, 690, 720, 760, 800]))
    blades = int(rng.choice([2, 2, 2, 3]))
    radius = size / 1000.0 + rng.uniform(0.055, 0.09)
    weight = 9.81 * 4.9 * (size / 700.0) ** 2.8 * rng.uniform(0.9, 1.1)
    chord = 0.078 * radius * (1.0 if blades == 2 else 0.85)
    tip = rng.uniform(118.0, 140.0) if size < 500 else rng.uniform(128.0, 158.0)
    top_rad_s = tip / radius
    solidity = blades * chord / (np.pi * radius)
    profile = 1.2 * solidity * np.pi * radius**2 * tip**3 * 0.0105 / 8.0
    flow = np.sqrt(weight / (2.4 * np.pi * radius**2))
    hover_w = (profile + 1.15 * weight * flow) * 1.1
    cells = int(rng.choice([4, 6] if size < 470 else [6, 8] if size < 560 else [8, 10, 12] if size < 660 else [12, 14]))
    two_stages = bool(rng.random() < 0.25)
    stages = [[int(rng.integers(12, 18)), int(rng.integers(90, 130))]]
    if two_stages:
        stages = [[int(rng.integers(17, 22)), int(rng.integers(52, 60))]]
        stages.append([int(rng.integers(17, 22)), int(rng.integers(52, 66))])
    ratio = float(np.prod([big / small for small, big in stages]))
    room = {"sags": rng.uniform(0.84, 0.92), "winds up": rng.uniform(0.8, 0.84)}.get(fault, rng.uniform(0.72, 0.78))
    volts = 3.85 * cells
    volts_per = volts * room / (top_rad_s * ratio)
    capacity = float(np.ceil(hover_w / volts * 330.0 / 3.6 / 100.0) * 100.0)
    new_ohm = 0.0021 * cells * 4500.0 / capacity * rng.uniform(0.9, 1.1)
    worn = rng.uniform(1.9, 2.6) if fault == "worn pack" else rng.uniform(0.92, 1.2)
    low_rpm, high_rpm = rng.uniform(0.05, 0.3) * top_rad_s * RPM, 0.0
    top_percent = rng.uniform(76.0, 92.0)
    high_rpm = low_rpm + (top_rad_s * RPM - low_rpm) * 100.0 / top_percent
    hz = {"slow hunting": (0.6, 1.4), "hunting": (1.4, 3.2), "quick hunting": (3.2, 6.0)}.get(fault, (1.0, 1.0))
    swing_hz = rng.uniform(*hz)
    lazy = fault == "slow to recover"
    p_share = {"winds up": 1.4, "slow to recover": 0.7, "droops with room": 0.13}.get(fault, 1.0)
    i_gain = 0.0 if fault == "droops with room" else rng.uniform(0.3, 0.8) if lazy else rng.uniform(4.0, 8.0)
    soft_s = {"soft start too quick": (4.5, 8.0), "soft start too slow": (30.0, 40.0)}.get(fault, (13.0, 20.0))
    winding = 0.016 * volts**2 / hover_w * rng.uniform(0.7, 1.3) * {"sags": 3.5, "winds up": 2.0}.get(fault, 1.0)
    late = rng.uniform(0.3, 1.2) if fault == "hold lags" else rng.uniform(0.0, 0.02)
    drive = Drive(
        weight_n=weight, radius_m=radius, hover_deg=rng.uniform(4.0, 5.2), hover_rad_s=top_rad_s, profile_w=profile,
        tail_share=rng.uniform(0.06, 0.12), head_inertia=0.07 * (size / 700.0) ** 4.6 * (1.0 if blades == 2 else 1.25),
        motor_inertia=0.004 * (size / 700.0) ** 3 * rng.uniform(0.7, 1.3), spring=110.0 * (size / 700.0) ** 3,
        ratio=ratio, volts_per_rad_s=volts_per, winding_ohm=winding,
        idle_a=0.035 * hover_w / volts * rng.uniform(0.8, 1.3), cells=float(cells), capacity_as=3.6 * capacity,
        pack_ohm=new_ohm * worn, begun=rng.uniform(0.48, 0.56) if fault == "empty" else rng.uniform(0.93, 1.0),
        p_gain=rng.uniform(0.8, 2.2) * p_share,
        i_gain=i_gain,
        feed=max(rng.uniform(-0.03, 0.07), 0.0) if fault not in ("droops with room", "slow to recover") else 0.0,
        sense_s=rng.uniform(0.004, 0.012), late_steps=int(rng.integers(2, 7)),
        duty_rate=rng.uniform(0.06, 0.085) if fault == "winds up" else rng.uniform(6.0, 20.0),
        winds_up=float(fault == "winds up"),
        swing_duty=0.02 if "hunting" in fault else 0.0, swing_hz=swing_hz, rpm_low=low_rpm, rpm_high=high_rpm,
        cut_percent=rng.uniform(5.0, 9.0),
        start_percent=11.0 if fault == "starts in the autorotation position" else rng.uniform(19.0, 26.0),
        soft_s=rng.uniform(*soft_s),
        soft_shape=rng.choice([0.85, 1.0, 1.0, 1.2]),
        quick_s=rng.uniform(5.0, 7.5) if fault == "restart too slow" else rng.uniform(1.9, 2.6),
        wait_s=rng.uniform(0.05, 0.4),
        quick_wait_s=rng.uniform(0.7, 1.3) if fault == "restart waits" else rng.uniform(0.01, 0.08),
        window_s=2.0 if fault == "soft ramp in the bail-out" else rng.uniform(45.0, 90.0),
        hold_clears=float(fault != "hold clears nothing"), first_quick=float(fault == "quick ramp from rest"),
        stop_late_s=late,
        hold_duty=rng.uniform(0.05, 0.12) if fault == "driven in hold" else 0.0,
        channel_rate=float(rng.choice([150.0, 400.0, 3000.0])), gust=rng.uniform(0.4, 2.0), blades=1.0,
    )  # fmt: skip
    owner = {
        "size": size, "blades": blades, "radius_m": radius, "chord_m": chord, "stages": stages, "cells": cells,
        "capacity_mah": capacity, "kv": RPM / volts_per, "poles": int(rng.choice([6, 8, 10, 14])), "new_ohm": new_ohm,
        "knows": bool(rng.random() < 0.5), "top_percent": top_percent, "tail_ratio": 4.5, "pulses": (1090, 1910),
        "auto_percent": 2.0 if fault == "quick restart lost" else 14.0,
        "hover_low": 0.6 if rng.random() < 0.5 else None,
    }  # fmt: skip
    return drive, owner


def _story(rng: np.random.Generator, fault: str, p: Drive) -> Story:
    story = Story()
    top = 100.0 * (p.hover_rad_s * RPM - p.rpm_low) / (p.rpm_high - p.rpm_low)
    low = top - rng.uniform(10.0, 18.0)
    auto = 2.0 if fault == "quick restart lost" else 14.0
    story.channel.append((0.0, 0.0))
    story.stick.append((0.0, GROUND, 0.0))
    t = rng.uniform(2.5, 7.0)
    if fault == "starts in the autorotation position" or rng.random() < 0.25:
        story.channel.append((t, auto))
        story.marks["waits"] += [t, t + 5.0]
        t += 5.0
        if fault == "starts in the autorotation position":
            story.channel.append((t, 0.0))
            t += 22.0
    two = bool(rng.random() < 0.5)
    story.channel.append((t, low if two else top))
    t += p.wait_s + (p.quick_s if p.first_quick else p.soft_s) + rng.uniform(5.0, 9.0)
    if two:
        story.channel.append((t, top))
        story.marks["mode"].append(t)
        t += rng.uniform(4.0, 6.0)
    height = 4.0
    story.stick.append((t, HOVER, height))
    t += 6.0
    kinds = ["climb", *(str(rng.choice(["climb", "climb", "pump", "burst"])) for _ in range(int(rng.integers(1, 4))))]
    kinds += ["drop"] if fault == "falls through the bearing" else []
    for kind in kinds:
        t, height = _manoeuvre(story, kind, (_hovered(story, t, rng), height), rng, p)
    t = _hovered(story, t, rng)
    tried = fault in ("quick restart lost", "soft ramp in the bail-out", "restart too slow", "restart waits")
    if tried or (rng.random() < 0.4 and fault not in ("starts in the autorotation position", "winds up")):
        height = max(height, 70.0)
        story.stick.append((t, HOVER, height))
        t += 24.0
        long = rng.uniform(3.0, 5.0)
        story.channel += [(t, auto), (t + long, top)]
        story.stick += [(t + 0.15, FALL, 0.5), (t + long + 0.4, HOVER, height - 30.0)]
        story.marks["bail"] += [t, t + long]
        soft = fault in ("quick restart lost", "soft ramp in the bail-out")
        t = _hovered(story, t + long + 9.0 + (p.soft_s if soft else p.quick_s), rng)
    _landed(story, t, height, rng, again_percent=low, again=fault == "hold clears nothing", soft_s=p.soft_s)
    return story


def _manoeuvre(
    story: Story, kind: str, at: tuple[float, float], rng: np.random.Generator, p: Drive
) -> tuple[float, float]:
    """Add one manoeuvre and the calm after it; return when that ends, and the height then."""
    t, height = at
    if kind == "climb":
        long = rng.uniform(2.0, 3.5)
        story.stick.append((t, STICK, p.hover_deg + rng.uniform(5.0, 6.5)))
        height += 9.0 * long
    elif kind == "pump":
        half, count = rng.uniform(0.35, 0.55), int(rng.integers(2, 5))
        for n in range(count):
            story.stick.append((t + 2 * n * half, STICK, p.hover_deg + rng.uniform(4.5, 6.0)))
            story.stick.append((t + (2 * n + 1) * half, STICK, rng.uniform(-7.0, -4.0)))
        story.stick.append((t + 2 * count * half, STICK, p.hover_deg + 5.0))
        long = (2 * count + 1) * half
    elif kind == "burst":  # one short tug, no climb-out
        long = rng.uniform(0.35, 0.6)
        story.stick.append((t, STICK, p.hover_deg + rng.uniform(4.0, 5.5)))
    else:
        height = max(height, 70.0)
        story.stick.append((t, HOVER, height))
        t += 24.0
        long = rng.uniform(2.5, 3.5)
        story.stick.append((t, STICK, rng.uniform(-5.0, -3.5)))
        height -= 6.0
    if kind != "drop":
        story.marks[kind] += [t, t + long]
    story.stick.append((t + long, HOVER, height))
    return t + long + 7.0, height


def _landed(
    story: Story, t: float, height: float, rng: np.random.Generator, *, again_percent: float, again: bool, soft_s: float
) -> None:
    """Land, press throttle hold, and sometimes start again out of it."""
    story.stick.append((t, LAND, 0.0))
    t += 10.0 + height / 1.7
    story.stick.append((t, GROUND, 0.0))
    t += 3.0
    story.channel.append((t, 0.0))
    story.marks["hold"].append(t)
    t += 14.0
    if again or rng.random() < 0.2:
        t -= rng.uniform(3.0, 8.0)
        story.channel.append((t, again_percent))
        t += soft_s + 9.0
        story.channel.append((t, 0.0))
        story.marks["hold"].append(t)
        t += 14.0
    story.length_s = t


def _hovered(story: Story, t: float, rng: np.random.Generator) -> float:
    long = rng.uniform(6.0, 12.0)
    story.marks["hover"] += [t, t + long]
    return t + long


def machine_file(flight: Flight) -> str:
    """Return the machine file that the owner would write: nothing of the governor's hidden numbers unless known."""
    o, p = flight.owner, flight.drive
    (small, big), *second = o["stages"]
    gears = f"pinion_teeth = {small}\nmain_gear_teeth = {big}\n"
    if second:
        gears += f"second_pinion_teeth = {second[0][0]}\nsecond_gear_teeth = {second[0][1]}\n"
    known = ""
    if o["knows"]:
        known = (
            f'[channel]\npulse_low = "{o["pulses"][0]} us"\npulse_high = "{o["pulses"][1]} us"\n'
            f'cut_off = "{p.cut_percent:.1f} %"\nstart = "{p.start_percent:.1f} %"\n'
            f'autorotation = "{o["auto_percent"]} %"\n\n'
            f'[[flight_mode]]\nname = "high"\nhead_speed = "{p.hover_rad_s * RPM:.0f} rpm"\n'
            f'channel = "{o["top_percent"]:.1f} %"\n\n'
        )
    low = f'hover_duty_low = "{o["hover_low"]}"\n' if o["hover_low"] else ""
    return (
        f'[machine]\nname = "Foreign {o["size"]:.0f}"\nsize_class = {o["size"]:.0f}\ninvented = true\n\n'
        f'[rotor]\nblades = {o["blades"]}\nblade_length = "{o["size"]:.0f} mm"\nradius = "{o["radius_m"]:.4f} m"\n'
        f'chord = "{o["chord_m"]:.4f} m"\ncollective_max = "12 deg"\n\n'
        f"[tail]\nblades = 2\nratio = {o['tail_ratio']}\ndriven_in_autorotation = true\n\n[gears]\n{gears}\n"
        f'[motor]\nkv = "{o["kv"]:.0f} rpm/V"\npoles = {o["poles"]}\n\n'
        f'[controller]\ncurrent_burst = "{o["burst_a"]:.0f} A"\n\n'
        f'[pack]\ncells = {o["cells"]}\ncapacity = "{o["capacity_mah"]:.0f} mAh"\n'
        f'resistance_when_new = "{1000 * o["new_ohm"]:.2f} mohm"\n\n{known}'
        f'[site]\ntemperature = "20 degC"\n\n[limits]\nhead_speed_max = "{o["head_max_rpm"]:.0f} rpm"\n{low}'
    )
