"""Bail-out, landing and heights to avoid on the full sheet; the cautions stand first, unknown is said as unknown."""

import math
from collections.abc import Mapping, Sequence

from steadyhead.flight.bail_out_result import AvoidedHeights, BailOut, HeightLost, HeightVelocity, Landing, Touchdown
from steadyhead.flight.descend_result import DescendAnswer, Interval
from steadyhead.report.check_tables import check_table
from steadyhead.report.content import Cell, Section, Table, columns
from steadyhead.report.descent_tables import of_glide
from steadyhead.report.figures.canvas import Drawing
from steadyhead.report.names import check_name, key_name
from steadyhead.report.sentences import listed, sentence
from steadyhead.report.wording import NOT_KNOWN, figure, limit_said, number, percent
from steadyhead.words import cautions
from steadyhead.words.verdict import Limit

TITLE = "Bail-out, landing, heights to avoid: an estimate, never a permission"
EVERY = 3
"""Every which forward speed of the diagram stands in its table."""
NOT_WORKED_OUT = "The height of a bail-out was not worked out: it is not known."
NO_HEIGHT = "no height"


def bail_out_section(
    descent: DescendAnswer | None, drawings: tuple[Drawing, ...], limits: Mapping[str, Limit]
) -> Section:
    """Return the section on bail-out, landing and heights to avoid; what was not worked out is said to be unknown."""
    if descent is None or not descent.bail_outs:
        why = tuple(sentence(check.reason) for check in descent.checks if not of_glide(check.check)) if descent else ()
        return Section(
            anchor="bail-out", title=TITLE, short="Bail-out", lead=(*cautions.DESCENT, NOT_WORKED_OUT, *why)
        )  # fmt: skip
    landing, diagram = descent.landing, descent.height_velocity
    return Section(
        anchor="bail-out",
        title=TITLE,
        short="Bail-out",
        lead=(*cautions.DESCENT, *map(height_said, descent.bail_outs), *map(ramp_said, descent.bail_outs)),
        drawings=drawings,
        tables=(
            _height_table(descent.bail_outs),
            _ramp_table(descent.bail_outs[0], limits),
            *((_landing_table(landing),) if landing else ()),
            *((_avoid_table(diagram),) if diagram else ()),
            check_table(
                [check for check in descent.checks if not of_glide(check.check)], "Checks of bail-out and landing"
            ),
        ),
    )


def height_line(descent: DescendAnswer | None) -> str:
    """Return the one line of the one-page sheet: the height that the chance keeps, or unknown, and its caution."""
    if descent is None or not descent.bail_outs:
        return f"{NOT_WORKED_OUT} {cautions.DESCENT[0]}"
    first = descent.bail_outs[0]
    words = listed([f"{_kept(one.today)} ({one.way})" for one in descent.bail_outs])
    return (
        f"{percent(first.today.chance, digits=2)} of the drawn bail-outs in {first.mode}, as set up today, take at "
        f"most {words}, from the decision to level flight. {cautions.DESCENT[0]} {cautions.DESCENT[2]}"
    )


def height_said(one: BailOut) -> str:
    """Return what a bail-out takes today, and what a quick restart is worth, as a sentence."""
    today = one.today
    words = (
        f"{sentence(one.way)[:-1]} in {one.mode} at {figure(one.head_speed_rpm, 'rpm', step=1.0)} and "
        f"{figure(one.forward_speed_m_s, 'm/s', step=0.5)}, sinking {figure(one.sink_m_s, 'm/s', step=0.1)}: as set up "
        f"today {percent(today.chance, digits=2)} of the drawn bail-outs take at most {_kept(today)}"
    )
    if one.granted != today:
        words += f"; with a quick restart granted, at most {_kept(one.granted)}"
    if one.saved_m is None:
        return f"{words}. What a quick restart is worth is not known."
    return f"{words}. Without a quick restart it takes {figure(one.saved_m, 'm', step=1.0)} more."


def ramp_said(one: BailOut) -> str:
    """Return which quick ramp suits, what holds it back, and which limits nobody stated."""
    breaks = listed([check_name(check).lower() for check in one.best_set_by])
    if one.best_ramp_s is None:
        words = f"no quick ramp looked at keeps the known limits: {breaks}"
    else:
        words = f"best quick ramp by what is known {figure(one.best_ramp_s, 's', step=0.1)}"
        words += f"; a quicker one breaks {breaks}" if one.best_set_by else ""
    words += f"; nobody stated {listed(one.unknown_limits)}, so it may break that" if one.unknown_limits else ""
    return sentence(f"{one.way}: {words}")


def _kept(one: HeightLost) -> str:
    """Return the least height with its interval, or that none is known."""
    if one.least_height_m is None:
        return f"a height that is not known ({one.never_level} of {one.drawn} never came level)"
    return f"{figure(one.least_height_m, 'm', step=1.0)}, {_outward(one.least_height_m_interval, 1.0)}"


def _outward(interval: Interval | None, step: float) -> str:
    """Return an interval rounded outwards: no height or sink is told smaller than it is."""
    if interval is None:
        return "interval not known"
    low, high = math.floor(interval[0] / step + 1e-9) * step, math.ceil(interval[1] / step - 1e-9) * step
    joint = " to " if low < 0.0 else "–"
    return f"{number(low, step=step)}{joint}{number(high, step=step)}"


def _doubted(value: float | None, interval: Interval | None, unit: str, step: float, none: str = NO_HEIGHT) -> Cell:
    if value is None:
        return Cell(text=none)
    aside = _outward(interval, step)
    return Cell(text=figure(value, unit, step=step), aside=f"({aside})" if interval else aside)


def _height_table(bail_outs: Sequence[BailOut]) -> Table:
    chance = f"{percent(bail_outs[0].today.chance, digits=2)} take at most"
    drawn = bail_outs[0].granted.drawn
    return Table(
        caption="Height lost in a bail-out, from the decision to level flight",
        columns=columns(
            *("Descent", "Restart", "Ramp", "As described", chance, "Level after", "Never level"),
            words=(0, 1),
            weights=(1.2, 1.5, 0.7, 1.2, 1.2, 0.9, 0.9),
        ),
        rows=tuple(
            _height_cells(out, one) for out in bail_outs for one in dict.fromkeys((out.today, out.granted, out.soft))
        ),
        note=f"Up to {drawn} machines, pilots and airs drawn. In brackets 90 %: of the drawn flights, and of counting "
        "them. Heights are rounded up, intervals outwards.",
    )


def _height_cells(out: BailOut, one: HeightLost) -> tuple[Cell, ...]:
    return (
        Cell(text=out.way),
        Cell(text=one.restart),
        Cell(text=figure(one.ramp_s, "s", step=0.1) if one in (out.granted, out.soft) else "quick one not taken"),
        _doubted(one.height_lost_m, one.height_lost_m_interval, "m", 1.0),
        _doubted(one.least_height_m, one.least_height_m_interval, "m", 1.0),
        Cell(text=figure(one.level_after_s, "s", step=0.1)),
        Cell(text=f"{one.never_level} of {one.drawn}"),
    )  # fmt: skip


def _ramp_table(one: BailOut, limits: Mapping[str, Limit]) -> Table:
    told = [f"{check_name(check).lower()} {limit_said(limit)}" for check, limit in limits.items()]
    best = one.best_ramp_s
    return Table(
        caption=f"Height and loads against the quick ramp, {one.way}, a quick restart granted",
        columns=columns(
            *(
                "Ramp",
                "As described",
                f"{percent(one.granted.chance, digits=2)} take at most",
                "Motor",
                "Pack",
                "Pack voltage",
            ),
            *("One-way bearing", "Pinion tooth", "Breaks"),
            words=(0, 8),
            weights=(*(0.8,) * 8, 3.4),
        ),
        rows=tuple(
            (
                Cell(
                    text=figure(ramp.ramp_s, "s", step=0.1),
                    strong=ramp.ramp_s == best,
                    aside="breaks a limit" if ramp.breaks else "",
                ),
                Cell(text=figure(ramp.height_lost_m, "m", step=1.0)),
                Cell(text=figure(ramp.least_height_m, "m", step=1.0), strong=ramp.ramp_s == best),
                Cell(text=figure(ramp.motor_current_a, "A", step=1.0)),
                Cell(text=figure(ramp.pack_current_a, "A", step=1.0)),
                Cell(text=figure(ramp.pack_voltage_v, "V", step=0.1)),
                Cell(text=figure(ramp.bearing_torque_nm, "N m", step=0.1)),
                Cell(text=figure(ramp.pinion_stress_mpa, "MPa", step=1.0)),
                Cell(text=listed([check_name(check).lower() for check in ramp.breaks]) if ramp.breaks else "–"),
            )
            for ramp in one.ramps
        ),
        note=f"Worst of each bail-out. Limits: {listed(told)}. "
        f"Not stated by anybody: {listed([key_name(key) for key in one.unknown_limits])}.",
        shape="slide",
    )


def _landing_table(landing: Landing) -> Table:
    plan, share, flares = landing.schedule, landing.gentle_share, ""
    if plan.flare_deg > 0.0:
        flares = f"flares {plan.flare_deg:.0f}° at {figure(plan.flare_height_m, 'm', step=0.1)}, levels at "
        flares += f"{figure(plan.level_height_m, 'm', step=0.1)}, "
    return Table(
        caption=f"Landing without motor, {landing.mode}, motor gone at {figure(landing.from_height_m, 'm')} and "
        f"{figure(landing.from_speed_m_s, 'm/s', step=0.5)}",
        columns=columns(
            *("Flown by", "Sink at touchdown", "Forward", "Head speed left", "Height used", "Ended"),
            words=(0, 5),
            weights=(1.2, 1.3, 1.3, 1.3, 0.9, 1.6),
        ),
        rows=(_touchdown_cells(landing.best_possible), _touchdown_cells(landing.pilot)),
        note=f"No pilot flies the best possible: it sees everything beforehand. The practised pilot glides at "
        f"{figure(plan.glide_speed_m_s, 'm/s', step=0.5)}, {flares}pulls "
        f"{figure(plan.pull_before_ground_s, 's', step=0.1)} before the ground; {percent(share, digits=2)} of the "
        "drawn landings keep the limits. Fitted to this machine: a real pilot does worse.",
    )


def _touchdown_cells(one: Touchdown) -> tuple[Cell, ...]:
    def told(value: float | None, interval: Interval | None, unit: str, step: float) -> Cell:
        cell = _doubted(value, interval, unit, step, NOT_KNOWN)
        return cell if interval else Cell(text=cell.text)

    return (
        Cell(text=one.by),
        told(one.sink_m_s, one.sink_m_s_interval, "m/s", 0.1),
        told(one.forward_speed_m_s, one.forward_speed_m_s_interval, "m/s", 0.1),
        told(one.head_speed_rpm, one.head_speed_rpm_interval, "rpm", 1.0),
        Cell(text=figure(one.height_used_m, "m", step=1.0)),
        Cell(text=one.ended),
    )


def _avoid_table(diagram: HeightVelocity) -> Table:
    hard = f"{diagram.touchdown_sink_m_s:g} m/s sink or {diagram.touchdown_speed_m_s:g} m/s forward"
    return Table(
        caption=f"Heights to avoid, {diagram.mode}: from where a loss of the motor ends harder than {hard}",
        columns=columns("Forward speed", "From", "Up to", "A bail-out takes", "Machines with such heights", words=(0,)),
        rows=tuple(_avoid_cells(point, diagram) for point in diagram.points[::EVERY]),
        note=f"{len(diagram.points)} speeds, {diagram.drawn} machines drawn at each; in brackets their 90 % interval, "
        "not known where some of them land hard from every height. "
        f"Heights up to {figure(diagram.highest_looked_at_m, 'm')} were looked at, with a practised pilot, still air "
        "and flat ground. A height that is not in this table is not proved safe.",
    )


def _avoid_cells(point: AvoidedHeights, diagram: HeightVelocity) -> tuple[Cell, ...]:
    beyond = f"beyond {figure(diagram.highest_looked_at_m, 'm')}" if point.avoided else "none found"
    return (
        Cell(text=figure(point.forward_speed_m_s, "m/s", step=0.1)),
        _doubted(point.low_m, point.low_m_interval, "m", 0.1, "none found"),
        _doubted(point.high_m, point.high_m_interval, "m", 1.0, beyond),
        _doubted(point.bail_out_m, point.bail_out_m_interval, "m", 1.0, NOT_KNOWN),
        Cell(text=percent(point.share_avoided, digits=2)),
    )
