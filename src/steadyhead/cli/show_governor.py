"""The terminal view of `governor`."""

from rich.console import Console
from rich.table import Table

from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, checks_table, console, show_json, text, word
from steadyhead.flight.governor_result import GovernorAnswer, LoopFigures, Ramp, StepTold, Tuning

LEFT = {"mode", "load", "step", "verdict", "kind", "set by"}


def _maybe(number: float | None, spec: str, unit: str = "") -> str:
    return "none" if number is None else f"{number:{spec}}{unit}"


def _today(ramp: Ramp, field: str, spec: str) -> str:
    return _maybe(getattr(ramp.today, field), spec) if ramp.today else "none"


def _between(interval: tuple[float | None, float | None] | None, spec: str) -> str:
    if interval is None:
        return ""
    low, high = interval
    return f"{_maybe(low, spec)} to {'never' if high is None else f'{high:{spec}}'}"


def _table(title: str, headings: tuple[str, ...]) -> Table:
    table = Table(title=title, title_justify="left", box=None, pad_edge=False, show_edge=False)
    for heading in headings:
        table.add_column(heading, justify="left" if heading in LEFT else "right", overflow="fold")
    return table


def _margins(out: Console, conditions: tuple[LoopFigures, ...]) -> None:
    headings = ("mode", "load", "charge", "duty", "gain margin", "phase margin", "from hunting", "90 %", "crossover Hz")
    table = _table("Margins of the loop, with the governor's own pace of sampling", headings)
    for one in conditions:
        held = one.solved and one.stable
        table.add_row(
            text(one.mode), text(one.load), f"{one.charge:.0%}", f"{one.duty:.0%}",
            _maybe(one.gain_margin, ".1f", " x"), _maybe(one.phase_margin_deg, ".0f", "°"),
            f"{one.modulus_margin:.2f}" if held else "not held" if one.stable else "unstable",
            _between(one.modulus_margin_interval, ".2f"), _maybe(one.crossover_hz, ".1f"),
        )  # fmt: skip
    out.print()
    print_table(out, table)


def _steps(out: Console, steps: tuple[StepTold, ...]) -> None:
    headings = ("mode", "step", "charge", "drop %", "90 %", "rise %", "90 %", "recovery s", "90 %")
    table = _table("Load steps, hover to full collective and back, simulated", headings)
    for one in steps:
        back = "never" if one.recovery_s is None else f"{one.recovery_s:.2f}"
        table.add_row(
            text(one.mode), text(one.step), f"{one.charge:.0%}", _maybe(one.drop_percent, ".2f"),
            _between(one.drop_percent_interval, ".2f"), _maybe(one.rise_percent, ".2f"),
            _between(one.rise_percent_interval, ".2f"), back if one.solved else "duty full",
            _between(one.recovery_s_interval, ".2f"),
        )  # fmt: skip
    out.print()
    print_table(out, table)


def _tuning(out: Console, tuning: Tuning) -> None:
    out.print(f"\n[bold]Gains[/], looked at on this machine and {tuning.drawn} drawn from its spread")
    out.print(f"  {text(tuning.advice)}")
    if tuning.suggested_gain is not None:
        out.print(
            f"  as gains in duty: {tuning.suggested_gain:.3g}, integral time "
            f"{_maybe(tuning.suggested_integral_time_s, '.3g', ' s')}"
        )
    for line in tuning.explanation:
        out.print(f"  - {text(line)}")


def _ramps(out: Console, ramps: tuple[Ramp, ...]) -> None:
    headings = (
        "kind", "mode", "today s", "shortest s", "90 %", "set by", "motor A", "pack A", "winding °C", "pinion MPa",
        "gear MPa", "one-way N m", "verdict",
    )  # fmt: skip
    table = _table("Spool-up; the shortest keeps the limits that are known", headings)
    for one in ramps:
        table.add_row(
            one.kind, text(one.mode), "unknown" if one.today_s is None else f"{one.today_s:g}",
            _maybe(one.shortest_s, ".2f"), _between(one.shortest_s_interval, ".2f"),
            text(one.set_by.replace("_", " ")), _today(one, "motor_current_a", ".0f"),
            _today(one, "pack_current_a", ".0f"), _today(one, "winding_temperature_c", ".0f"),
            _today(one, "pinion_stress_mpa", ".0f"), _today(one, "main_gear_stress_mpa", ".0f"),
            _today(one, "bearing_torque_nm", ".1f"), word(one.verdict),
        )  # fmt: skip
    out.print()
    print_table(out, table)
    bullets(out, "The shortest ramp may break what is not known", (key for one in ramps for key in one.unknown_limits))


def show_governor(result: GovernorAnswer, *, as_json: bool) -> None:
    """Show margins, load steps, the advice on gains, spool-up and quick ramp, the doubts, the cautions."""
    if as_json:
        show_json(result)
        return
    out = console()
    gains = result.gains
    out.print(f"[bold]{text(result.machine)}[/]: governor {word(result.verdict)}")
    whose = "today's gains" if gains.own else "typical gains, today's are not known"
    out.print(
        f"{whose}: {gains.gain:g}, integral time {gains.integral_time_s:g} s, {gains.collective_feed:g} duty ahead "
        f"for 10° of collective"
    )
    _margins(out, result.conditions)
    _steps(out, result.steps)
    checks_table(out, "Checks", result.checks)
    _tuning(out, result.tuning)
    _ramps(out, result.ramps)
    bullets(out, "What fails, and what is not known", result.reasons)
    bullets(out, "Rests on typical values", [", ".join(result.typical)] if result.typical else [])
    bullets(out, "Warnings", result.warnings)
    bullets(out, "Cautions", result.cautions)
