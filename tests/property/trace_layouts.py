"""One invented run, written in many layouts: headings in several languages, units anywhere, any delimiter.

Plain Python and numpy: it imports nothing of the package, so that it cannot agree with it by construction.
"""

import gzip
from dataclasses import dataclass

import numpy as np

RATIO, POLE_PAIRS, CELLS = 9.0, 5.0, 12.0
ROWS, HZ = 240, 20.0

_WRITTEN_AS = {
    "time": (
        "time=s, Zeit=s, temps=s, tempo=ms, Tiempo=s, Tijd=ms, timestamp=us, t=s, elapsed time=s, "
        "Messzeit=ms, seconds=s"
    ),
    "head": (
        "head speed=rpm, Rotordrehzahl=1/min, régime rotor=tr/min, giri rotore=giri/min, "
        "Kopfdrehzahl=U/min, Hoofdrotor toerental=omw/min, velocidad del rotor=rpm, HeadSpeed=rpm, "
        "rotor=rpm, rpm=rpm, Systemdrehzahl=1/min, head rotation=Hz"
    ),
    "motor": (
        "motor speed=rpm, Motordrehzahl=1/min, régime moteur=tr/min, MotorRPM=rpm, velocidad "
        "motor=rpm, motortoerental=rpm, engine speed=rpm, rpm=rpm"
    ),
    "electrical": (
        "electrical speed=rpm, eRPM=rpm, elektrische Drehzahl=1/min, eRPM=1000 rpm, vitesse "
        "électrique=tr/min, Felddrehzahl=1/min"
    ),
    "throttle": (
        "throttle=%, Gas=%, gaz=%, throttle=0..1, Gaskanal=0..1, thr=%, acelerador=%, manetta gas=%, "
        "throttle channel=percent, gaskanaal=%"
    ),
    "duty": (
        "duty=%, Tastgrad=%, PWM=%, controller output=0..1, ESC output=%, rapport cyclique=%, duty "
        "cycle=0..1, Regleröffnung=%, inschakelduur=%"
    ),
    "voltage": (
        "pack voltage=V, Akkuspannung=V, tension batterie=V, voltage=V, U=V, battery voltage=mV, "
        "accuspanning=V, voltage per cell=V/cell, Zellenspannung Mittel=V"
    ),
    "current": (
        "current=A, Strom=A, courant=A, corrente=A, corriente=A, stroom=A, pack current=mA, Akkustrom=A, Amps=A"
    ),
    "charge": (
        "charge used=mAh, Verbrauch=mAh, consommation=mAh, used=Ah, verbruik=mAh, consumo=mAh, entnommene Ladung=mAh"
    ),
    "controller": (
        "controller temperature=°C, ESC temp=°C, Reglertemperatur=°C, ESC temp=°F, temperatura "
        "regolatore=°C, temperatuur regelaar=°C, T ESC=°C"
    ),
    "height": "height=m, Höhe=m, altitude=m, hauteur=m, hoogte=m, Altitude=ft",
    "collective": "collective=deg, Pitch=°, pas collectif=deg, collective pitch=deg, passo collettivo=deg",
}
HEADINGS: dict[str, list[tuple[str, str]]] = {
    key: [(pair.split("=")[0], pair.split("=")[1]) for pair in said.split(", ")] for key, said in _WRITTEN_AS.items()
}
CHANNEL_OF = {
    "head": "head_speed_rpm",
    "motor": "motor_side_speed_rpm",
    "electrical": "motor_side_speed_rpm",
    "throttle": "throttle_percent",
    "duty": "duty",
    "voltage": "pack_voltage_v",
    "current": "pack_current_a",
    "charge": "charge_used_mah",
    "controller": "controller_temperature_c",
    "height": "height_m",
    "collective": "collective_deg",
}
SPEEDS = ("head", "motor", "electrical")
UNIT_STYLES = (" (%s)", " [%s]", " {%s}", "_%s", " - %s", " %s", " in %s", " / %s", "second row")
_SCALE = {"ms": 1e3, "us": 1e6, "Hz": 1 / 60, "1000 rpm": 1e-3, "mV": 1e3, "mA": 1e3, "Ah": 1e-3, "ft": 1 / 0.3048}
_DIGITS = {"time": 3, "head": 2, "motor": 0, "electrical": 3, "throttle": 4, "duty": 4, "charge": 4}


@dataclass(frozen=True, kw_only=True)
class Layout:
    """How one log is written."""

    columns: tuple[tuple[str, str, str], ...]
    unit_style: str
    delimiter: str
    decimal_comma: bool
    encoding: str
    line_end: str
    last_line_ends: bool
    remarks: int
    quoted: bool
    packed: bool


def run() -> dict[str, np.ndarray]:
    """Return what happened, in the units of a trace."""
    t = np.arange(ROWS) / HZ
    spool = np.clip(t / 6.0, 0.0, 1.0)
    current = 1.0 + 25.0 * spool
    return {
        "time": t,
        "head": np.round(2000.0 * spool),
        "throttle": np.where(t > 0.5, 70.0, 0.0),
        "duty": 0.72 * spool,
        "voltage": 50.0 - 0.05 * current,
        "current": current,
        "charge": np.cumsum(current) / HZ / 3.6,
        "controller": 20.0 + 15.0 * t / t[-1],
        "height": 3.0 * np.clip(t - 8.0, 0.0, 60.0),
        "collective": 3.0 * np.sin(t),
    }


def file_bytes(layout: Layout) -> bytes:
    """Return the run as a file in this layout."""
    cells, headings, units = [], [], []
    for key, name, unit in layout.columns:
        numbers, digits = _written(key, name, unit)
        texts = [f"{number:.{digits}f}" for number in numbers]
        cells.append([text.replace(".", ",") for text in texts] if layout.decimal_comma else texts)
        headings.append(name if layout.unit_style == "second row" else name + layout.unit_style % unit)
        units.append(unit)
    quote = '"' if layout.quoted else ""
    rows = [headings, *([units] if layout.unit_style == "second row" else []), *zip(*cells, strict=True)]
    lines = [f"# invented, remark {k}" for k in range(layout.remarks)]
    lines += [layout.delimiter.join(f"{quote}{cell}{quote}" for cell in row) for row in rows]
    text = layout.line_end.join(lines) + (layout.line_end if layout.last_line_ends else "")
    try:
        data = text.encode(layout.encoding)
    except UnicodeEncodeError:
        data = text.encode("utf-8")
    return gzip.compress(data) if layout.packed else data


def _written(key: str, name: str, unit: str) -> tuple[np.ndarray, int]:
    happened = run()
    factor = {"motor": RATIO, "electrical": RATIO * POLE_PAIRS}.get(key, 1.0)
    numbers = happened["head"] * factor if key in SPEEDS else happened[key]
    if key in {"duty", "throttle"}:
        share = numbers if key == "duty" else numbers / 100.0
        return (share if unit == "0..1" else 100.0 * share), _DIGITS[key]
    if unit == "°F":
        return numbers * 1.8 + 32.0, 2
    per_cell = CELLS if "ell" in name else 1.0
    return numbers * _SCALE.get(unit, 1.0) / per_cell, 0 if unit in ("us", "ms") else _DIGITS.get(key, 4)
