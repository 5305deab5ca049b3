"""Reads a scenario file (TOML); every trouble names file, line, step and key."""

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from steadyhead.flight.scenario import HOLD, Do, Scenario, Start, Step
from steadyhead.machine.kind import Kind
from steadyhead.machine.lines import key_lines, line_of
from steadyhead.machine.quantity import NotAQuantity, parsed, shown
from steadyhead.words.errors import InputError, did_you_mean

FOLDER = Path(__file__).parent / "scenarios"
BUNDLED = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))
LARGEST = 100_000
MOST_STEPS = 200
LONGEST_S = 1800.0
RIGHT = "a scenario file in TOML, or one of " + ", ".join(BUNDLED)


def _kind(family: str, unit: str, low: float, high: float, example: str) -> Kind:
    return Kind(family=family, unit=unit, low=low, high=high, example=example)


TIME = _kind("time", "s", 0.01, LONGEST_S, "5 s")
ANGLE = _kind("angle", "deg", -20, 20, "10 deg")
HEIGHT = _kind("length", "m", 0, 500, "10 m")
SPEED = _kind("speed", "m/s", -30, 40, "8 m/s")
FACTOR = _kind("share", "", 0, 8, "2.5")
CHARGE = _kind("share", "", 0.01, 1, "0.95")
KINDS = {
    "for": TIME, "over": TIME, "period": TIME, "collective": ANGLE, "low": ANGLE, "height": HEIGHT, "climb": SPEED,
    "forward": SPEED, "load_factor": FACTOR,
}  # fmt: skip
FIELDS = {
    "for": "for_s", "over": "over_s", "period": "period_s", "collective": "collective_rad", "low": "low_rad",
    "height": "height_m", "climb": "climb_m_s", "forward": "forward_m_s", "load_factor": "load_factor",
}  # fmt: skip
TAKES = {
    Do.WAIT: (),
    Do.COLLECTIVE: ("collective", "over"),
    Do.HOVER: ("height", "climb"),
    Do.CLIMB: ("collective", "over"),
    Do.PUMP: ("collective", "low", "period"),
    Do.CYCLIC: ("load_factor", "period"),
    Do.GLIDE: ("collective", "over", "forward"),
    Do.LAND: (),
}
"""Keys of each kind of step, besides do, for and switch."""
TOP = ("name", "says", "blades", "start", "switch", "height", "charge", "step", "replay")


class _Place(NamedTuple):
    file: str
    lines: Mapping[tuple[str | int, ...], int]

    def of(self, *path: str | int) -> str:
        """Say file, line, number of the step, and key."""
        line = line_of(self.lines, path)
        parts = [f"{self.file} line {line}" if line else self.file]
        if len(path) > 1 and path[0] == "step":
            parts.append(f"step {int(path[1]) + 1}")
        if isinstance(path[-1], str) and path[-1] != "step":
            parts.append(path[-1])
        return ", ".join(parts)


def read_scenario(name_or_path: str | Path) -> Scenario:
    """Return a bundled scenario by its name, or the one in a file.

    Raises: InputError naming file, line, step and key, what was read and what would be right.
    """
    path = FOLDER / f"{name_or_path}.toml" if str(name_or_path) in BUNDLED else Path(name_or_path)
    try:
        if path.is_file() and path.stat().st_size > LARGEST:
            raise InputError(str(path), read=f"{path.stat().st_size} bytes", right=f"at most {LARGEST}: {RIGHT}")
        text = path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise InputError(str(path), read="bytes that are not UTF-8", right=RIGHT) from error
    except (OSError, ValueError) as error:
        near = did_you_mean(path.stem, BUNDLED) if not path.suffix else RIGHT
        why = getattr(error, "strerror", None) or error
        raise InputError(shown(str(name_or_path)), read=f"no scenario there ({why})", right=near) from error
    scenario = scenario_from_text(text, path.name)
    return replace(scenario, replay=path.parent / scenario.replay) if scenario.replay else scenario


def scenarios() -> dict[str, Scenario]:
    """Return the bundled scenarios, each under the name that `fly` knows it by."""
    return {name: read_scenario(name) for name in BUNDLED}


def scenario_from_text(text: str, name: str) -> Scenario:
    """Return the scenario that a TOML text describes; `name` is what the errors call it.

    Raises: InputError as `read_scenario`.
    """
    try:
        raw = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError(
            name, read=f"a text that is not TOML ({error})", right='TOML, such as name = "hover"'
        ) from error
    place = _Place(name, key_lines(text))
    for key in raw:
        if key not in TOP:
            raise InputError(place.of(key), read=f"unknown key {shown(key)}", right=did_you_mean(str(key)[:60], TOP))
    rows = raw.get("step")
    if "replay" in raw:
        return _replay(raw, name, place)
    if not isinstance(rows, list) or not rows or len(rows) > MOST_STEPS:
        raise InputError(place.of("step"), read=shown(rows), right=f"1 to {MOST_STEPS} steps, each begun by [[step]]")
    steps = tuple(_step(row, number, place) for number, row in enumerate(rows))
    scenario = Scenario(
        name=_words(raw, "name", Path(name).stem, place),
        says=_words(raw, "says", "", place),
        source=name,
        blades=_flag(raw, "blades", True, place),
        start=Start(_choice(raw, "start", tuple(Start), Start.REST, place.of("start"))),
        switch=_words(raw, "switch", HOLD, place),
        height_m=_number(raw, "height", HEIGHT, place.of("height")) if "height" in raw else 0.0,
        charge=_number(raw, "charge", CHARGE, place.of("charge")) if "charge" in raw else 1.0,
        steps=steps,
    )
    if scenario.duration_s > LONGEST_S:
        raise InputError(name, read=f"{scenario.duration_s:g} s in all", right=f"at most {LONGEST_S:g} s")
    return scenario


def _replay(raw: Mapping[str, Any], name: str, place: _Place) -> Scenario:
    """Return a scenario that flies a log's own inputs: it has a name and words, nothing else."""
    other = next((key for key in raw if key not in ("name", "says", "replay")), None)
    if other is not None:
        raise InputError(place.of(other), read=f"{other} beside replay", right="name, says and replay alone")
    log = _words(raw, "replay", "", place)
    if not log:
        raise InputError(place.of("replay"), read='""', right='the name of a log, such as replay = "flight.csv"')
    return Scenario(
        name=_words(raw, "name", Path(name).stem, place), says=_words(raw, "says", "", place), source=name, blades=True,
        start=Start.REST, switch=HOLD, height_m=0.0, charge=1.0, steps=(), replay=Path(log),
    )  # fmt: skip


def _step(row: Any, number: int, place: _Place) -> Step:
    at = place.of("step", number)
    if not isinstance(row, dict):
        raise InputError(at, read=shown(row), right="a step with keys below [[step]]")
    do = Do(_choice(row, "do", tuple(Do), None, at))
    takes = ("do", "for", "switch", *TAKES[do])
    for key in row:
        if key not in takes:
            raise InputError(
                place.of("step", number, str(key)),
                read=f"unknown key {shown(key)} for {do}",
                right=did_you_mean(str(key)[:60], takes),
            )
    if "for" not in row:
        raise InputError(at, read=f"{do} without for", right='for = "5 s" (how long the step takes)')
    numbers = {FIELDS[key]: _number(row, key, KINDS[key], place.of("step", number, key)) for key in row if key in KINDS}
    switch = row.get("switch")
    if switch is not None and (not isinstance(switch, str) or not switch.strip()):
        raise InputError(
            place.of("step", number, "switch"), read=shown(switch), right='"hold", "autorotation", "mode 1"'
        )
    return Step(do=do, place=at, switch=switch, **numbers)


def _number(row: Mapping[str, Any], key: str, kind: Kind, at: str) -> float:
    try:
        return parsed(row[key], kind).si
    except NotAQuantity as trouble:
        raise InputError(at, read=trouble.read, right=trouble.right) from trouble


def _choice(row: Mapping[str, Any], key: str, choices: tuple[str, ...], default: str | None, at: str) -> str:
    got = row.get(key, default)
    if not isinstance(got, str) or got not in choices:
        read = "nothing" if got is None else shown(got)
        right = did_you_mean(got[:60], choices) if isinstance(got, str) else "one of " + ", ".join(choices)
        raise InputError(f"{at}, {key}" if not at.endswith(key) else at, read=read, right=right)
    return got


def _words(row: Mapping[str, Any], key: str, default: str, place: _Place) -> str:
    got = row.get(key, default)
    if not isinstance(got, str) or len(got) > 400 or not got.isprintable():
        raise InputError(place.of(key), read=shown(got), right="a text in quotes, of at most 400 printable characters")
    return got


def _flag(row: Mapping[str, Any], key: str, default: bool, place: _Place) -> bool:
    got = row.get(key, default)
    if not isinstance(got, bool):
        raise InputError(place.of(key), read=shown(got), right="true or false")
    return got
