"""The terminal view of `plan`."""

from rich.console import Console
from rich.table import Table

from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, console, show_json, text, word
from steadyhead.plan.result import Choice, ModePlan, Plan


def _mode_table(out: Console, mode: ModePlan) -> None:
    table = Table(box=None, pad_edge=False, show_edge=False)
    columns = (
        "condition",
        "collective",
        "shaft W",
        "motor A",
        "pack A",
        "pack V",
        "duty",
        "ceiling rpm",
        "winding C",
        "verdict",
    )
    for heading in columns:
        table.add_column(heading, justify="left" if heading in {"condition", "verdict"} else "right", overflow="fold")
    for case in mode.conditions:
        table.add_row(
            text(case.condition),
            f"{case.collective_deg:.1f}°",
            f"{case.shaft_power_w:.0f}",
            f"{case.motor_current_a:.0f}",
            f"{case.pack_current_a:.0f}",
            f"{case.pack_voltage_v:.1f}",
            f"{case.duty:.0%}",
            f"{case.ceiling_rpm:.0f}",
            f"{case.winding_temperature_c:.0f}",
            word(case.verdict),
        )
    low, high = mode.flight_time_s_interval
    out.print(f"\n[bold]{text(mode.mode)}[/], {mode.head_speed_rpm:.0f} rpm: {word(mode.verdict)}")
    out.print(f"hover to reserve {mode.flight_time_s:.0f} s (90 %: {low:.0f} to {high:.0f} s)")
    print_table(out, table)


def _choices(out: Console, title: str, choices: tuple[Choice, ...]) -> None:
    if not choices:
        return
    table = Table(title=title, title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading in (
        "rank",
        "choice",
        "ratio",
        "least head-room",
        "hover duty",
        "peak pack A",
        "hover s",
        "verdict",
        "why",
    ):
        table.add_column(heading, overflow="fold")
    for choice in choices:
        low, high = choice.hover_duty
        fitted = " (fitted)" if choice.current else ""
        table.add_row(
            f"{choice.rank}",
            text(f"{choice.name}{fitted}"),
            f"{choice.gear_ratio:.2f}",
            f"{choice.least_head_room:.0%}",
            f"{low:.0%}-{high:.0%}",
            f"{choice.peak_pack_current_a:.0f}",
            f"{choice.flight_time_s:.0f}",
            word(choice.verdict),
            text("; ".join(choice.reasons)),
        )
    out.print()
    print_table(out, table)


def show_plan(result: Plan, *, as_json: bool) -> None:
    """Show the modes with their conditions, the pinion and pack tables, the doubts, the cautions."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]{text(result.machine)}[/]: plan {word(result.verdict)}, air {result.density_kg_m3:.3f} kg/m3")
    for mode in result.modes:
        _mode_table(out, mode)
    bullets(out, "What fails, and what is not known", result.reasons)
    _choices(out, "Pinions", result.pinions)
    _choices(out, "Packs", result.packs)
    bullets(out, "What would sharpen this most", (doubt.sentence for doubt in result.doubts))
    bullets(out, "Unknown", result.unknowns)
    bullets(out, "Rests on typical values", [", ".join(result.typical)] if result.typical else [])
    bullets(out, "Warnings", result.warnings)
    bullets(out, "Cautions", result.cautions)
