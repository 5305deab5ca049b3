"""Files to be survived, one for each seed: random bytes and tables, logs in many layouts, spoilt real ones.

The same seed always gives the same bytes, so that a case that was not survived can be looked at again.
"""

import gzip
import io
import random
import re
import struct
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
import polars as pl

from tests.given_machine import machine_text
from tests.property.test_judge_any_trace import GIVEN
from tests.property.trace_layouts import HEADINGS, SPEEDS, UNIT_STYLES, Layout, file_bytes

ROOT = Path(__file__).parents[2]
DATA = ROOT / "tests" / "data"
REAL = sorted(
    path
    for path in [*(DATA / "logs").iterdir(), *(DATA / "malformed").iterdir()]
    if path.suffix not in (".json", ".md", "")
)
PIECES = [b",", b";", b"\t", b'"', b"\n", b"\r", b"\0", b"nan", b"inf", b"1e999", b"-", b"--", b"99999999999999999999"]
PIECES += [b"\xff", b"\xc3", b"#", b"(rpm)", b"[", b" ", b"0x1F", b"1_000", b"2031-03-09T10:15:30Z", b"12:61:99"]
PIECES += [b"PAR1", b"1,2,3", b"cell 1 (V)", b"head speed (rpm)", b"time (s)", b"\xe2\x80\xa8", b"1.2.3", b"=1+1"]
PIECES += [b"\x1f\x8b", b"0.0.0", b"1e-400", b"\xff\xfe", b"\xef\xbb\xbf", b" 5 V", b"24:00:00", b"-0", b"\x85"]
CELLS = ["", "--", "nan", "1,5", "1.234,5", "12:30:01", "2031-03-09", '"', "°C", "=1", "x", " 3 ", "5 V", "1e400"]
CELLS += ["-inf", "٣", "1'000", "0x10", "True", "0", "99999999999999999999", "-1e-320", "\x85", "\u2028", "a;b", "a,b"]
NAMES = ["time (s)", "Zeit", "head speed (rpm)", "rpm", "cell 1 (V)", "cell 2 (V)", "duty", "throttle (µs)", "%", ""]
NAMES += ["mAh", "A", "GPS", "Clock", "eRPM", "date", "x" * 300, "temp °F", "height [ft]", "column 1"]


class Case(NamedTuple):
    """One file: what it is meant to be, who reads it, and its bytes."""

    kind: str
    reader: str
    """log, sound or machine."""
    data: bytes


def case_of(seed: int) -> Case:
    """Return the case of a seed; the kinds follow each other by their weights."""
    chance = random.Random(f"case {seed}")
    kind = KINDS[seed % len(KINDS)]
    make, reader = MAKERS[kind]
    return Case(kind, reader, make(chance))


def _bytes(chance: random.Random) -> bytes:
    head = chance.choice([b"", b"", b"PAR1", b"MDF     ", b"\x1f\x8b\x08", b"\xff\xfe", b"\xef\xbb\xbf", b"RIFF"])
    return head + chance.randbytes(chance.choice([0, 1, 20, 300, 3000]))


def _table(chance: random.Random) -> bytes:
    delimiter = chance.choice([",", ";", "\t", "|", " "])
    width = chance.randrange(1, 7)
    end = chance.choice(["\n", "\r\n", "\r", "\n\n"])
    rows = [["t", *(chance.choice(NAMES) for _ in range(width))]]
    odd = chance.choice([0.0, 0.1, 1.0])
    for at in range(chance.choice([0, 1, 2, 25, 120])):
        cells = width if chance.random() < 0.95 else chance.randrange(1, 9)
        rows.append([_moment(chance, at, odd), *(_cell(chance, odd) for _ in range(cells))])
    text = end.join(delimiter.join(row) for row in rows)
    return text.encode(chance.choice(["utf-8", "utf-8-sig", "utf-16", "utf-16-be"]), "surrogatepass")


def _moment(chance: random.Random, at: int, odd: float) -> str:
    return _cell(chance, 1.0) if chance.random() < 0.1 * odd else f"{0.05 * at:.2f}"


def _cell(chance: random.Random, odd: float) -> str:
    if chance.random() < odd:
        return chance.choice(CELLS)
    size = 10.0 ** chance.randrange(-3, 6)
    return chance.choice([f"{chance.gauss(0, size):.3f}", str(int(chance.gauss(0, size)))])


def _layout(chance: random.Random) -> Layout:
    others = [key for key in HEADINGS if key not in ("time", *SPEEDS)]
    keys = ["time", chance.choice(SPEEDS), *chance.sample(others, chance.randrange(2, 6))]
    delimiter = chance.choice([",", ";", "\t", "|"])
    return Layout(
        columns=tuple((key, *chance.choice(HEADINGS[key])) for key in keys),
        unit_style=chance.choice(UNIT_STYLES),
        delimiter=delimiter,
        decimal_comma=delimiter != "," and chance.random() < 0.5,
        encoding=chance.choice(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"]),
        line_end=chance.choice(["\n", "\r\n", "\r"]),
        last_line_ends=chance.random() < 0.5,
        remarks=chance.randrange(6),
        quoted=chance.random() < 0.5,
        packed=False,
    )


def _spoilt_layout(chance: random.Random) -> bytes:
    return _spoilt(_cut(file_bytes(_layout(chance)), chance), chance)


def _cut(data: bytes, chance: random.Random) -> bytes:
    """Most cases are short, so that there can be many."""
    return data[: chance.choice([1200, 2400, 4000, 10**9])]


def _spoilt_real(chance: random.Random) -> bytes:
    path = chance.choice(REAL)
    data = path.read_bytes()
    packed = path.suffix in (".gz", ".parquet")
    return _spoilt(data[:200_000] if packed else _cut(data[:20_000], chance), chance)


def _pasted(chance: random.Random) -> bytes:
    """Two logs in one file, headings and all, each perhaps in its own layout."""
    first = file_bytes(_layout(chance))
    second = first if chance.random() < 0.5 else file_bytes(_layout(chance))
    return _spoilt(_cut(first[: chance.randrange(len(first))], chance) + _cut(second, chance), chance)


def _gzip(chance: random.Random) -> bytes:
    inner = chance.choice([_spoilt_layout, _spoilt_real, _bytes])(chance)
    packed = gzip.compress(inner, chance.choice([1, 9]))
    if chance.random() < 0.3:
        packed += packed
    return packed if chance.random() < 0.3 else _spoilt(packed, chance)


def _parquet(chance: random.Random) -> bytes:
    whole = _frame_bytes(chance.randrange(1000))
    return whole if chance.random() < 0.3 else _spoilt(whole, chance, near=10**9)


@cache
def _frame_bytes(number: int) -> bytes:
    chance = random.Random(f"frame {number}")
    rows = chance.choice([0, 1, 2, 40, 400])
    columns: dict[str, pl.Series] = {}
    for name in ["time (s)", *chance.sample(NAMES, 4)]:
        columns[name] = _odd_series(name, rows, chance)
    out = io.BytesIO()
    packing = chance.choice(["zstd", "snappy", "lz4", "gzip", "uncompressed"])
    pl.DataFrame(list(columns.values())).write_parquet(
        out, compression=packing, row_group_size=chance.choice([7, 1000])
    )
    return out.getvalue()


def _odd_series(name: str, rows: int, chance: random.Random) -> pl.Series:
    numbers = [0.05 * at for at in range(rows)]
    kind = chance.randrange(9) if name != "time (s)" else 0
    makers: list[Callable[[], pl.Series]] = [
        lambda: pl.Series(name, numbers),
        lambda: pl.Series(name, [float("nan"), float("inf"), None, 1e308][:rows] * (rows // 4 + 1)).head(rows),
        lambda: pl.Series(name, [chance.choice(CELLS) for _ in numbers], dtype=pl.String),
        lambda: pl.Series(name, [int(1000 * n) for n in numbers]).cast(pl.Duration("ms")),
        lambda: pl.Series(name, [int(1e6 * n) for n in numbers]).cast(pl.Datetime("us")),
        lambda: pl.Series(name, [[n] for n in numbers], dtype=pl.List(pl.Float64)),
        lambda: pl.Series(name, [{"a": n} for n in numbers], dtype=pl.Struct({"a": pl.Float64})),
        lambda: pl.Series(name, [b"\0\xff" for _ in numbers], dtype=pl.Binary),
        lambda: pl.Series(name, [n > 1.0 for n in numbers], dtype=pl.Boolean),
    ]
    series = makers[kind]()
    return series if series.len() == rows else pl.Series(name, [None] * rows, dtype=pl.Float64)


def _mdf(chance: random.Random) -> bytes:
    return _spoilt(_mdf_bytes(chance.randrange(8)), chance)


@cache
def _mdf_bytes(number: int) -> bytes:
    from asammdf import MDF, Signal

    file = MDF(version=["4.10", "4.20", "3.30", "4.11"][number % 4])
    quick, slow = np.arange(0.0, 4.0, 0.02), np.arange(0.03, 5.0, 0.2)
    file.append(
        [
            Signal(2000.0 * np.clip(quick, 0.0, 1.0), quick, name="head speed", unit="rpm"),
            Signal((70 * (quick > 1.0)).astype("u1"), quick, name="throttle", unit="%"),
        ]
    )
    file.append([Signal(50.0 - slow, slow, name="pack voltage", unit="V")])
    if number >= 4:
        file.append([Signal(np.array([b"idle"] * slow.size), slow, name="state", encoding="utf-8")])
    with tempfile.TemporaryDirectory() as folder:
        compression = (number // 2) % 3 if number % 4 != 2 else 0
        saved = file.save(Path(folder) / "log", overwrite=True, compression=compression)
        file.close()
        return Path(saved).read_bytes()


def _wav(chance: random.Random) -> bytes:
    rate, channels = chance.choice([8000, 22050, 44100]), chance.choice([1, 2])
    wave = chance.randbytes(2 * channels * chance.choice([0, 100, rate // 2, rate]))
    form = struct.pack("<HHIIHH", 1, channels, rate, rate * channels * 2, channels * 2, 16)
    head = b"RIFF" + struct.pack("<I", len(wave) + 36) + b"WAVEfmt " + struct.pack("<I", 16) + form
    data = head + b"data" + struct.pack("<I", len(wave)) + wave
    return data if chance.random() < 0.1 else _spoilt(data, chance, near=60)


def _toml(chance: random.Random) -> bytes:
    text = chance.choice([machine_text(GIVEN), *_bundled()])
    if chance.random() < 0.4:
        return re.sub(r"\d+", lambda found: _other_number(found[0], chance), text).encode()
    data = bytearray(text.encode())
    for _ in range(chance.choice([1, 1, 3, 20])):
        at = chance.randrange(len(data) + 1)
        piece = chance.choice([*TOML_PIECES, data[at : at + 60]])
        data[at : at + chance.choice([0, 1, len(piece), 40])] = piece
    return bytes(data) if chance.random() < 0.7 else _spoilt(bytes(data), chance)


def _other_number(number: str, chance: random.Random) -> str:
    """Most numbers stay; a few become others, so that the file is whole and its values are odd."""
    if chance.random() < 0.97:
        return number
    return chance.choice(["0", "1", "-5", "99999", "1e9", "1e-9", "0.5", "7", "nan", "1e400", str(int(number) * 3)])


TOML_PIECES = [b'"', b"'''", b"[", b"]", b"[[", b"=", b"\n", b"nan", b"inf", b"-1", b'"1e400 m"', b'"5 kg"', b"{", b"}"]
TOML_PIECES += [b"a.b.c = 1\n", b'"5 m +- 300 %"', b"\x00", b"[rotor]\n", b"1979-05-27", b"0x", b"[[flight_mode]]\n"]
TOML_PIECES += [
    b'"-3 rpm"',
    b"true",
    b"# ",
    b'"\\u0000"',
    b"1_0",
    b'"5 m**9999"',
    b'"10 ^ 10 ^ 10 m"',
    b'"1/0 m"',
    b",",
]


@cache
def _bundled() -> tuple[str, ...]:
    folder = ROOT / "src" / "steadyhead" / "machine"
    return tuple(path.read_text("utf-8") for path in sorted(folder.rglob("*.toml")) if path.stat().st_size < 100_000)


def _spoilt(whole: bytes, chance: random.Random, near: int = 400) -> bytes:
    data = bytearray(whole)
    for _ in range(chance.choice([1, 2, 5, 40])):
        at = chance.randrange(min(len(data), chance.choice([near, 10**9])) + 1)
        deed = chance.random()
        if deed < 0.3 and data:
            data[at % len(data)] = chance.randrange(256)
        elif deed < 0.6:
            data[at:at] = chance.choice(PIECES)
        elif deed < 0.8:
            del data[at : at + chance.choice([1, 3, 50, 1000])]
        elif deed < 0.9:
            other = chance.randrange(len(data) + 1)
            data[at:at] = data[other : other + chance.choice([5, 80, 500])]
        else:
            data[at:at] = chance.randbytes(chance.choice([1, 10]))
    return bytes(data)


MAKERS: dict[str, tuple[Callable[[random.Random], bytes], str]] = {
    "random bytes": (_bytes, "log"),
    "random table": (_table, "log"),
    "spoilt log in any layout": (_spoilt_layout, "log"),
    "spoilt log of tests/data": (_spoilt_real, "log"),
    "two logs in one": (_pasted, "log"),
    "gzip": (_gzip, "log"),
    "Parquet": (_parquet, "log"),
    "MDF": (_mdf, "log"),
    "WAV": (_wav, "sound"),
    "machine file": (_toml, "machine"),
}
KINDS = ["random bytes"] + ["random table"] * 3 + ["spoilt log in any layout"] * 4 + ["spoilt log of tests/data"] * 3
KINDS += ["two logs in one"] * 2 + ["gzip"] * 2 + ["Parquet"] * 2 + ["MDF", "WAV", "machine file"]
