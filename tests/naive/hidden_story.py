"""Draws a flight and what is wrong with it, and works out from the clean recording what is true of it.

Imports nothing of ours. The limits are those that the manual names as common practice.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from tests.naive.hidden_drive import GOVERNED, OFF, QUICK, SOFT, STEP_S, Numbers, Story, fly

FAULTS = (
    "none", "no head-room", "hunting", "wound up", "lazy", "worn pack", "quick restart lost", "hold lags",
    "starts in the autorotation position", "hold clears nothing", "soft start too quick", "soft start too slow",
    "quick restart too slow", "restart waits", "too fast", "empty",
)  # fmt: skip
NEAR = 0.12
"""A figure this near to its limit is not scored: sensors may read it on either side."""
Columns = dict[str, np.ndarray]


@dataclass(frozen=True)
class Flight:
    """One flight: the drive, the story, what happened, and what is true."""

    fault: str
    numbers: Numbers
    story: Story
    clean: Columns
    truth: dict[str, tuple[str, float | None]]
    """Check to (pass, fail, not_exercised or borderline, figure)."""
    given: dict[str, Any]


def flight_of(seed: int) -> Flight:
    """Return the flight of a seed."""
    rng = np.random.default_rng([seed, 71])
    fault = "none" if seed % 3 == 0 else FAULTS[1 + (seed // 3 * 2 + seed % 3 - 1) % (len(FAULTS) - 1)]
    numbers, given = _drive(rng, fault)
    story = _story(rng, fault, numbers)
    clean = fly(numbers, story, seed)
    return Flight(fault, numbers, story, clean, truth_of(numbers, story, clean, given), given)


def _drive(rng: np.random.Generator, fault: str) -> tuple[Numbers, dict[str, Any]]:
    teeth = [int(rng.integers(11, 15)), int(rng.integers(104, 124))]
    cells = int(rng.choice([10, 12, 12, 14]))
    ratio = teeth[1] / teeth[0]
    top_rpm = rng.uniform(1900.0, 2250.0)
    at_zero = rng.uniform(400.0, 750.0)
    slope = (top_rpm - at_zero) / 85.0
    room = rng.uniform(0.74, 0.8) if fault != "no head-room" else rng.uniform(0.95, 1.08)
    kv_rpm = top_rpm * ratio / (3.85 * cells * room)
    hunting = fault == "hunting"
    worn = rng.uniform(1.9, 2.6) if fault == "worn pack" else rng.uniform(0.95, 1.15)
    r0 = rng.uniform(0.0018, 0.0024) * cells
    capacity_mah = float(rng.choice([3300, 4000, 5000]))
    numbers = Numbers(
        radius_m=rng.uniform(0.66, 0.70), mass_kg=rng.uniform(3.2, 4.4), inertia=rng.uniform(0.045, 0.075),
        ratio=ratio, kv_rad_s_v=kv_rpm / (30.0 / np.pi), resistance_ohm=rng.uniform(0.012, 0.022),
        no_load_a=rng.uniform(1.5, 3.0), cells=float(cells), capacity_as=3.6 * capacity_mah, r0_ohm=r0 * worn,
        r1_ohm=0.5 * r0 * worn, rc_s=rng.uniform(6.0, 14.0), cell_offset_v=rng.uniform(-0.02, 0.02),
        soc=rng.uniform(0.93, 0.995) if fault != "empty" else rng.uniform(0.22, 0.3),
        kp=rng.uniform(0.7, 1.6)
        * (rng.uniform(2.5, 4.5) if hunting else {"lazy": 0.3, "wound up": 0.22}.get(fault, 1.0)),
        ki=rng.uniform(5.0, 9.0) * (0.06 if fault == "lazy" else 1.5 if fault == "wound up" else 1.0),
        sense_filter_s=rng.uniform(0.01, 0.02),
        delay_steps=int(rng.integers(14, 24) if hunting else rng.integers(3, 8)),
        windup=float(fault == "wound up"), duty_rate=rng.uniform(8.0, 14.0) if fault != "wound up" else 2.0,
        rpm_at_zero=at_zero, rpm_per_percent=slope,
        soft_s={"soft start too quick": rng.uniform(5.0, 8.0), "soft start too slow": rng.uniform(34.0, 45.0)}.get(
            fault, rng.uniform(16.0, 20.0)),
        quick_s=rng.uniform(6.5, 9.0) if fault == "quick restart too slow" else rng.uniform(2.2, 3.2),
        start_delay_s=rng.uniform(0.1, 0.5), restart_delay_s=rng.uniform(0.7, 1.2) if fault == "restart waits" else 0.0,
        start_percent=12.0 if fault == "starts in the autorotation position" else rng.uniform(20.0, 25.0),
        hold_clears=float(fault != "hold clears nothing"),
        hold_lag_s=rng.uniform(0.4, 1.5) if fault == "hold lags" else 0.0,
        gust=rng.uniform(0.1, 0.5),
    )  # fmt: skip
    limit = top_rpm * (rng.uniform(0.85, 0.92) if fault == "too fast" else rng.uniform(1.15, 1.3))
    given = {
        "size_class": 600, "main_blades": 2, "blade_length_m": round(numbers.radius_m - 0.08, 3),
        "rotor_radius_m": round(numbers.radius_m, 4), "chord_m": 0.055, "tail_ratio": 4.6, "tail_blades": 2,
        "tail_driven_in_autorotation": True, "gear_stages_teeth": [teeth], "kv_rpm_per_v": round(kv_rpm),
        "poles": int(rng.choice([8, 10, 12])), "cells_in_series": cells, "capacity_mah": capacity_mah,
        "esc_burst_a": 200.0, "esc_switch_hz": 12000.0, "head_speed_limit_rpm": round(limit),
        "pack_resistance_when_new_mohm": round(1000.0 * r0, 1), "air_temperature_c": 20.0,
        "collective_at_full_stick_deg": 12.0,
    }  # fmt: skip
    return numbers, given


def _story(rng: np.random.Generator, fault: str, p: Numbers) -> Story:
    low, high = rng.uniform(52.0, 60.0), rng.uniform(72.0, 85.0)
    auto = 4.0 if fault == "quick restart lost" else 15.0
    marks: dict[str, list[float]] = {key: [] for key in ("hover", "climb", "pump", "mode", "bail", "hold", "waits")}
    channel, stick, t = [(0.0, 0.0)], [(0.0, "ground", 0.0)], rng.uniform(3.0, 6.0)
    if fault == "starts in the autorotation position" or rng.random() < 0.3:
        channel.append((t, auto))
        marks["waits"] += [t, t + 6.0]
        t += 6.0
        channel.append((t, 0.0)) if fault == "starts in the autorotation position" else None
        t += 25.0 if fault == "starts in the autorotation position" else 0.0
    first = low if rng.random() < 0.6 else high
    channel.append((t, first))
    t += p.start_delay_s + p.soft_s * 1.1 + rng.uniform(4.0, 8.0)
    if first == low:
        channel.append((t, high))
        marks["mode"].append(t)
        t += rng.uniform(4.0, 7.0)
    height = 4.0
    stick.append((t, "hover", height))
    t += 5.0
    for _ in range(int(rng.integers(1, 4))):
        t = _hover(marks, t, rng)
        if rng.random() < 0.3:
            t = _pump(stick, marks, t, rng)
        else:
            long = rng.uniform(2.2, 3.2)
            marks["climb"] += [t, t + long]
            stick.append((t, "climb", rng.uniform(9.5, 12.0)))
            t += long
        height += rng.uniform(20.0, 30.0)
        stick.append((t, "hover", height))
        t += 6.0
    t = _hover(marks, t, rng)
    tried = fault.startswith(("quick restart", "restart waits")) or rng.random() < 0.35
    if tried and fault != "starts in the autorotation position":
        height = max(height, 60.0)
        stick.append((t, "hover", height))
        t += 12.0
        channel.append((t, auto))
        stick.append((t + 0.2, "fall", -3.0))
        long = rng.uniform(3.5, 5.0)
        channel.append((t + long, high))
        marks["bail"] += [t, t + long]
        stick.append((t + long + (0.3 if fault != "quick restart lost" else 0.6), "hover", height - 25.0))
        t = _hover(marks, t + long + 9.0 + (p.soft_s if fault == "quick restart lost" else p.quick_s), rng)
    stick.append((t, "land", 0.0))
    t += 12.0 + height / 2.0
    stick.append((t, "ground", 0.0))
    t += 3.0
    channel.append((t, 0.0))
    marks["hold"].append(t)
    t += 20.0
    if fault == "hold clears nothing" or rng.random() < 0.3:
        channel.append((t, low))
        t += p.soft_s * 1.1 + 8.0
        channel.append((t, 0.0))
        marks["hold"].append(t)
        t += 20.0
    return Story(channel, stick, t, marks)


def _hover(marks: dict[str, list[float]], t: float, rng: np.random.Generator) -> float:
    long = rng.uniform(7.0, 14.0)
    marks["hover"] += [t, t + long]
    return t + long


def _pump(stick: list[Any], marks: dict[str, list[float]], t: float, rng: np.random.Generator) -> float:
    begin, half = t, rng.uniform(0.35, 0.55)
    for _ in range(int(rng.integers(2, 5))):
        stick.append((t, "climb", rng.uniform(9.0, 11.0)))
        stick.append((t + half, "climb", rng.uniform(-8.0, -5.0)))
        t += 2.0 * half
    stick.append((t, "climb", 10.0))
    marks["pump"] += [begin, t + half]
    return t + half


def truth_of(p: Numbers, story: Story, clean: Columns, given: dict[str, Any]) -> dict[str, tuple[str, float | None]]:
    """Return for each check what is true of the flight."""
    marks, head = story.marks, clean["head"]
    asked = p.rpm_at_zero + clean["throttle"] * p.rpm_per_percent
    out: dict[str, tuple[str, float | None]] = {}
    hover = [_part(a, b) for a, b in _pairs(marks["hover"])]
    loads = [(a, b, False) for a, b in _pairs(marks["climb"])] + [(a, b, True) for a, b in _pairs(marks["pump"])]
    out["steady_band"] = _most(max(50.0 * np.ptp(head[h]) / asked[h].mean() for h in hover), 1.0)
    out["no_hunting"] = _most(max(_line_percent(head[h], float(asked[h].mean())) for h in hover), 0.5)
    means = [float(clean["duty"][h].mean()) for h in hover]
    out["hover_duty"] = _between(min(means), max(means), 0.65, 0.85)
    droops = [_droop(head, asked, a, b) for a, b, pumped in loads if not pumped]
    out["climb_droop"] = _most(max(droops), 4.0) if droops else ("not_exercised", None)
    out["recovery"] = _recovered(head, asked, loads)
    governed = (clean["mode"] == GOVERNED) & (clean["throttle"] > p.start_percent + 1.0) & _settled(clean, story)
    out["overspeed"] = _most(float(np.max((head / asked - 1.0)[governed]) * 100.0), 5.0)
    driving = clean["mode"] == GOVERNED
    out["duty_margin"] = _most(float(clean["duty"][driving].max()), 0.95, near=0.02)
    out["cell_voltage"] = _least(float(clean["volt"].min()) / p.cells, 3.3, near=0.02)
    out["charge_left"] = _least(p.soc - float(clean["charge"][-1]) / p.capacity_as, 0.2, near=0.25)
    out["esc_current"] = _most(float(clean["amp"].max()), 200.0)
    out["pack_resistance"] = _most(1000.0 * p.r0_ohm / given["pack_resistance_when_new_mohm"], 1.5)
    out["tip_speed"] = _most(float(asked[governed].max()) * np.pi / 30.0 * p.radius_m, 175.0, near=0.03)
    out["head_speed_limit"] = _most(float(head.max()), float(given["head_speed_limit_rpm"]), near=0.02)
    out.update(_logic(p, clean, marks))
    return out


def _logic(p: Numbers, clean: Columns, marks: dict[str, list[float]]) -> dict[str, tuple[str, float | None]]:
    mode, head = clean["mode"], clean["head"]
    none: tuple[str, float | None] = ("not_exercised", None)
    begins = np.flatnonzero((mode[1:] == SOFT) & (mode[:-1] == OFF)) + 1
    quick = np.flatnonzero((mode[1:] == QUICK) & (mode[:-1] == OFF)) + 1
    out = {}
    spans = [(k, _next(mode == GOVERNED, k)) for k in begins if head[k] < 5.0]
    times = [(end - k) * STEP_S for k, end in spans if end is not None and not (mode[k:end] == OFF).any()]
    out["soft_start_time"] = _between(min(times), max(times), 10.0, 25.0) if times else none
    for name in ("quick_restart_granted", "quick_restart_time", "quick_restart_prompt"):
        out[name] = none
    for _, back in _pairs(marks["bail"]):
        at = int(back / STEP_S)
        was_quick = any(at <= k < at + int(2.5 / STEP_S) for k in quick)
        out["quick_restart_granted"] = ("pass" if was_quick else "fail", None)
        if was_quick:
            asked = p.rpm_at_zero + clean["throttle"] * p.rpm_per_percent
            near = np.abs(head / asked - 1.0) < 0.01
            there = _next(np.convolve(near, np.ones(150), "valid") > 149.5, at + 20)
            took = None if there is None else (there - at) * STEP_S
            out["quick_restart_time"] = none if took is None else _between(took, took, 1.0, 3.0)
            wait = next(k for k in quick if k >= at)
            out["quick_restart_prompt"] = _most((wait - at) * STEP_S, 0.3, near=0.5)
    waits = [clean["duty"][_part(a + 0.2, b)].max() > 0.0 for a, b in _pairs(marks["waits"])]
    out["no_start_in_autorotation_position"] = none if not waits else ("fail" if any(waits) else "pass", None)
    lags = [clean["duty"][int((t + 0.12) / STEP_S)] > 0.0 for t in marks["hold"]]
    out["hold_stops_motor"] = ("fail" if any(lags) else "pass", None)
    after = [k for k in (*begins, *quick) if marks["hold"] and k * STEP_S > marks["hold"][0]]
    out["hold_clears_quick_restart"] = (
        none if not after else ("fail" if any(k in quick for k in after) else "pass", None)
    )
    return out


def _settled(clean: Columns, story: Story) -> np.ndarray:
    """Overspeed counts from 3 s after the motor's return or a change of set speed."""
    ok = np.ones(clean["mode"].size, bool)
    changes = np.flatnonzero(np.diff(clean["mode"]) != 0) * STEP_S
    for t in (*changes, *(t for t, _ in story.channel)):
        ok[_part(t, t + 3.0)] = False
    return ok


def _recovered(head: np.ndarray, asked: np.ndarray, loads: list[tuple[float, float, bool]]) -> tuple[str, float | None]:
    """Judge the slowest recovery; one that hangs on a tenth of the band more or less is not scored."""
    times = [max(_recovery(head, asked, load, band) for load in loads) for band in (0.0085, 0.01, 0.0115)]
    words = {_most(time, 1.0)[0] for time in times}
    return (words.pop() if len(words) == 1 else "borderline", times[1])


def _recovery(head: np.ndarray, asked: np.ndarray, load: tuple[float, float, bool], band: float) -> float:
    a, b, pumped = load
    before = float(head[_part(a - 1.5, a)].mean())
    worst = 0.0
    if not pumped:
        off = np.abs(head[_part(a, b)] - before) > band * asked[int(a / STEP_S)]
        if off.any():
            first, last = int(np.argmax(off)), off.size - 1 - int(np.argmax(off[::-1]))
            worst = 99.0 if last >= off.size - 2 else (last - first) * STEP_S
    after = _part(b, b + 5.0)
    off = np.abs(head[after] / asked[after] - 1.0) > band
    if off.any():
        last = off.size - 1 - int(np.argmax(off[::-1]))
        worst = max(worst, 99.0 if last >= off.size - 2 else last * STEP_S)
    return worst


def _droop(head: np.ndarray, asked: np.ndarray, a: float, b: float) -> float:
    before, late = head[_part(a - 1.5, a)].mean(), head[_part(b - 0.4 * (b - a), b)].mean()
    return float(100.0 * (before - late) / asked[int(a / STEP_S)])


def _line_percent(head: np.ndarray, asked: float) -> float:
    """Return the strongest line of 0.5 to 15 Hz: root two times the effective value within 0.25 Hz, % of asked."""
    x = (head - head.mean()) * np.hanning(head.size)
    power = np.abs(np.fft.rfft(x)) ** 2 / (np.sum(np.hanning(head.size) ** 2) * head.size / 2.0)
    freq = np.fft.rfftfreq(head.size, STEP_S)
    inside = np.flatnonzero((freq >= 0.5) & (freq <= 15.0))
    peak = freq[inside[np.argmax(power[inside])]]
    band = np.abs(freq - peak) <= 0.25
    return float(100.0 * np.sqrt(2.0 * power[band].sum()) / asked)


def _most(value: float, limit: float, near: float = NEAR) -> tuple[str, float | None]:
    if abs(value - limit) <= near * limit:
        return ("borderline", value)
    return ("pass" if value < limit else "fail", value)


def _least(value: float, limit: float, near: float) -> tuple[str, float | None]:
    if abs(value - limit) <= near * limit:
        return ("borderline", value)
    return ("pass" if value > limit else "fail", value)


def _between(low: float, high: float, least: float, most: float) -> tuple[str, float | None]:
    verdicts = [_least(low, least, 0.04)[0], _most(high, most, 0.04)[0]]
    word = "fail" if "fail" in verdicts else "borderline" if "borderline" in verdicts else "pass"
    return (word, low if verdicts[0] != "pass" else high)


def _part(a: float, b: float) -> slice:
    return slice(max(int(a / STEP_S), 0), max(int(b / STEP_S), 0))


def _pairs(times: list[float]) -> list[tuple[float, float]]:
    return list(zip(times[::2], times[1::2], strict=True))


def _next(flags: np.ndarray, at: int) -> int | None:
    later = np.flatnonzero(flags[at:])
    return int(later[0]) + at if later.size else None
