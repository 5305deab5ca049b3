"""The terminal view of `descend`."""

from rich.console import Console

from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, checks_table, console, figures_table, show_json, text, word
from steadyhead.cli.show_bail_out import show_bail_out, show_height_velocity, show_landing
from steadyhead.flight.descend_result import AirRow, BestPoint, DescendAnswer, HeadSpeedDescent, Interval

NONE = "none"


def _maybe(number: float | None, spec: str, unit: str = "") -> str:
    return NONE if number is None else f"{number:{spec}}{unit}"


def _span(interval: Interval | None, spec: str) -> str:
    return "unknown" if interval is None else f"{interval[0]:{spec}} to {interval[1]:{spec}}"


def _best(point: BestPoint | None) -> tuple[str, str, str]:
    if point is None:
        return NONE, "", ""
    return f"{point.sink_m_s:.1f}", _span(point.sink_m_s_interval, ".1f"), f"{point.forward_m_s:.0f}"


def _glides(out: Console, head_speeds: tuple[HeadSpeedDescent, ...]) -> None:
    headings = (
        "head rpm", "vertical m/s", "90 %", "least m/s", "90 %", "at m/s", "best glide", "90 %", "at m/s",
        "collective", "settles s",
    )  # fmt: skip
    table = figures_table("Steady autorotation: sink rate, motor off, still air", ("mode",), headings)
    for one in head_speeds:
        still = one.points[0]
        best = one.best_glide
        table.add_row(
            text(", ".join(one.modes) or "slower"), f"{one.head_speed_rpm:.0f}", _maybe(still.sink_m_s, ".1f"),
            _span(still.sink_m_s_interval, ".1f") if still.sink_m_s else "", *_best(one.least_sink),
            f"1 : {best.glide_ratio:.1f}" if best else NONE,
            _span(best.glide_ratio_interval, ".1f") if best else "", f"{best.forward_m_s:.0f}" if best else "",
            f"{one.least_sink.collective_deg:+.1f}°" if one.least_sink else "", _maybe(still.settling_s, ".1f"),
        )  # fmt: skip
    out.print()
    print_table(out, table, repeated=2)


def _energy(out: Console, head_speeds: tuple[HeadSpeedDescent, ...]) -> None:
    headings = (
        "head rpm", "energy J", "90 %", "as height m", "as hover s", "90 %", "least rpm", "flare reserve s",
        "90 %", "reserve / sink", "index ft3/lb",
    )  # fmt: skip
    table = figures_table("Energy in the rotor; the index compares your own machines only", ("mode",), headings)
    for one in head_speeds:
        energy = one.energy
        table.add_row(
            text(", ".join(one.modes) or "slower"), f"{one.head_speed_rpm:.0f}", f"{energy.rotor_energy_j:.0f}",
            _span(energy.rotor_energy_j_interval, ".0f"), f"{energy.energy_height_m:.0f}", f"{energy.hover_time_s:.1f}",
            _span(energy.hover_time_s_interval, ".1f"), f"{energy.least_head_speed_rpm:.0f}",
            f"{energy.flare_reserve_s:.1f}", _span(energy.flare_reserve_s_interval, ".1f"),
            _maybe(one.reserve_ratio, ".1f", " x"), f"{energy.flare_index_ft3_lb:.0f}",
        )  # fmt: skip
    out.print()
    print_table(out, table, repeated=2)


def _settled(out: Console, result: DescendAnswer) -> None:
    if not result.settled:
        return
    headings = ("collective", "head rpm", "90 %", "sink m/s", "90 %")
    title = f"Collective held at {result.settled[0].forward_m_s:.0f} m/s: the rotor settles at"
    table = figures_table(title, ("comes back",), headings)
    for row in result.settled:
        table.add_row(
            "yes" if row.stable else "NO: it runs away", f"{row.collective_deg:+.0f}°", f"{row.head_speed_rpm:.0f}",
            _span(row.head_speed_rpm_interval, ".0f"), f"{row.sink_m_s:.1f}", _span(row.sink_m_s_interval, ".1f"),
        )  # fmt: skip
    out.print()
    print_table(out, table)


def _vertical(out: Console, result: DescendAnswer) -> None:
    speed = f"{result.tunnel.head_speed_rpm:.0f} rpm"
    table = figures_table(
        f"Vertical descent at {speed}, motor on until the power is zero",
        ("state",),
        ("sink m/s", "over hover inflow", "collective", "shaft power W"),
    )
    for row in result.vertical:
        table.add_row(
            text(row.state), f"{row.sink_m_s:.1f}", f"{row.descent_ratio:.2f}", _maybe(row.collective_deg, "+.1f", "°"),
            _maybe(row.shaft_power_w, ".0f"),
        )  # fmt: skip
    out.print()
    print_table(out, table)
    seen = result.tunnel
    low, high = seen.tunnel_ratio
    out.print(
        f"\n[bold]Beside a wind tunnel[/], vertical, sink rate over the ideal hover inflow of "
        f"{result.hover_inflow_m_s:.2f} m/s, at {speed}:"
    )
    out.print(f"  this machine {_maybe(seen.machine_ratio, '.2f')}, its rotor alone {_maybe(seen.rotor_ratio, '.2f')}")
    out.print(
        f"  small rotors in NACA TN-2474 {low:.2f} to {high:.2f} at blade loading {seen.tunnel_blade_loading[0]:g} to "
        f"{seen.tunnel_blade_loading[1]:g}; here it is {seen.blade_loading:.3f}"
    )
    out.print(
        f"  often said: {seen.often_said_ratio:g}, true of ideal or full-size rotors only; the ideal figure of this "
        f"rotor is {_maybe(seen.ideal_ratio, '.2f')}"
    )


def _airs(out: Console, rows: tuple[AirRow, ...]) -> None:
    headings = ("kg/m3", "head rpm", "vertical m/s", "90 %", "at m/s", "least m/s", "90 %")
    table = figures_table("Sink rate in other air", ("air",), headings)
    for row in rows:
        if row.vertical_sink_m_s is not None:
            table.add_row(
                text(row.air), f"{row.density_kg_m3:.3f}", f"{row.head_speed_rpm:.0f}",
                f"{row.vertical_sink_m_s:.1f}", _span(row.vertical_sink_m_s_interval, ".1f"),
                _maybe(row.forward_m_s, ".0f"), _maybe(row.least_sink_m_s, ".1f"),
                _span(row.least_sink_m_s_interval, ".1f"),
            )  # fmt: skip
    out.print()
    print_table(out, table)


def _what_if(out: Console, result: DescendAnswer) -> None:
    if not result.what_if:
        return
    headings = (
        "head rpm", "collective", "least m/s", "vertical m/s", "energy J", "as height m", "hover s", "reserve s"
    )  # fmt: skip
    table = figures_table("What if", ("change",), headings)
    for row in result.what_if:
        table.add_row(
            text(row.change), f"{row.head_speed_rpm:.0f}", _maybe(row.collective_deg, "+.1f", "°"),
            _maybe(row.least_sink_m_s, ".1f"), _maybe(row.vertical_sink_m_s, ".1f"), f"{row.rotor_energy_j:.0f}",
            f"{row.energy_height_m:.0f}", f"{row.hover_time_s:.1f}", f"{row.flare_reserve_s:.1f}",
        )  # fmt: skip
    out.print()
    print_table(out, table, repeated=2)


def show_descend(result: DescendAnswer, *, as_json: bool) -> None:
    """Show the cautions first, then glide, energy, vertical descent, other air, what if, checks and doubts."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]{text(result.machine)}[/]: descent {word(result.verdict)}")
    bullets(out, "An estimate, no permission", result.cautions[:3])
    _glides(out, result.head_speeds)
    _energy(out, result.head_speeds)
    _settled(out, result)
    _vertical(out, result)
    _airs(out, result.airs)
    _what_if(out, result)
    for one in result.bail_outs:
        show_bail_out(out, one)
    if result.landing is not None:
        show_landing(out, result.landing)
    if result.height_velocity is not None:
        show_height_velocity(out, result.height_velocity)
    checks_table(out, "Checks", result.checks)
    bullets(out, "What to measure next", (doubt.sentence for doubt in result.doubts))
    bullets(out, "Rests on typical values", [", ".join(result.typical)] if result.typical else [])
    bullets(out, "Warnings", result.warnings)
    bullets(out, "Cautions", result.cautions)
