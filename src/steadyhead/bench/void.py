"""Which checks a change makes void, so that they are run again before the next flight.

Common practice, no source: a check is void when the change touches a part that its figure rests on.
"""

import math
from collections.abc import Mapping

from steadyhead.machine.description import Machine
from steadyhead.words.errors import InputError, did_you_mean
from steadyhead.words.value import Origin, Value

CHANGES = ("pinion or gear", "pack", "blades", "firmware", "end point, travel or curve")
EVERYTHING = "motor, controller or a crash"
"""After this nothing stands."""
FILLERS = {"or", "a", "and", "the", "of"}
SWITCH_VALUE = "a switch value"
"""A new value of hold or autorotation, or of the speed at which the channel moves: only the start and stop tests."""
CHANGES_IN_FULL: dict[str, str] = {
    **dict(zip(CHANGES, CHANGES, strict=True)),
    "firmware": "firmware, or a setting or gain of governor or run logic",
    SWITCH_VALUE: "a switch value: hold, autorotation, ramp rate",
    EVERYTHING: EVERYTHING,
}
"""Every change by the name that the record keeps, as it is offered to a person."""
_DRIVE = {"pinion or gear", "pack", "blades"}
_LOOP = {"pinion or gear", "blades", "firmware"}
_LOGIC = {"firmware", "end point, travel or curve"}
_LAW = {"pinion or gear", "firmware", "end point, travel or curve"}
_ALL = set(CHANGES)

VOID: dict[str, set[str]] = {
    "steady_band": _LOOP | {"pack"},
    "climb_droop": _LOOP | {"pack"},
    "overspeed": _LOOP,
    "recovery": _LOOP | {"pack"},
    "no_hunting": _LOOP | {"pack"},
    "duty_margin": _ALL,
    "hover_duty": _ALL,
    "cell_voltage": _DRIVE | {"end point, travel or curve"},
    "charge_left": _DRIVE | {"end point, travel or curve"},
    "soft_start_time": _LOOP,
    "quick_restart_granted": _LOGIC,
    "quick_restart_time": _LOOP | _LOGIC,
    "quick_restart_prompt": _LOGIC,
    "no_start_in_autorotation_position": _LOGIC,
    "hold_stops_motor": _LOGIC,
    "hold_clears_quick_restart": _LOGIC,
    "run_logic_conformance": _LOGIC,
    "esc_current": _DRIVE | {"end point, travel or curve"},
    "pack_resistance": {"pack"},
    "controller_temperature": _ALL,
    "motor_temperature": _ALL,
    "tip_speed": {"pinion or gear", "blades", "firmware", "end point, travel or curve"},
    "head_speed_limit": {"pinion or gear", "blades", "firmware", "end point, travel or curve"},
    "low_end_reaches": _LOGIC,
    "high_end_reaches": _LOGIC,
    "low_end_dead_travel": _LOGIC,
    "high_end_dead_travel": _LOGIC,
    "end_as_described": _LOGIC,
    "start_measured": _LOGIC,
    "cut_off_measured": _LOGIC,
    "start_delay_measured": _LOGIC,
    "hold_from": _LOGIC,
    "set_point": _LAW,
    "set_point_limit": _LAW,
    "set_point_law": _LAW,
    "curve": _LAW,
    "todays_curve": _LAW,
    "quick_restart_on_bench": _LOGIC,
}
SWITCHED = {
    *("quick_restart_granted", "quick_restart_time", "quick_restart_prompt", "no_start_in_autorotation_position"),
    *("hold_stops_motor", "hold_clears_quick_restart", "run_logic_conformance", "start_delay_measured", "hold_from"),
    "quick_restart_on_bench",
}
"""What a new switch value makes void."""
LAW_VOID = VOID["set_point_law"]
"""Changes after which the set-point law and the curve values have to be read again."""
LAW_RESTS_ON: dict[str, tuple[str, ...]] = {
    "gears": ("pinion_teeth", "main_gear_teeth", "second_pinion_teeth", "second_gear_teeth"),
    "motor": ("kv", "resistance", "no_load_current", "no_load_voltage", "poles"),
    "controller": ("resistance", "switching_frequency", "current_continuous", "current_burst"),
    "pack": ("cells",),
    "channel": ("pulse_low", "pulse_high", "travel_low", "travel_high", "step", "learned_low", "learned_high"),
    "governor": (
        *("gain", "integral_time", "derivative_time", "collective_feed", "duty_low", "duty_high", "sensor_step"),
    ),
}
"""Keys by table whose other value is another set-point law; of motor and controller those that tell one from another.

A governor holds the speed of the motor, so the teeth scale the law; a curve value is a pulse by ends and travel, and
the controller counts pulses from its learned ends; another motor or controller is another law. Cells count, since
nothing tells whether a reading was taken at full duty, where the pack alone sets the speed. Spool times, run logic and
thresholds say when it turns, not how fast. Common practice, no source.
"""
FLIGHT_RESTS_ON: dict[str, tuple[str, ...]] = {
    **LAW_RESTS_ON,
    "pack": ("cells", "capacity"),
    "rotor": ("blades", "blade_length", "radius", "chord"),
}
"""The same for figures of a flight; what each makes void stands in `VOID`."""
UNREADABLE = "the machine file, which no longer reads"
"""What is said to have changed where a kept text is none of a machine any more."""
MAY_BE_KNOWN_BETTER = frozenset({"motor", "controller", "governor", "pack", "rotor"})
"""Tables that describe parts by figures that are estimated: what was not stated before, or is now known more closely
and lies within the old doubt, is no other part."""
CLOSER = (Origin.MEASURED, Origin.FITTED)
"""Where a figure comes from that is the same part known better; another maker's figure is another part."""
MAY_BE_FILLED_IN = ("channel.learned_low", "channel.learned_high")
"""Keys that nothing is taken for while they are not stated: stating one changes nothing."""
PLAN_VOID = {"pinion or gear", "pack", "blades"}
BY_TABLE: dict[str, str] = {
    "gears": "pinion or gear",
    "pack": "pack",
    "rotor": "blades",
    "tail": "blades",
    "channel": "end point, travel or curve",
    "governor": "firmware",
    "run_logic": "firmware",
    "motor": EVERYTHING,
    "controller": EVERYTHING,
}
"""What an edit in a table of the machine file counts as; a setting of governor or run logic counts as firmware."""
IN_FLIGHT: dict[str, str] = {"airframe": "pinion or gear", "flight_mode": "end point, travel or curve"}
"""Tables whose edit touches the checks of a flight alone: the load on the drive, the head speeds."""
BY_KEY: dict[str, str] = {
    "channel.hold": SWITCH_VALUE,
    "channel.autorotation": SWITCH_VALUE,
    "channel.ramp_rate": SWITCH_VALUE,
    "channel.hold_rate": SWITCH_VALUE,
}
"""Keys that count as less than their table does."""
AS_MEASURED = {"channel.cut_off", "channel.start"}
"""Keys that the bench itself measures: writing down what was found changes nothing."""


def is_void(check: str, change: str) -> bool:
    """Whether a change makes a check void; a check that is not named here stands after nothing."""
    if change == SWITCH_VALUE:
        return check.partition(": ")[0] in SWITCHED
    return change == EVERYTHING or change in VOID.get(check.partition(": ")[0], set(CHANGES))


def change_named(words: str) -> str:
    """Return the change that a person means: `pinion` is "pinion or gear", `governor gain` counts as firmware.

    Raises: InputError when no change, or more than one, is called so.
    """
    said = set(words.lower().replace(",", " ").split()) - FILLERS
    every = {
        change: set(f"{change} {full}".replace(",", "").replace(":", "").split()) - FILLERS
        for change, full in CHANGES_IN_FULL.items()
    }
    found = [change for change, known in every.items() if said and said <= known]
    if len(found) == 1:
        return found[0]
    right = did_you_mean(words.strip().lower(), set[str]().union(*every.values()))
    raise InputError("what changed", read=repr(words[:60]), right=right)


def changes_of(key: str) -> tuple[str, ...]:
    """Return the changes that another value of a machine-file key stands for, on the bench or in flight."""
    if key == UNREADABLE:
        return (EVERYTHING,)
    table = key.partition(".")[0]
    found = BY_KEY.get(key) or BY_TABLE.get(table) or IN_FLIGHT.get(table)
    return (found,) if found else ()


def bears_on_law(key: str, rests_on: Mapping[str, tuple[str, ...]] = LAW_RESTS_ON) -> bool:
    """Whether another value of a machine-file key is another set-point law, or bears on what `rests_on` names."""
    table, _, name = key.partition(".")
    return name in rests_on.get(table, ())


def law_changes(before: Machine, after: Machine) -> tuple[str, ...]:
    """Return the keys, in the order of the file, by which readings under one text are no readings of the other."""
    return _parted(before, after, LAW_RESTS_ON)


def part_changes(before: Machine, after: Machine) -> tuple[str, ...]:
    """Return the keys, in the order of the file, by which a flight under one text is none of the other."""
    return _parted(before, after, FLIGHT_RESTS_ON)


def _parted(before: Machine, after: Machine, rests_on: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    old, new = dict(before.values()), dict(after.values())
    keys = (*new, *(key for key in old if key not in new))
    return tuple(key for key in keys if bears_on_law(key, rests_on) and not _same_part(key, old.get(key), new.get(key)))


def _same_part(key: str, old: Value | None, new: Value | None) -> bool:
    """Whether two texts of a value may describe the same part, set alike."""
    if old is None or new is None:
        filled = old is None and (key in MAY_BE_FILLED_IN or key.partition(".")[0] in MAY_BE_KNOWN_BETTER)
        return filled or old is new
    if math.isclose(old.si, new.si, rel_tol=1e-9):
        return True
    if key.partition(".")[0] not in MAY_BE_KNOWN_BETTER:
        return False
    closer = new.origin in CLOSER and new.spread_si <= old.spread_si
    return old.is_typical or (closer and abs(new.si - old.si) <= old.spread_si)


def known_better(key: str, before: Machine, after: Machine) -> bool:
    """Whether another value of a key describes the same part, known more closely: no change of the machine.

    One that is fitted comes from logs of the very machine; it is held against the old doubt only where figures of a
    flight rest on it, as for `part_changes`.
    """
    old, new = dict(before.values()).get(key), dict(after.values()).get(key)
    if old is None and new is None:
        return False
    if _same_part(key, old, new):
        return True
    return new is not None and new.origin is Origin.FITTED and not bears_on_law(key, FLIGHT_RESTS_ON)


def changes_between(before: Machine, after: Machine) -> tuple[str, ...]:
    """Return the changes that lead from one text of a machine file to another.

    A new curve value of a flight mode is none: the law stands, and the new position is read. Nor is a part
    known better.
    """
    old, new = _numbers(before), _numbers(after)
    moved = {key for key in old.keys() | new.keys() if old.get(key) != new.get(key)} - AS_MEASURED
    moved = {key for key in moved if not known_better(key, before, after)}
    found = {BY_KEY.get(key) or BY_TABLE.get(key.partition(".")[0]) for key in moved}
    return tuple(change for change in (*CHANGES, SWITCH_VALUE, EVERYTHING) if change in found)


def _numbers(machine: Machine) -> dict[str, object]:
    """Return what a machine file says, without spread, origin and note: those change no machine."""
    said: dict[str, object] = {key: value.si for key, value in machine.values()}
    for name in type(machine.run_logic).model_fields:
        found = getattr(machine.run_logic, name)
        said[f"run_logic.{name}"] = found.si if isinstance(found, Value) else found
    return said
