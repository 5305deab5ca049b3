"""Reads a study file (TOML); every trouble names file, line and key."""

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from steadyhead.flight.governor_spread import LOOP_INPUTS
from steadyhead.flight.scenario_file import BUNDLED, read_scenario
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.keys import Count, Quantity
from steadyhead.machine.kind import Kind
from steadyhead.machine.lines import key_lines, line_of
from steadyhead.machine.quantity import NotAQuantity, parsed, shown
from steadyhead.machine.reading import machine_from_text, read_machine_text
from steadyhead.plan.choices import with_pack
from steadyhead.plan.solved import INPUTS
from steadyhead.study.asked import IN_ONE_GO, PACK, PILOT_DELAY, Collects, Question, Study, Swept, Varied
from steadyhead.study.drawn_cases import DRAWN_HERE
from steadyhead.words.errors import InputError, did_you_mean
from steadyhead.words.value import Value

TOP = (
    "name", "machine", "collect", "scenario", "readings", "question", "check", "figure", "against", "draws", "seed",
    "needed_share", "spreads", "vary", "sweep",
)  # fmt: skip
ALL = "all"
CHANNEL_INPUTS = (
    "channel.learned_low", "channel.learned_high", "channel.cut_off", "channel.start", "channel.ramp_rate",
)  # fmt: skip
"""What of the machine file the answer of `channel` carries a doubt on; its readings stay as they were read."""
WITH_PILOT = (Collects.FLY, Collects.BAIL_OUT)
LARGEST, MOST_DRAWS, MOST_VALUES, MOST_CORNERS = 100_000, 1_000_000, 100, 12
DELAY = Kind(family="time", unit="s", low=0, high=5, example="0.3 s +- 0.2 s")
FOUND = ("fox600", "wren450", "heron520")


class _Place:
    """Where the keys of one study file stand."""

    def __init__(self, name: str, text: str) -> None:
        self.name, self.lines = name, key_lines(text)

    def of(self, *path: str | int) -> str:
        """Say file, line and key."""
        line = line_of(self.lines, path)
        return f"{self.name} line {line}, {'.'.join(str(one) for one in path)}" if line else f"{self.name}, {path[0]}"


def read_study(path: Path) -> Study:
    """Return the study in a file, checked against its machine.

    Raises: InputError naming file, line and key, what was read and what would be right.
    """
    path = Path(path)
    text = _text(path)
    try:
        raw = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError(path.name, read=f"a text that is no TOML ({error})", right="a study file in TOML") from error
    place = _Place(path.name, text)
    for key in raw:
        if key not in TOP:
            raise InputError(place.of(key), read=f"unknown key {shown(key)}", right=did_you_mean(str(key)[:60], TOP))
    return _checked(raw, path, place)


def _checked(raw: Mapping[str, Any], path: Path, place: _Place) -> Study:
    machine_path = _machine_path(_words(raw, "machine", None, place), path.parent)
    text = read_machine_text(machine_path)
    machine = machine_from_text(text, machine_path.name)
    collects = Collects(_choice(raw, "collect", tuple(Collects), "plan", place))
    question = Question(_choice(raw, "question", tuple(Question), "verdict", place))
    varied, swept = _varied(raw, machine, place, collects), _swept(raw, machine, place, collects in WITH_PILOT)
    _fits(question, varied, swept, place)
    if collects in IN_ONE_GO:
        _fits_cases(collects, question, varied, place)
    study = Study(
        name=_words(raw, "name", path.stem, place),
        source=path.name,
        machine_name=machine_path.name,
        machine_text=text,
        collects=collects,
        scenario=_scenario(raw, collects, path.parent, place),
        readings=_readings(raw, place),
        question=question,
        check=_words(raw, "check", "", place),
        figure=_words(raw, "figure", "head_room", place),
        against=_pair(raw, place),
        draws=int(_number(raw, "draws", 200, (1, MOST_DRAWS), place)),
        seed=int(_number(raw, "seed", 1, (0, 2**63 - 1), place)),
        needed_share=float(_number(raw, "needed_share", 0.9, (0.0, 1.0), place)),
        varied=varied,
        swept=swept,
    )
    if question is Question.SENSITIVITY and study.draws & (study.draws - 1):
        raise InputError(place.of("draws"), read=str(study.draws), right="a power of two for sensitivity, such as 256")
    return study


def _fits(question: Question, varied: tuple[Varied, ...], swept: tuple[Swept, ...], place: _Place) -> None:
    """Refuse a question that what varies cannot answer."""
    if not varied and not swept:
        raise InputError(place.name, read="nothing that varies", right="spreads, [vary] or [sweep]")
    if question is Question.SENSITIVITY and (swept or len(varied) < 2):
        raise InputError(place.of("question"), read="sensitivity", right="two spread inputs or more, and no [sweep]")
    if question is Question.TRADE and not swept:
        raise InputError(place.of("question"), read="trade without [sweep]", right="pinions, packs or gains to compare")
    if question is Question.WORST and len(varied) > MOST_CORNERS:
        raise InputError(
            place.of("question"), read=f"worst with {len(varied)} spread inputs, 2^{len(varied)} corners",
            right=f"at most {MOST_CORNERS}: name those in spreads",
        )  # fmt: skip


def _fits_cases(collects: Collects, question: Question, varied: tuple[Varied, ...], place: _Place) -> None:
    """Refuse a spread of what a row of numbers does not hold, and a verdict where nothing is judged."""
    if collects is Collects.PEAKS and question is Question.VERDICT:
        right = 'sensitivity, trade or worst; collect = "fly" has verdicts'
        raise InputError(place.of("question"), read='verdict with collect = "peaks", which judges nothing', right=right)
    for one in varied:
        if one.key not in (*DRAWN_HERE, PILOT_DELAY):
            raise InputError(
                place.of("spreads"), read=f'{one.key} drawn for collect = "{collects}"',
                right=f"[sweep] for this key; drawn are {', '.join((*DRAWN_HERE, PILOT_DELAY))}",
            )  # fmt: skip


def _varied(
    raw: Mapping[str, Any], machine: Machine, place: _Place, collects: Collects
) -> tuple[Varied, ...]:  # fmt: skip
    """Return the spread inputs: those of the machine file, and those whose spread the study gives."""
    named = raw.get("spreads", ALL if "vary" not in raw and "sweep" not in raw else [])
    known = {key: value for key, value in machine.values() if value.spread_si > 0.0}
    delayed = collects in WITH_PILOT
    wanted = DRAWN_HERE if collects in IN_ONE_GO else (*INPUTS, *LOOP_INPUTS)
    if collects is Collects.CHANNEL:
        wanted = CHANNEL_INPUTS
    if named == ALL:
        named = sorted(key for key in known if key in wanted)
    if not isinstance(named, list) or not all(isinstance(key, str) for key in named):
        raise InputError(place.of("spreads"), read=shown(named), right='"all", or a list of keys of the machine file')
    found = {}
    for key in named:
        if key not in known:
            raise InputError(place.of("spreads"), read=shown(key), right=did_you_mean(key[:60], known))
        value = known[key]
        found[key] = Varied(key=key, value_si=value.si, half_width_si=value.spread_si, unit=value.unit)
    for key, held in _table(raw, "vary", place).items():
        kind = _kind(machine, key, delayed, place.of("vary", key))
        value = _parsed(held, kind, place.of("vary", key))
        if not value.spread_si > 0.0:
            raise InputError(
                place.of("vary", key), read=shown(held), right=f'a spread, such as "{kind.example} +- 5 %"'
            )
        found[key] = Varied(key=key, value_si=value.si, half_width_si=value.spread_si, unit=value.unit)
    return tuple(found[key] for key in sorted(found))


def _swept(raw: Mapping[str, Any], machine: Machine, place: _Place, delayed: bool) -> tuple[Swept, ...]:
    rows = []
    for key, held in _table(raw, "sweep", place).items():
        at = place.of("sweep", key)
        if not isinstance(held, list) or not 0 < len(held) <= MOST_VALUES:
            raise InputError(at, read=shown(held), right=f"a list of 1 to {MOST_VALUES} values")
        if key == PACK:
            for name in held:
                with_pack(machine, str(name))
            rows.append(Swept(key=key, values=tuple(str(n) for n in held), said=tuple(str(n) for n in held)))
            continue
        numbers = [_swept_number(machine, key, one, at, delayed) for one in held]
        rows.append(Swept(key=key, values=tuple(numbers), said=tuple(str(one) for one in held)))
    return tuple(rows)


def _swept_number(machine: Machine, key: str, held: Any, at: str, delayed: bool) -> float:
    declared = None if key == PILOT_DELAY else machine.declared(key)
    if isinstance(declared, Count):
        return float(declared.read(held).si) if isinstance(held, int) else _refused_count(declared, held, at)
    return _parsed(held, _kind(machine, key, delayed, at), at).si


def _refused_count(declared: Count, held: Any, at: str) -> float:
    raise InputError(at, read=shown(held), right=declared.wanted)


def _kind(machine: Machine, key: str, delayed: bool, at: str) -> Kind:
    if key == PILOT_DELAY:
        if not delayed:
            raise InputError(at, read=PILOT_DELAY, right='collect = "fly" or "bail_out": nothing else has a pilot')
        return DELAY
    declared = machine.declared(key)
    if not isinstance(declared, Quantity):
        raise InputError(at, read=f"{key}, which has no spread", right="a key with a number and a unit, or [sweep]")
    return declared.kind


def _parsed(held: Any, kind: Kind, at: str) -> Value:
    try:
        return parsed(held, kind)
    except NotAQuantity as trouble:
        raise InputError(at, read=trouble.read, right=trouble.right) from trouble


def _machine_path(name: str, folder: Path) -> Path:
    return bundled(name) if name in FOUND else folder / name


def _scenario(raw: Mapping[str, Any], collects: Collects, folder: Path, place: _Place) -> str:
    if collects not in (Collects.FLY, Collects.PEAKS):
        return ""
    name = _words(raw, "scenario", None, place)
    found = name if name in BUNDLED else str((folder / name).resolve())
    if read_scenario(found).replay is not None:
        raise InputError(place.of("scenario"), read="a replay of a log", right="a scenario with steps")
    return found


def _readings(raw: Mapping[str, Any], place: _Place) -> tuple[str, ...]:
    held = raw.get("readings", [])
    if not isinstance(held, list) or not all(isinstance(one, str) for one in held):
        raise InputError(place.of("readings"), read=shown(held), right='a list such as ["80=1710", "70=1500"]')
    return tuple(held)


def _pair(raw: Mapping[str, Any], place: _Place) -> tuple[str, str]:
    held = raw.get("against", ["flight_time_s", "head_room"])
    if not isinstance(held, list) or len(held) != 2 or not all(isinstance(one, str) for one in held):
        raise InputError(place.of("against"), read=shown(held), right='two figures, ["flight_time_s", "head_room"]')
    return held[0], held[1]


def _table(raw: Mapping[str, Any], key: str, place: _Place) -> dict[str, Any]:
    """Return a table of the study with its dotted keys put together: motor.kv and "motor.kv" are the same."""
    held = raw.get(key, {})
    if not isinstance(held, dict):
        raise InputError(place.of(key), read=shown(held), right=f'keys below [{key}], such as "gears.pinion_teeth"')
    flat: dict[str, Any] = {}
    for name, one in held.items():
        if isinstance(one, dict) and not {"value", "spread"} & set(one):
            flat |= {f"{name}.{under}": value for under, value in one.items()}
        else:
            flat[name] = one
    return flat


def _words(raw: Mapping[str, Any], key: str, default: str | None, place: _Place) -> str:
    got = raw.get(key, default)
    if not isinstance(got, str) or len(got) > 400 or not got.isprintable():
        read = "nothing" if got is None else shown(got)
        raise InputError(place.of(key), read=read, right="a text in quotes, of at most 400 printable characters")
    return got


def _choice(raw: Mapping[str, Any], key: str, choices: tuple[str, ...], default: str, place: _Place) -> str:
    got = raw.get(key, default)
    if not isinstance(got, str) or got not in choices:
        right = did_you_mean(got[:60], choices) if isinstance(got, str) else "one of " + ", ".join(choices)
        raise InputError(place.of(key), read=shown(got), right=right)
    return got


def _number(
    raw: Mapping[str, Any], key: str, default: float, ends: tuple[float, float], place: _Place
) -> float:  # fmt: skip
    got = raw.get(key, default)
    whole = not isinstance(default, int) or isinstance(got, int)
    if isinstance(got, bool) or not isinstance(got, int | float) or not whole or not ends[0] <= got <= ends[1]:
        kind = "a whole number" if isinstance(default, int) else "a number"
        raise InputError(place.of(key), read=shown(got), right=f"{kind} from {ends[0]:g} to {ends[1]:g}")
    return got


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST:
            raise InputError(str(path), read=f"{path.stat().st_size} bytes", right=f"at most {LARGEST}: a study file")
        return path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    except FileNotFoundError as error:
        raise InputError(str(path), read="no such file", right="a study file in TOML") from error
    except UnicodeDecodeError as error:
        raise InputError(path.name, read="bytes that are not UTF-8", right="a text saved as UTF-8") from error
    except OSError as error:
        raise InputError(str(path), read=f"a file that cannot be read ({error})", right="a study file") from error
