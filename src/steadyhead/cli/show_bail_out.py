"""The terminal view of bail-out, landing without motor and height-velocity diagram."""

from rich.console import Console

from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import figures_table, text
from steadyhead.flight.bail_out_result import AvoidedHeights, BailOut, HeightLost, HeightVelocity, Interval, Landing

NONE = "none"
EVERY = 3


def _maybe(number: float | None, spec: str) -> str:
    return NONE if number is None else f"{number:{spec}}"


def _span(interval: Interval | None, spec: str, without: str = "unknown") -> str:
    return without if interval is None else f"{interval[0]:{spec}} to {interval[1]:{spec}}"


def _row(one: HeightLost) -> tuple[str, ...]:
    return (
        text(one.restart), _maybe(one.ramp_s, ".1f"), _maybe(one.height_lost_m, ".0f"),
        _span(one.height_lost_m_interval, ".0f"), _maybe(one.least_height_m, ".0f"),
        _span(one.least_height_m_interval, ".0f"), _maybe(one.level_after_s, ".1f"),
        f"{one.never_level} of {one.drawn}",
    )  # fmt: skip


def show_bail_out(out: Console, one: BailOut) -> None:
    """Show what one bail-out takes, and height and loads against the ramp."""
    headings = ("ramp s", "lost m", "90 %", f"{one.today.chance:.0%} keep m", "90 %", "level after s", "never level")
    table = figures_table(
        f"Bail-out, {one.mode}, {one.way} at {one.forward_speed_m_s:.0f} m/s and {one.head_speed_rpm:.0f} rpm, sinking "
        f"{one.sink_m_s:.1f} m/s: height lost from the decision to level flight",
        ("restart",),
        headings,
    )
    for height in dict.fromkeys((one.today, one.granted, one.soft)):
        table.add_row(*_row(height))
    out.print()
    print_table(out, table)
    if one.saved_m is not None:
        out.print(f"  without a quick restart it takes {one.saved_m:.0f} m more")
    ramps = figures_table(
        "Height against the quick ramp, a quick restart granted",
        (),
        ("ramp s", "lost m", "chance m", "motor A", "pack A", "pack V", "one-way N m", "pinion MPa", "breaks"),
    )
    for ramp in one.ramps:
        ramps.add_row(
            f"{ramp.ramp_s:.1f}", _maybe(ramp.height_lost_m, ".0f"), _maybe(ramp.least_height_m, ".0f"),
            f"{ramp.motor_current_a:.0f}", f"{ramp.pack_current_a:.0f}", f"{ramp.pack_voltage_v:.1f}",
            f"{ramp.bearing_torque_nm:.1f}", _maybe(ramp.pinion_stress_mpa, ".0f"),
            text(", ".join(ramp.breaks).replace("_", " ")),
        )  # fmt: skip
    out.print()
    out.print(ramps)
    if one.best_ramp_s is None:
        out.print(f"  no ramp looked at keeps the known limits: {text(', '.join(one.best_set_by))}")
    else:
        out.print(f"  best by what is known: {one.best_ramp_s:.1f} s")
    if one.unknown_limits:
        out.print(f"  a quick ramp may break what nobody stated: {text(', '.join(one.unknown_limits))}")


def show_landing(out: Console, landing: Landing) -> None:
    """Show the best landing without motor beside what a practised pilot does."""
    table = figures_table(
        f"Landing, motor gone, {landing.mode}, from {landing.from_height_m:.0f} m and {landing.from_speed_m_s:.0f} m/s",
        ("by",),
        ("sink m/s", "90 %", "forward m/s", "90 %", "head rpm left", "90 %", "height used m", "ended"),
    )
    for one in (landing.best_possible, landing.pilot):
        table.add_row(
            text(one.by), _maybe(one.sink_m_s, ".1f"), _span(one.sink_m_s_interval, ".1f", ""),
            _maybe(one.forward_speed_m_s, ".1f"), _span(one.forward_speed_m_s_interval, ".1f", ""),
            _maybe(one.head_speed_rpm, ".0f"), _span(one.head_speed_rpm_interval, ".0f", ""),
            _maybe(one.height_used_m, ".0f"), text(one.ended),
        )  # fmt: skip
    out.print()
    print_table(out, table)
    plan = landing.schedule
    out.print(
        f"  the pilot glides at {plan.glide_speed_m_s:.0f} m/s, flares {plan.flare_deg:.0f}° "
        f"at {plan.flare_height_m:.0f} m, levels at {plan.level_height_m:.0f} m, "
        f"pulls {plan.pull_before_ground_s:.1f} s before the ground; "
        f"{landing.gentle_share:.0%} of the drawn landings keep the limits"
    )


def _edge(point: AvoidedHeights) -> tuple[str, ...]:
    return (
        f"{point.forward_speed_m_s:.0f}", _maybe(point.low_m, ".1f"), _span(point.low_m_interval, ".1f"),
        _maybe(point.high_m, ".0f"), _span(point.high_m_interval, ".0f"), _maybe(point.bail_out_m, ".0f"),
        _span(point.bail_out_m_interval, ".0f"),
    )  # fmt: skip


def show_height_velocity(out: Console, diagram: HeightVelocity) -> None:
    """Show the edges of the region to be avoided, at every third speed."""
    table = figures_table(
        f"From where a loss of the motor ends harder than {diagram.touchdown_sink_m_s:g} m/s sink or "
        f"{diagram.touchdown_speed_m_s:g} m/s forward, {diagram.mode}",
        (),
        ("speed m/s", "from m", "90 %", "to m", "90 %", "bail-out takes m", "90 %"),
    )
    for point in diagram.points[::EVERY]:
        table.add_row(*_edge(point))
    out.print()
    print_table(out, table)
    out.print(f"  none or unknown in a height: some of the drawn machines land hard from everywhere, up to "
              f"{diagram.highest_looked_at_m:.0f} m")  # fmt: skip
