"""Which checks a change makes void, so that they are run again before the next flight.

Common practice, no source: a check is void when the change touches a part that its figure rests on.
"""

from steadyhead.report.content import Cell, Column, Table
from steadyhead.report.names import CHECKS, check_name
from steadyhead.report.sentences import listed

CHANGES = ("pinion or gear", "pack", "blades", "firmware", "end point, travel or curve")
_DRIVE = {"pinion or gear", "pack", "blades"}
_LOOP = {"pinion or gear", "blades", "firmware"}
_LOGIC = {"firmware", "end point, travel or curve"}
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
    "tip_speed": {"pinion or gear", "blades", "firmware", "end point, travel or curve"},
    "head_speed_limit": {"pinion or gear", "blades", "firmware", "end point, travel or curve"},
}
GROUPS: dict[str, tuple[str, ...]] = {
    "governing": ("steady_band", "climb_droop", "overspeed", "recovery", "no_hunting"),
    "duty, current and pack": (
        "duty_margin",
        "hover_duty",
        "cell_voltage",
        "charge_left",
        "esc_current",
        "controller_temperature",
        "pack_resistance",
    ),
    "spool times": ("soft_start_time", "quick_restart_time"),
    "start and stop": (
        "quick_restart_granted",
        "quick_restart_prompt",
        "no_start_in_autorotation_position",
        "hold_stops_motor",
        "hold_clears_quick_restart",
        "run_logic_conformance",
    ),
    "speed limits": ("tip_speed", "head_speed_limit"),
}
LAW = "Set-point law and curve values"
PLAN = "Plan: head-room, heat and flight time"
_LAW_VOID = {"pinion or gear", "firmware", "end point, travel or curve"}
_PLAN_VOID = {"pinion or gear", "pack", "blades"}


TOUCHES: dict[str, tuple[str, ...]] = {
    "gears": ("pinion or gear",),
    "pack": ("pack",),
    "rotor": ("blades",),
    "tail": ("blades",),
    "governor": ("firmware",),
    "run_logic": ("firmware",),
    "channel": ("end point, travel or curve",),
    "flight_mode": ("end point, travel or curve",),
    "motor": CHANGES,
    "controller": CHANGES,
    "airframe": ("pinion or gear",),
}
"""Which change a key of the machine file stands for, by its table; a motor or a controller makes everything void."""


def changes_of(key: str) -> tuple[str, ...]:
    """Return the changes that another value of this machine-file key stands for."""
    return TOUCHES.get(key.partition(".")[0], ())


def void_table() -> Table:
    """Return the table of checks against changes."""
    rows = [(PLAN, _PLAN_VOID), (LAW, _LAW_VOID), *((check_name(check), VOID[check]) for check in CHECKS)]
    return Table(
        caption="What to run again after a change",
        columns=(Column(title="Check", weight=2.6), *(Column(title=change) for change in CHANGES)),
        rows=tuple(
            (
                Cell(text=name),
                *(Cell(text="run again", strong=True) if c in void else Cell(text="stands") for c in CHANGES),
            )
            for name, void in rows
        ),
        note="Common practice, no source. After a crash or a change of motor or controller, run everything again.",
        shape="slide",
    )


def void_sentence() -> str:
    """Return, for each change, the groups of checks to run again, in one breath."""
    return " ".join(f"{change[:1].upper()}{change[1:]}: {listed(_groups(change))}." for change in CHANGES)


def _groups(change: str) -> list[str]:
    named = [group for group, checks in GROUPS.items() if any(change in VOID[check] for check in checks)]
    extra = (("plan", _PLAN_VOID), ("set-point law", _LAW_VOID))
    return [*named, *(name for name, void in extra if change in void)]
