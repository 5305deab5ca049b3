"""What is true of a flight of the third invented drive: each check's verdict by the limits that the manual names.

Imports nothing of ours. A figure near its limit is not scored: a sensor may read it on either side.
"""

import numpy as np

from tests.naive.foreign_drive import GOVERNED, QUICK, RPM, SOFT, STEP_S
from tests.naive.foreign_flight import Columns, Flight

NEAR = 0.12
Said = tuple[str, float | None]
NONE: Said = ("not_exercised", None)


def truth_of(flight: Flight) -> dict[str, Said]:
    """Return check to (pass, fail, borderline or not_exercised, figure)."""
    p, true, marks, owner = flight.drive, flight.true, flight.story.marks, flight.owner
    head, out = true["head"], {}
    asked = _asked(flight)
    hover = [_part(a, b) for a, b in _pairs(marks["hover"])]
    out["steady_band"] = _most(max(50.0 * np.ptp(head[h]) / asked[h].mean() for h in hover), 1.0)
    if flight.fault in ("sags", "droops with room") and out["steady_band"][0] == "pass":
        out["steady_band"] = ("borderline", out["steady_band"][1])  # its speed follows every load, hovering or not
    swing = max(swing_percent(head[h], float(asked[h].mean())) for h in hover)
    out["no_hunting"] = _most(swing, 0.5, near=0.2)
    duties = [float(true["duty"][h].mean()) for h in hover]
    out["hover_duty"] = _between(min(duties), max(duties), owner["hover_low"] or 0.65, 0.85, near=0.03)
    climbs, pumps = _pairs(marks["climb"]), _pairs(marks["pump"])
    droops = [_droop(head, asked, a, b) for a, b in climbs]
    out["climb_droop"] = _most(max(droops), 4.0)
    loads = [(*load, True) for load in climbs] + [(*load, False) for load in pumps]
    bands = (0.0082, 0.01, 0.0118)
    times = [max(recovery_s(head, asked, a, b, band, climb) for a, b, climb in loads) for band in bands]
    words = {_most(time, 1.0, near=0.2)[0] for time in times}
    out["recovery"] = (words.pop() if len(words) == 1 else "borderline", times[1])
    counts = _counts_for_overspeed(true, flight.story.channel)
    out["overspeed"] = _most(float(100.0 * (head / asked - 1.0)[counts].max()), 5.0)
    governed = true["state"] == GOVERNED
    out["duty_margin"] = _most(float(true["duty"][governed].max()), 0.95, near=0.02)
    out["cell_voltage"] = _least(float((true["volt"] / p.cells).min()), 3.3, near=0.02)
    weakest = true["volt"] / p.cells - flight.weak_cell_ohm * true["amp"]
    out["cell_voltage, weakest logged"] = _least(float(weakest.min()), 3.3, near=0.02)
    out["charge_left"] = _least(p.begun - float(true["charge"][-1]) / p.capacity_as, 0.2, near=0.25)
    out["esc_current"] = _most(float(true["amp"].max()), owner["burst_a"], near=0.1)
    out["pack_resistance"] = _most(p.pack_ohm / owner["new_ohm"], 1.5)
    out["tip_speed"] = _most(float(asked[counts].max()) / RPM * p.radius_m, 175.0, near=0.03)
    out["head_speed_limit"] = _most(float(head.max()), owner["head_max_rpm"], near=0.02)
    out.update(_logic(flight, asked))
    return out


def _asked(flight: Flight) -> np.ndarray:
    """The set speed of each moment: what the head holds in plain running at that channel value, by its median."""
    p, true = flight.drive, flight.true
    asked = p.rpm_low + (p.rpm_high - p.rpm_low) * true["throttle"] / 100.0
    calm = np.zeros(asked.size, bool)
    for a, b in _pairs(flight.story.marks["hover"]):
        calm[_part(a, b)] = True
    for value in {v for _, v in flight.story.channel if v > 30.0}:
        at = np.abs(true["throttle"] - value) < 0.01
        if (at & calm).any():
            asked[at] = np.median(true["head"][at & calm])
    return np.maximum(asked, 1.0)


def _counts_for_overspeed(true: Columns, channel: list[tuple[float, float]]) -> np.ndarray:
    """Governed, and 3 s after a change of state or of the channel."""
    ok = true["state"] == GOVERNED
    for t in (*(np.flatnonzero(np.diff(true["state"]) != 0) * STEP_S), *(t for t, _ in channel)):
        ok[_part(t - 0.01, t + 3.0)] = False
    return ok


def recovery_s(head: np.ndarray, asked: np.ndarray, a: float, b: float, band: float, climb: bool) -> float:
    """Return the slower of the recoveries within a load and after it, s; 99 where it did not come back."""
    worst = 0.0
    if climb:
        before = float(head[_part(a - 1.5, a)].mean())
        worst = _last_out(np.abs(head[_part(a, b)] - before) > band * asked[int(a / STEP_S)], from_first=True)
    after = _part(b, b + 5.0)
    return max(worst, _last_out(np.abs(head[after] / asked[after] - 1.0) > band, from_first=False))


def _last_out(off: np.ndarray, *, from_first: bool) -> float:
    if not off.any():
        return 0.0
    last = off.size - 1 - int(np.argmax(off[::-1]))
    return 99.0 if last >= off.size - 3 else (last - (int(np.argmax(off)) if from_first else 0)) * STEP_S


def swing_percent(head: np.ndarray, asked_rpm: float) -> float:
    """Return the strongest line of 0.5 to 15 Hz: root two times the effective value within 0.25 Hz of it, %."""
    window = np.hanning(head.size)
    power = np.abs(np.fft.rfft((head - head.mean()) * window)) ** 2 / (np.sum(window**2) * head.size / 2.0)
    hertz = np.fft.rfftfreq(head.size, STEP_S)
    at = np.flatnonzero((hertz >= 0.5) & (hertz <= 15.0))
    peak = hertz[at[np.argmax(power[at])]]
    return float(100.0 * np.sqrt(2.0 * power[np.abs(hertz - peak) <= 0.25].sum()) / asked_rpm)


def _logic(flight: Flight, asked: np.ndarray) -> dict[str, Said]:
    true, marks, out = flight.true, flight.story.marks, {}
    state, head, duty = true["state"], true["head"], true["duty"]
    starts = np.flatnonzero((state[1:] >= SOFT) & (state[:-1] < SOFT)) + 1
    times = []
    for k in starts:
        near = np.flatnonzero(head[k:] > 0.99 * np.maximum(asked[k:], 300.0))
        went = np.flatnonzero(state[k:] < SOFT)
        if head[k] < 30.0 and near.size and (not went.size or near[0] < went[0]):
            times.append(float(near[0]) * STEP_S)
    out["soft_start_time"] = _between(min(times), max(times), 10.0, 25.0, near=0.06) if times else NONE
    for name in ("quick_restart_granted", "quick_restart_time", "quick_restart_prompt"):
        out[name] = NONE
    for _, back in _pairs(marks["bail"]):
        at = int(back / STEP_S)
        mine = [k for k in starts if at <= k < at + 2500]
        quick = bool(mine) and state[mine[0]] == QUICK
        out["quick_restart_granted"] = ("pass" if quick else "fail", None)
        if quick:
            took = [_arrives_s(head[at + 20 :] / asked[at + 20 :], band) + 0.02 for band in (0.0085, 0.01, 0.0115)]
            said = {_between(time, time, 1.0, 3.0, near=0.08)[0] for time in took}
            out["quick_restart_time"] = (said.pop() if len(said) == 1 else "borderline", took[1])
            out["quick_restart_prompt"] = _most((mine[0] - at) * STEP_S, 0.3, near=0.5)
    waits = [bool(duty[_part(a + 0.4, b)].max() > 0.0) for a, b in _pairs(marks["waits"])]
    out["no_start_in_autorotation_position"] = ("fail" if any(waits) else "pass", None) if waits else NONE
    late = [bool((duty[_part(t + 0.15, t + 2.0)] > 0.0).any()) for t in marks["hold"]]
    out["hold_stops_motor"] = ("fail" if any(late) else "pass", None)
    after = [k for k in starts if k * STEP_S > marks["hold"][0]]
    cleared = "fail" if any(state[k] == QUICK for k in after) else "pass"
    out["hold_clears_quick_restart"] = (cleared, None) if after else NONE
    return out


def _arrives_s(share: np.ndarray, band: float) -> float:
    stays = np.flatnonzero(np.convolve(np.abs(share - 1.0) < band, np.ones(300), "valid") > 299.5)
    return float(stays[0]) * STEP_S if stays.size else 99.0


def _droop(head: np.ndarray, asked: np.ndarray, a: float, b: float) -> float:
    before, late = head[_part(a - 1.5, a)].mean(), head[_part(b - 0.4 * (b - a), b)].mean()
    return float(100.0 * (before - late) / asked[int(a / STEP_S)])


def _most(value: float, limit: float, near: float = NEAR) -> Said:
    return ("borderline" if abs(value - limit) <= near * limit else "pass" if value < limit else "fail", value)


def _least(value: float, limit: float, near: float) -> Said:
    return ("borderline" if abs(value - limit) <= near * limit else "pass" if value > limit else "fail", value)


def _between(low: float, high: float, least: float, most: float, near: float) -> Said:
    words = [_least(low, least, near)[0], _most(high, most, near)[0]]
    word = "fail" if "fail" in words else "borderline" if "borderline" in words else "pass"
    return (word, low if words[0] != "pass" else high)


def _part(a: float, b: float) -> slice:
    return slice(max(int(a / STEP_S), 0), max(int(b / STEP_S), 0))


def _pairs(times: list[float]) -> list[tuple[float, float]]:
    return list(zip(times[::2], times[1::2], strict=True))
