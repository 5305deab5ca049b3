"""Writes down a flight as careless loggers do: few and odd columns, faulty sensors, broken clocks, any dialect.

Imports nothing of ours. What was done to the log is kept, so that a miss can be traced to its dirt.
"""

import gzip
import io
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import polars as pl
from scipy.signal import lfilter

from tests.naive.hidden_drive import STEP_S
from tests.naive.hidden_story import Flight

Columns = dict[str, np.ndarray]


@dataclass
class Dirty:
    """A log as bytes, and what was done to it."""

    data: bytes
    dirt: list[str] = field(default_factory=list)


# channel: headings without unit, then (unit as written, factor or name of a conversion)
WORDS: dict[str, tuple[tuple[str, ...], tuple[tuple[str, float], ...]]] = {
    "head": (("head speed", "Rotordrehzahl", "main rotor rpm", "rotor speed"), (("rpm", 1.0), ("1/min", 1.0))),
    "motor": (("motor speed", "Motordrehzahl", "MotorRPM"), (("rpm", 1.0), ("1/min", 1.0))),
    "electrical": (("eRPM", "electrical speed", "elektrische Drehzahl"), (("rpm", 1.0), ("1/min", 1.0))),
    "throttle": (("throttle", "Gaskanal", "throttle channel", "Gas"), (("%", 1.0), ("0..1", 0.01), ("us", 8.0))),
    "duty": (("duty", "Tastgrad", "ESC output", "PWM"), (("%", 100.0), ("0..1", 1.0))),
    "volt": (("pack voltage", "Akkuspannung", "voltage", "battery"), (("V", 1.0), ("mV", 1000.0))),
    "amp": (("current", "Strom", "pack current"), (("A", 1.0), ("mA", 1000.0))),
    "charge": (("charge used", "Verbrauch", "used"), (("mAh", 1.0 / 3.6), ("Ah", 1.0 / 3600.0))),
    "height": (("height", "altitude", "Höhe"), (("m", 1.0), ("ft", 1.0 / 0.3048))),
    "collective": (("collective", "collective pitch", "Pitch"), (("deg", 1.0), ("°", 1.0))),
    "heat": (("ESC temperature", "controller temperature", "Reglertemperatur"), (("°C", 1.0), ("°F", 1.8))),
}
DIGITS = {"head": 0, "motor": 0, "electrical": 0, "throttle": 1, "duty": 3, "volt": 2, "amp": 1, "charge": 1}
STEPS = {"head": 1.0, "throttle": 0.1, "duty": 0.005, "volt": 0.01, "amp": 0.1, "height": 0.1, "collective": 0.1}
CLOCKS = ("s", "ms", "us", "minutes", "clock", "iso", "date and clock", "epoch ms", "bare ms")
START_S = 36_610.25
"""10:10:10.25 in the morning."""


def dirty_log(flight: Flight, seed: int) -> Dirty:
    """Return the log of a flight, dirtied as the seed draws it."""
    rng = np.random.default_rng([seed, 113])
    dirt: list[str] = []
    hertz = float(rng.choice([10.0, 20.0, 25.0, 33.0, 50.0, 100.0]))
    time_s, columns = _sensed(flight, hertz, rng, dirt)
    _sensor_faults(columns, hertz, rng, dirt)
    time_s, columns = _clock_faults(time_s, columns, hertz, rng, dirt)
    dirt.append(f"{hertz:g} Hz")
    return Dirty(_written(flight, time_s, columns, rng, dirt), dirt)


def _sensed(flight: Flight, hertz: float, rng: np.random.Generator, dirt: list[str]) -> tuple[np.ndarray, Columns]:
    true = flight.clean
    time_s = np.arange(0.0, true["time"][-1], 1.0 / hertz)
    lag, delay = rng.uniform(0.01, 0.08), rng.uniform(0.0, 0.05)
    if rng.random() < 0.2:
        lag = rng.uniform(0.1, 0.2)
        dirt.append("slow speed sensor")
    keep = ["throttle", "duty", "volt", "amp"]
    keep += [name for name, share in (("charge", 0.5), ("height", 0.5), ("collective", 0.5), ("heat", 0.5))
             if rng.random() < share]  # fmt: skip
    speed = str(rng.choice(["head", "head", "motor", "electrical"]))
    dirt.append(f"{speed} speed")
    if rng.random() < 0.35:
        lost = str(rng.choice(["throttle", "duty", "volt", "amp"]))
        keep.remove(lost)
        dirt.append(f"no {lost}")
    out = {}
    for name in (speed, *keep):
        source = "motor" if name == "electrical" else name
        slow = lag if name == speed else {"amp": 0.04, "volt": 0.02, "height": 0.3}.get(name, 0.0)
        late = delay if name == speed else 0.1 if name == "height" else 0.0
        values = np.interp(time_s - late, true["time"], _low_pass(true[source], slow))
        noise = {speed: rng.uniform(0.5, 4.0), "amp": 0.3, "volt": 0.015, "height": 0.15}.get(name, 0.0)
        step = STEPS.get(name, 0.01) * (rng.choice([1.0, 1.0, 5.0]) if name == speed else 1.0)
        out[name] = np.round((values + noise * rng.standard_normal(time_s.size)) / step) * step
    factor = {"motor": flight.numbers.ratio, "electrical": flight.numbers.ratio * flight.given["poles"] / 2.0}
    out[speed] = np.round(np.maximum(out[speed], 0.0) * factor.get(speed, 1.0))
    out["amp" if "amp" in out else speed] = np.maximum(out["amp" if "amp" in out else speed], 0.0)
    return time_s, out


def _low_pass(values: np.ndarray, lag_s: float) -> np.ndarray:
    if lag_s <= 0.0:
        return values
    share = STEP_S / (lag_s + STEP_S)
    return np.asarray(lfilter([share], [1.0, share - 1.0], values, zi=[(1.0 - share) * values[0]])[0])


def _sensor_faults(columns: Columns, hertz: float, rng: np.random.Generator, dirt: list[str]) -> None:
    speed = next(iter(columns))
    rows = columns[speed].size
    if rng.random() < 0.35:
        for at in rng.integers(0, rows, int(rng.integers(5, 60))):
            columns[speed][at : at + int(rng.integers(1, 3))] *= rng.choice([2.0, 0.5, 0.0])
        dirt.append("doubled, halved and lost speeds")
    if rng.random() < 0.2:
        for at in rng.integers(0, rows, int(rng.integers(3, 15))):
            name = str(rng.choice(list(columns)))
            columns[name][at] = rng.choice([0.0, 65535.0, -999.0, 1e9])
        dirt.append("absurd values")
    if rng.random() < 0.25:
        for at in rng.integers(0, rows, int(rng.integers(1, 6))):
            long = int(rng.uniform(0.3, 1.5) * hertz)
            for name in columns:
                columns[name][at : at + long] = columns[name][at]
        dirt.append("drop-outs, the last row kept")
    if rng.random() < 0.15:
        at, long = int(rng.integers(rows // 4, rows // 2)), int(rng.uniform(3.0, 12.0) * hertz)
        columns[speed][at : at + long] = columns[speed][at]
        dirt.append("frozen speed sensor")
    if rng.random() < 0.25:
        for name in columns:
            columns[name] = np.where(rng.random(rows) < rng.uniform(0.0, 0.05), np.nan, columns[name])
        dirt.append("empty cells")


def _clock_faults(
    time_s: np.ndarray, columns: Columns, hertz: float, rng: np.random.Generator, dirt: list[str]
) -> tuple[np.ndarray, Columns]:
    time_s = time_s + rng.uniform(-0.3, 0.3, time_s.size) / hertz * (rng.random() < 0.5)
    if rng.random() < 0.3:
        keep = np.ones(time_s.size, bool)
        for at in rng.integers(0, keep.size, int(rng.integers(2, 15))):
            keep[at : at + int(rng.uniform(1, 0.8 * hertz))] = False
        time_s, columns = time_s[keep], {name: values[keep] for name, values in columns.items()}
        dirt.append("rows lost")
    if rng.random() < 0.2:
        for at in rng.integers(1, time_s.size, 15):
            time_s[at] = time_s[at - 1]
        dirt.append("repeated time")
    if rng.random() < 0.12:
        at = int(rng.integers(time_s.size // 4, 3 * time_s.size // 4))
        time_s[at:] -= rng.uniform(2.0, 40.0) if rng.random() < 0.5 else time_s[at]
        dirt.append("clock set back")
    if rng.random() < 0.12:
        again = {name: np.concatenate([values, values]) for name, values in columns.items()}
        time_s, columns = np.concatenate([time_s, time_s]), again
        dirt.append("the log twice in one file")
    return time_s, columns


def _written(flight: Flight, time_s: np.ndarray, columns: Columns, rng: np.random.Generator, dirt: list[str]) -> bytes:
    clock = str(rng.choice(CLOCKS))
    style = str(rng.choice([" (%s)", " [%s]", "_%s", "second row", " in %s"]))
    headings, units, cells = [], [], []
    for name, unit, texts in _clock_columns(clock, time_s):
        headings.append(name)
        units.append(unit)
        cells.append(texts)
    remark = ""
    numbers: dict[str, np.ndarray] = {}
    for name, values in columns.items():
        words, said = WORDS[name]
        unit, factor = said[int(rng.integers(len(said)))]
        scaled = values * factor + {"us": 1080.0, "°F": 32.0}.get(unit, 0.0)
        if unit == "us":
            remark = "throttle: 1080 us is 0 %, 1880 us is 100 %"
        digits = DIGITS.get(name, 2) + (2 if factor < 0.1 else 0)
        headings.append(str(rng.choice(words)))
        units.append(unit)
        cells.append([f"{v:.{digits}f}" if np.isfinite(v) else "" for v in scaled])
        numbers[f"{headings[-1]} [{unit}]"] = scaled
    if rng.random() < 0.1 and clock == "s":
        dirt.append("Parquet")
        out = io.BytesIO()
        pl.DataFrame({"time [s]": time_s, **numbers}).write_parquet(out)
        return out.getvalue()
    if rng.random() < 0.3:
        _junk_columns(headings, units, cells, time_s.size, rng)
        dirt.append("columns of no use")
    dirt += [f"clock {clock}", f"units {style.strip()}"]
    heads = headings if style == "second row" else [
        head + style % unit if unit else head for head, unit in zip(headings, units, strict=True)
    ]  # fmt: skip
    return _as_text(heads, units if style == "second row" else None, cells, remark, rng, dirt)


def _clock_columns(clock: str, time_s: np.ndarray) -> list[tuple[str, str, list[str]]]:
    whole = time_s + START_S
    plain: dict[str, tuple[str, str, Callable[[float], str]]] = {
        "s": ("time", "s", lambda t: f"{t:.3f}"),
        "ms": ("time", "ms", lambda t: f"{1000 * t:.0f}"),
        "us": ("timestamp", "us", lambda t: f"{1e6 * t:.0f}"),
        "minutes": ("elapsed", "", lambda t: f"{max(t, 0.0) // 60:02.0f}:{max(t, 0.0) % 60:06.3f}"),
        "bare ms": ("Zeit", "", lambda t: f"{1000 * t:.0f}"),
    }
    if clock in plain:
        name, unit, write = plain[clock]
        return [(name, unit, [write(t) for t in time_s])]
    clocks = [f"{t // 3600:02.0f}:{t % 3600 // 60:02.0f}:{t % 60:06.3f}" for t in np.round(whole, 3)]
    if clock == "clock":
        return [("Clock", "", clocks)]
    if clock == "iso":
        return [("when", "", [f"2031-05-17T{c}" for c in clocks])]
    if clock == "epoch ms":
        return [("time", "ms", [f"{1936778400000 + 1000 * t:.0f}" for t in whole])]
    return [("date", "", ["17.05.2031"] * time_s.size), ("time", "", clocks)]


def _junk_columns(
    headings: list[str], units: list[str], cells: list[list[str]], rows: int, rng: np.random.Generator
) -> None:
    junk = [
        ("GPS", "", ["48.1N 11.5E"] * rows),
        ("receiver voltage", "V", ["7.9"] * rows),
        ("state", "", ["ok"] * rows),
    ]
    junk += [("servo 1", "us", [f"{v:.0f}" for v in rng.normal(1520, 40, rows)]), ("", "", [""] * rows)]
    for k in rng.permutation(len(junk))[:3]:
        headings.append(junk[k][0])
        units.append(junk[k][1])
        cells.append(junk[k][2])


def _as_text(
    heads: list[str], units: list[str] | None, cells: list[list[str]], remark: str, rng: np.random.Generator,
    dirt: list[str],
) -> bytes:  # fmt: skip
    delimiter = str(rng.choice([",", ";", "\t", ";"]))
    comma = delimiter != "," and rng.random() < 0.5
    quoted = rng.random() < 0.25
    lines = [f"# {remark}"] if remark else []
    if rng.random() < 0.4:
        lines += ["# invented log", "logger: none in particular", "", "flown: Sunday morning, wind 3 m/s"][
            : int(rng.integers(1, 5))
        ]
        dirt.append("remarks above")
    row_of = (lambda row: delimiter.join(f'"{c}"' for c in row)) if quoted else delimiter.join
    lines.append(row_of(heads))
    if units is not None:
        lines.append(row_of(units))
    columns = [[c.replace(".", ",") for c in column] for column in cells] if comma else cells
    rows = [delimiter.join(row) for row in zip(*columns, strict=True)]
    if rng.random() < 0.1:
        rows.insert(len(rows) // 2, row_of(heads))
        dirt.append("headings again in the middle")
    if rng.random() < 0.1:
        rows = [row + delimiter for row in rows]
        dirt.append("a delimiter at the end of rows")
    if rng.random() < 0.15:
        rows[-1] = rows[-1][: len(rows[-1]) // 2]
        dirt.append("the last row breaks off")
    ends = str(rng.choice(["\n", "\r\n", "mixed"]))
    text = "".join(
        line + (ends if ends != "mixed" else "\r\n" if k % 3 else "\n") for k, line in enumerate([*lines, *rows])
    )
    text = text[: -len(ends)] if "the last row breaks off" in dirt and ends != "mixed" else text
    encoding = str(rng.choice(["utf-8", "utf-8-sig", "utf-16", "cp1252"]))
    dirt += [f"parted by {delimiter!r}", f"lines {ends!r}", encoding]
    dirt += ["decimal comma"] if comma else []
    dirt += ["quoted headings"] if quoted else []
    data = text.encode(encoding)
    return gzip.compress(data, 1) if rng.random() < 0.15 else data
