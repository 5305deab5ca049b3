"""What a change makes void, as a table and in one breath; `bench.void` knows it."""

from steadyhead.bench.void import CHANGES, LAW_VOID, PLAN_VOID, VOID
from steadyhead.report.content import Cell, Column, Table
from steadyhead.report.names import CHECKS, check_name
from steadyhead.report.sentences import listed

GROUPS: dict[str, tuple[str, ...]] = {
    "governing": ("steady_band", "climb_droop", "overspeed", "recovery", "no_hunting"),
    "duty, current and pack": (
        "duty_margin",
        "hover_duty",
        "cell_voltage",
        "charge_left",
        "esc_current",
        "controller_temperature",
        "motor_temperature",
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
DESCENT = "Descent: sink rates, collective and energy"
DESCENT_VOID = frozenset({"pack", "blades"})
"""Another pack is another mass; the head speed of the drive has no part in a glide."""


def void_table() -> Table:
    """Return the table of checks against changes."""
    parts = ((PLAN, PLAN_VOID), (LAW, LAW_VOID), (DESCENT, DESCENT_VOID))
    rows = [*parts, *((check_name(check), VOID[check]) for check in CHECKS)]
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
    extra = (("plan", PLAN_VOID), ("set-point law", LAW_VOID))
    return [*named, *(name for name, void in extra if change in void)]
