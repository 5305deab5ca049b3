"""Dirt of our own, from file to verdict: a sound flight fails nothing whatever the logger did, a bad one still does."""

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.words.verdict import Outcome
from tests.naive.drive_log import Drive, fly, logged
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import flight

GEARING = Gearing(MACHINE.gear_ratio, MACHINE.pole_pairs, float(MACHINE.cells))
SOUND = Drive()
WEAK = Drive(pack_v=38.0, pack_resistance=0.06)
HUNTING = Drive(hunting_above_percent=65.0, hunting_factor=4.0, delay_s=0.04)
FAULTS = {"climb_droop": WEAK, "no_hunting": HUNTING}
ENGLISH = {
    "time": "time (s)", "head": "head speed (rpm)", "throttle": "throttle (%)", "duty": "duty",
    "volt": "pack voltage (V)", "amp": "current (A)", "height": "height (m)", "collective": "collective (deg)",
}  # fmt: skip
GERMAN = {
    "time": "Zeit [s]", "head": "Rotordrehzahl [1/min]", "throttle": "Gas [%]", "duty": "Regleröffnung [0..1]",
    "volt": "Akkuspannung [V]", "amp": "Strom [A]", "height": "Höhe [m]", "collective": "Kollektiv-Pitch [°]",
}  # fmt: skip
FRENCH = {
    "time": "temps (s)", "head": "régime rotor (tr/min)", "throttle": "gaz (%)", "duty": "rapport cyclique (0..1)",
    "volt": "tension batterie (V)", "amp": "courant (A)", "height": "altitude (m)", "collective": "pas collectif (°)",
}  # fmt: skip
Columns = dict[str, np.ndarray]


@lru_cache
def recorded(name: str, hertz: float) -> tuple[tuple[str, np.ndarray], ...]:
    drive = {"sound": SOUND, **FAULTS}[name]
    mode = 80.0 if name == "climb_droop" else 70.0
    time_s, columns = logged(fly(drive, flight(mode_percent=mode)), min(hertz, 200.0))
    if hertz > 200.0:
        fine = np.arange(time_s[0], time_s[-1], 1.0 / hertz)
        columns = {key: np.interp(fine, time_s, values) for key, values in columns.items()}
        time_s = fine
    return (("time", time_s), *columns.items())


def columns_of(name: str, hertz: float = 50.0) -> Columns:
    return {key: values.copy() for key, values in recorded(name, hertz) if key != "motor"}


def judged(folder: Path, columns: Columns, headings: dict[str, str] = ENGLISH, comma: bool = False) -> Judgement:
    names = [key for key in headings if key in columns]
    lines = [(";" if comma else ",").join(headings[key] for key in names)]
    for row in zip(*(columns[key] for key in names), strict=True):
        cells = [f"{cell:.4f}" if np.isfinite(cell) else "" for cell in row]
        lines.append(";".join(cells).replace(".", ",") if comma else ",".join(cells))
    path = folder / "dirty.csv"
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return judge(MACHINE, read_trace(path, gearing=GEARING, remember=False))


def failing(judgement: Judgement) -> set[str]:
    return {c.check for c in judgement.checks if c.verdict is Outcome.FAIL}


def jittered(columns: Columns) -> Columns:
    rng = np.random.default_rng(1)
    step = float(np.median(np.diff(columns["time"])))
    return {**columns, "time": columns["time"] + rng.uniform(-0.4, 0.4, columns["time"].size) * step}


def dropping_out(columns: Columns) -> Columns:
    rng = np.random.default_rng(2)
    keep = np.ones(columns["time"].size, bool)
    for start in rng.integers(500, keep.size - 500, 12):
        keep[start : start + int(rng.integers(2, 15))] = False
    return {key: values[keep] for key, values in columns.items()}


def doubling(columns: Columns) -> Columns:
    rng = np.random.default_rng(3)
    head = columns["head"].copy()
    for row in rng.integers(0, head.size, 60):
        head[row] *= 2.0 if row % 2 else 0.5
    return {**columns, "head": head}


def holed(columns: Columns) -> Columns:
    rng = np.random.default_rng(4)
    out = dict(columns)
    for key in ("head", "volt", "amp", "height"):
        out[key] = np.where(rng.random(columns[key].size) < 0.03, np.nan, columns[key])
    return out


def lagging(columns: Columns) -> Columns:
    """Speed and current each through a further lag of 0.1 s, as averaging loggers have."""
    out = dict(columns)
    share = float(np.median(np.diff(columns["time"]))) / 0.1
    for key in ("head", "amp"):
        values, now = columns[key].copy(), columns[key][0]
        for k, value in enumerate(columns[key]):
            now += min(share, 1.0) * (value - now)
            values[k] = now
        out[key] = values
    return out


def beginning_in_the_air(columns: Columns) -> Columns:
    later = columns["time"] >= 60.0
    return {key: values[later] for key, values in columns.items()}


DIRT = (jittered, dropping_out, doubling, holed, lagging, beginning_in_the_air)


@pytest.mark.parametrize("dirt", DIRT, ids=lambda dirt: dirt.__name__)
def test_a_sound_flight_fails_nothing_for_dirt_alone(dirt: Callable[[Columns], Columns], tmp_path: Path) -> None:
    got = judged(tmp_path, dirt(columns_of("sound")))
    assert failing(got) == set()
    assert {c.check: c.verdict for c in got.checks}["climb_droop"] is Outcome.PASS


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("dirt", DIRT, ids=lambda dirt: dirt.__name__)
def test_a_bad_flight_still_fails_under_dirt(fault: str, dirt: Callable[[Columns], Columns], tmp_path: Path) -> None:
    assert fault in failing(judged(tmp_path, dirt(columns_of(fault))))


@pytest.mark.parametrize("hertz", [5.0, 1000.0])
def test_a_slow_and_a_quick_logger_fail_no_sound_flight(hertz: float, tmp_path: Path) -> None:
    got = judged(tmp_path, columns_of("sound", hertz))
    assert failing(got) == set()
    assert [s.kind for s in got.segments][:4] == ["rest", "soft_spool", "governed", "governed"]


@pytest.mark.parametrize("hertz", [5.0, 1000.0])
def test_a_slow_and_a_quick_logger_show_a_droop_that_is_there(hertz: float, tmp_path: Path) -> None:
    assert "climb_droop" in failing(judged(tmp_path, columns_of("climb_droop", hertz)))


@pytest.mark.parametrize(("headings", "comma"), [(GERMAN, True), (FRENCH, True), (FRENCH, False), (ENGLISH, True)])
def test_the_language_and_the_decimal_mark_change_no_verdict(
    headings: dict[str, str], comma: bool, tmp_path: Path
) -> None:
    plain = judged(tmp_path, columns_of("climb_droop"))
    other = judged(tmp_path, columns_of("climb_droop"), headings, comma)
    assert {c.check: c.verdict for c in other.checks} == {c.check: c.verdict for c in plain.checks}


@pytest.mark.parametrize("missing", ["throttle", "duty", "volt", "amp", "height", "collective"])
def test_a_missing_channel_makes_nothing_fail_and_no_droop_pass(missing: str, tmp_path: Path) -> None:
    sound = {key: values for key, values in columns_of("sound").items() if key != missing}
    assert failing(judged(tmp_path, sound)) == set()
    bad = {key: values for key, values in columns_of("climb_droop").items() if key != missing}
    droop = next(c for c in judged(tmp_path, bad).checks if c.check == "climb_droop")
    assert droop.verdict is not Outcome.PASS


@pytest.mark.parametrize(("heading", "pairs"), [("motor speed (rpm)", 1.0), ("eRPM", MACHINE.pole_pairs)])
def test_a_motor_or_electrical_speed_shows_the_same_droop(heading: str, pairs: float, tmp_path: Path) -> None:
    columns = columns_of("climb_droop")
    columns["head"] = columns["head"] * MACHINE.gear_ratio * pairs
    got = judged(tmp_path, columns, {**ENGLISH, "head": heading})
    assert "climb_droop" in failing(got)


def test_a_doubled_speed_throughout_is_asked_about_or_warned_of(tmp_path: Path) -> None:
    columns = columns_of("sound")
    columns["head"] = 2.0 * columns["head"]
    got = judged(tmp_path, columns)
    assert any("turns" in warning or "Kv" in warning for warning in got.warnings), got.warnings
