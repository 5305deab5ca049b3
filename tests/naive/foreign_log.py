"""Writes a flight of the third invented drive as foreign loggers do: languages, clocks, slow and faulty sensors.

Imports nothing of ours. What was done is kept beside the bytes, and what each column holds.
"""

import gzip
from dataclasses import dataclass, field

import numpy as np
from scipy.signal import lfilter

from tests.naive.foreign_drive import STEP_S
from tests.naive.foreign_flight import Columns, Flight
from tests.naive.foreign_words import EVENTS, FORMS, HEADINGS, ROTATION, SAID_AS

CLOCKS = ("s", "ms", "clock", "epoch ms", "iso", "us wraps", "minutes", "date and clock", "bare s")
START_S = 50_521.4
Cells = list[str]


@dataclass
class Foreign:
    """A log as bytes, what was done to it, and what its columns hold."""

    data: bytes
    dirt: list[str] = field(default_factory=list)
    holds: dict[str, str] = field(default_factory=dict)
    """Heading to the channel that a careful importer makes of it."""
    cells_logged: bool = False
    lag_s: float = 0.0
    twice: bool = False


def foreign_log(flight: Flight, seed: int) -> Foreign:
    """Return the log of a flight, written as the seed draws it."""
    rng = np.random.default_rng([seed, 411])
    log = Foreign(b"")
    hertz = float(rng.choice([5.0, 10.0, 16.0, 20.0, 40.0, 50.0, 100.0, 200.0]))
    jitter = float(rng.choice([0.0, 0.0, 0.15, 0.35]))
    log.dirt.append(f"{hertz:g} Hz" + (f", jitter {jitter}" if jitter else ""))
    end = float(flight.true["time"][-1])
    steps = rng.normal(1.0, jitter, int(end * hertz)).clip(0.2, 3.0) / hertz
    when = np.cumsum(steps)
    when = when[when < end]
    columns = _sensed(flight, when, hertz, rng, log)
    _speed_faults(columns, hertz, rng, log)
    columns = _own_rates(columns, when, hertz, rng, log)
    if rng.random() < 0.2:
        keep = np.ones(when.size, bool)
        for at in rng.integers(0, when.size, int(rng.integers(1, 6))):
            keep[at : at + int(rng.uniform(0.2, 1.5) * hertz) + 1] = False
        when, columns = when[keep], {name: values[keep] for name, values in columns.items()}
        log.dirt.append("rows lost")
    log.data = _written(flight, when, columns, rng, log)
    return log


def _sensed(flight: Flight, when: np.ndarray, hertz: float, rng: np.random.Generator, log: Foreign) -> Columns:
    true, speed = flight.true, str(rng.choice(["head", "head", "motor", "erpm"]))
    log.lag_s = float(rng.choice([rng.uniform(0.0, 0.05), rng.uniform(0.0, 0.05), rng.uniform(0.05, 0.5)]))
    keep = ["throttle", "duty", "volt", "amp"]
    if rng.random() < 0.4:
        keep.remove(str(rng.choice(keep)))
    keep += [name for name in ("charge", "height", "stick", "warm") if rng.random() < 0.5]
    log.dirt += [f"{speed} speed", f"lag {log.lag_s:.2f}"]
    log.dirt += [f"no {name}" for name in ("throttle", "duty", "volt", "amp") if name not in keep]
    noises = {speed: rng.uniform(0.2, 4.0), "amp": 0.004 * flight.owner["burst_a"], "volt": 0.01, "height": 0.1}
    out: Columns = {}
    for name in (speed, *keep):
        lag = log.lag_s if name == speed else {"amp": 0.05, "volt": 0.02, "height": 0.4, "warm": 1.0}.get(name, 0.0)
        values = true["motor" if name == "erpm" else name]
        if lag > 0.0:
            share = STEP_S / (lag + STEP_S)
            values = lfilter([share], [1.0, share - 1.0], values, zi=[(1.0 - share) * values[0]])[0]
        out[name] = np.interp(when, true["time"], values) + noises.get(name, 0.0) * rng.standard_normal(when.size)
    if "amp" in out:
        offset = float(rng.choice([0.0, 0.0, rng.uniform(-0.8, 0.8)]))
        out["amp"] = np.maximum(out["amp"] + offset, 0.0) if rng.random() < 0.6 else out["amp"] + offset
        log.dirt += [f"current off by {offset:.1f} A"] if offset else []
    turns = {"head": 1.0, "motor": flight.drive.ratio, "erpm": flight.drive.ratio * flight.owner["poles"] / 2.0}[speed]
    coarse = float(rng.choice([1.0, 1.0, 10.0, 30.0, 60.0 if speed != "head" else 10.0]))
    out[speed] = np.round(np.maximum(out[speed], 0.0) * turns / coarse) * coarse
    log.dirt += [f"speed in steps of {coarse:g}"] if coarse > 1.0 else []
    return out


def _speed_faults(columns: Columns, hertz: float, rng: np.random.Generator, log: Foreign) -> None:
    speed = next(iter(columns))
    values, rows = columns[speed], columns[speed].size
    kind = str(rng.choice(["none", "none", "none", "doubled", "halved", "zeros", "last kept", "spikes", "stuck"]))
    for at in rng.integers(1, rows - 1, int(rng.integers(3, 25))):
        long = 1 + int(rng.uniform(0.0, 0.15) * hertz)
        if kind in ("doubled", "halved", "zeros"):
            values[at : at + long] *= {"doubled": 2.0, "halved": 0.5, "zeros": 0.0}[kind]
        elif kind == "spikes":
            values[at] *= rng.choice([0.3, 1.5, 4.0])
        elif kind == "last kept":
            values[at : at + int(rng.uniform(0.1, 0.6) * hertz) + 1] = values[at - 1]
    if kind == "stuck":
        for at in rng.integers(1, rows - 1, int(rng.integers(1, 6))):
            values[at : at + int(rng.uniform(0.3, 3.0) * hertz) + 1] = values[at - 1]
    log.dirt += [f"speed {kind}"] if kind != "none" else []


def _own_rates(columns: Columns, when: np.ndarray, hertz: float, rng: np.random.Generator, log: Foreign) -> Columns:
    """Let each sensor bring values at its own rate; between them cells are blank, or repeat."""
    if hertz < 16.0 or rng.random() > 0.35:
        return columns
    blank = bool(rng.random() < 0.5)
    log.dirt.append("own rates, " + ("blank between" if blank else "repeated between"))
    speed, out = next(iter(columns)), {}
    for name, values in columns.items():
        own = min(hertz, float(rng.choice([10.0, 20.0, 50.0]) if name == speed else rng.choice([2.0, 5.0, 10.0, 20.0])))
        own = hertz if name in ("throttle", "stick", "duty") and rng.random() < 0.7 else max(own, 5.0)
        beat = np.floor(when * own + rng.random())
        fresh = np.flatnonzero(np.diff(beat, prepend=beat[0] - 1.0) > 0)
        held = values[fresh][np.searchsorted(fresh, np.arange(when.size), side="right") - 1]
        out[name] = held
        if blank:
            out[name] = np.where(np.isin(np.arange(when.size), fresh), values, np.nan)
        log.dirt.append(f"{name} {own:g} Hz")
    return out


def _written(flight: Flight, when: np.ndarray, columns: Columns, rng: np.random.Generator, log: Foreign) -> bytes:
    tongue = str(rng.choice(list(HEADINGS)))
    words = HEADINGS[tongue]
    comma = tongue != "en" and rng.random() < 0.75
    delimiter = str(rng.choice([";", ";", "\t", ","] if not comma else [";", ";", "\t"]))
    style = str(rng.choice([" (%s)", " [%s]", " %s", "_%s", "second row"]))
    grouped = str(rng.choice(["", "", "", "", "'", " ", "." if comma else ","]))
    grouped = grouped if delimiter != "," else ""
    log.dirt += [tongue, f"parted by {delimiter!r}", f"units {style}"] + (["decimal comma"] if comma else [])
    rows: list[tuple[str, str, Cells]] = _clock(str(rng.choice(CLOCKS)), when, words, rng, log)
    if comma and "-" not in rows[0][2][0]:
        rows = [(head, unit, [cell.replace(".", ",") for cell in cells]) for head, unit, cells in rows]
    for name, values in columns.items():
        heading = str(rng.choice(words[name]))
        if name in ("head", "motor", "erpm"):
            unit, factor, offset, digits = str(rng.choice(ROTATION[tongue])), 1.0, 0.0, 0
            if name == "erpm" and rng.random() < 0.6:
                heading, unit, factor = "eRPM/100", "", 0.01
        else:
            forms = FORMS[name]
            unit, factor, offset, digits = forms[int(rng.integers(len(forms)))]
        if name == "volt" and rng.random() < 0.35:
            rows += _cells(flight, when, values, words, comma, rng, log)
            continue
        log.holds[heading] = SAID_AS[name]
        log.dirt.append(f"{name} as {unit or 'bare number'}" + (" /100" if factor == 0.01 and name == "erpm" else ""))
        rows.append((heading, unit, [_number(v * factor + offset, digits, grouped, comma) for v in values]))
    log.dirt += [f"thousands {grouped!r}"] if grouped else []
    rows += _idle_columns(tongue, when.size, rng, log)
    return _text(rows, tongue, delimiter, style, rng, log)


def _number(value: float, digits: int, grouped: str, comma: bool = False) -> str:
    if not np.isfinite(value):
        return ""
    whole, _, part = f"{value:,.{digits}f}".partition(".")
    whole = whole.replace(",", grouped)
    return whole + ("," if comma else ".") + part if part else whole


def _cells(flight: Flight, when: np.ndarray, volt: np.ndarray, words: dict[str, tuple[str, ...]],
           comma: bool, rng: np.random.Generator, log: Foreign) -> list[tuple[str, str, Cells]]:  # fmt: skip
    """Write a column for each cell, one of them the weakest."""
    count, name = int(flight.drive.cells), str(rng.choice(words["cell"]))
    drawn = np.interp(when, flight.true["time"], flight.true["amp"])
    weakest = int(rng.integers(count))
    lost = flight.weak_cell_ohm * drawn
    log.cells_logged = True
    log.dirt.append("a column for each cell")
    out = []
    for k in range(count):
        values = volt / count - (lost if k == weakest else -lost / (count - 1))
        out.append((f"{name} {k + 1}", "V", [_number(v, 3, "", comma) for v in values]))
    return out


def _clock(clock: str, when: np.ndarray, words: dict[str, tuple[str, ...]], rng: np.random.Generator,
           log: Foreign) -> list[tuple[str, str, Cells]]:  # fmt: skip
    name = str(rng.choice(words["time"]))
    whole = np.round(when + START_S, 3)
    log.dirt.append(f"clock {clock}")
    stamps = [f"{t // 3600:02.0f}:{t % 3600 // 60:02.0f}:{t % 60:06.3f}" for t in whole]
    if clock in ("s", "bare s"):
        return [(name, "s" if clock == "s" else "", [f"{t:.3f}" for t in when])]
    if clock == "ms":
        return [(name, "ms", [f"{1000 * t:.0f}" for t in when])]
    if clock == "epoch ms":
        return [(name, str(rng.choice(["ms", ""])), [f"{1893456000000 + 1000 * t:.0f}" for t in whole])]
    if clock == "us wraps":
        counts = [(2**32 - 41_000_000 + int(1e6 * t)) % 2**32 for t in when]
        return [(name, str(rng.choice(["µs", "us"])), [str(count) for count in counts])]
    if clock == "minutes":
        return [(name, "", [f"{t // 60:02.0f}:{t % 60:06.3f}" for t in when])]
    if clock == "iso":
        mark, end = str(rng.choice(["T", " "])), str(rng.choice(["", "Z", "+01:00"]))
        return [(name, "", [f"2030-03-09{mark}{c}{end}" for c in stamps])]
    if clock == "date and clock":
        date = str(rng.choice(["09.03.2030", "2030-03-09", "09/03/2030"]))
        return [("Datum" if words is HEADINGS["de"] else "Date", "", [date] * when.size), (name, "", stamps)]
    return [(name, "", stamps)]


def _idle_columns(tongue: str, rows: int, rng: np.random.Generator, log: Foreign) -> list[tuple[str, str, Cells]]:
    event, model = EVENTS[tongue]
    out: list[tuple[str, str, Cells]] = []
    if rng.random() < 0.3:
        out.append((event, "", ["ok" if k % 400 == 0 else "" for k in range(rows)]))
    if rng.random() < 0.2:
        out.append((model, "", ["Nr 7"] * rows))
    if rng.random() < 0.3:
        out.append(("", "", [""] * rows))
    if rng.random() < 0.2:
        out.append(("BEC", "V", ["8"] * rows))
    log.dirt += ["columns of no use"] if out else []
    return out


def _text(rows: list[tuple[str, str, Cells]], tongue: str, delimiter: str, style: str, rng: np.random.Generator,
          log: Foreign) -> bytes:  # fmt: skip
    quoted = rng.random() < 0.2
    line_of = (lambda cells: delimiter.join(f'"{c}"' for c in cells)) if quoted else delimiter.join
    heads = [h if not u or style == "second row" else h + style % u for h, u, _ in rows]
    top = [line_of(heads)]
    if style == "second row":
        top.append(line_of([str(u) for _, u, _ in rows]))
    mark = str(rng.choice(["# ", "; ", "// ", ""]))
    remarks = [f"{mark}invented log {tongue}", f"{mark}firmware none; cells as written"] if rng.random() < 0.3 else []
    log.dirt += ["quoted"] * quoted + [f"remarks {mark!r}"] * bool(remarks)
    body = [line_of(cells) for cells in zip(*(c for _, _, c in rows), strict=True)]
    chance = rng.random()
    if chance < 0.1:
        body[len(body) // 2 : len(body) // 2] = top
        log.dirt.append("headings again in the middle")
    elif chance < 0.2:
        body = [*body, *remarks, *top, *body]
        log.twice = True
        log.dirt.append("two logs in one file")
    if rng.random() < 0.15:
        body[-1] = body[-1][: len(body[-1]) * 2 // 3]
        log.dirt.append("last row breaks off")
    ends = str(rng.choice(["\n", "\r\n"]))
    text = ends.join([*remarks, *top, *body]) + ("" if "last row breaks off" in log.dirt else ends)
    narrow = "cp1250" if tongue == "pl" else "latin-1"
    coding = str(rng.choice(["utf-8", "utf-8-sig", "utf-16", narrow]))
    log.dirt += [coding, f"ends {ends!r}"]
    data = text.encode(coding, "replace")
    return gzip.compress(data, 1) if rng.random() < 0.1 else data
