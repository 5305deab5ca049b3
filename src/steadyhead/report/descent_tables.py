"""The descent on the full sheet: glides, where the rotor settles, energy, checks; the cautions stand first."""

from steadyhead.flight.descend_result import BestPoint, DescendAnswer, HeadSpeedDescent
from steadyhead.flight.glide_curves import INFLOW
from steadyhead.plan.result import Doubt
from steadyhead.report.check_tables import check_table
from steadyhead.report.content import Cell, Section, Table, cells, columns, doubtful, points
from steadyhead.report.figures.canvas import Drawing
from steadyhead.report.wording import NOT_KNOWN, figure, number, ranged
from steadyhead.words import cautions

STEP_M_S = 0.1
"""Sink rates are not rounded further: 8.4 must not be read as 8."""
NO_GLIDE = "no autorotation"
TITLE = "Descent without the motor: an estimate, never a permission"


def descent_section(descent: DescendAnswer | None, drawings: tuple[Drawing, ...]) -> Section:
    """Return the section on the descent; where it was not worked out, the section says so."""
    if descent is None:
        lead = ("The descent was not worked out: sink rates and the reserve for a flare are not known.",)
        return Section(anchor="descent", title=TITLE, short="Descent", lead=(*lead, *cautions.DESCENT))
    return Section(
        anchor="descent",
        title=TITLE,
        short="Descent",
        lead=(*cautions.DESCENT, _tunnel_words(descent)),
        drawings=drawings,
        tables=(
            _glide_table(descent),
            *((_settled_table(descent),) if descent.settled else ()),
            _energy_table(descent),
            check_table([check for check in descent.checks if of_glide(check.check)], "Checks of the descent"),
        ),
        points=points("Warnings of the descent", descent.warnings),
    )


def of_glide(check: str) -> bool:
    """Return whether a check is one of the glide; the others are of bail-out and landing."""
    return check.startswith("glide_")


def known_doubts(descent: DescendAnswer | None) -> tuple[Doubt, ...]:
    """Return the doubts on the descent that a measurement settles."""
    return tuple(doubt for doubt in descent.doubts if doubt.key != INFLOW) if descent else ()


def _tunnel_words(descent: DescendAnswer) -> str:
    seen = descent.tunnel
    low, high = seen.tunnel_ratio
    return (
        f"Straight down at {seen.head_speed_rpm:.0f} rpm it sinks {number(seen.machine_ratio)} times the hover inflow "
        f"of {figure(descent.hover_inflow_m_s, 'm/s')}; small rotors in a wind tunnel {low:.2f} to {high:.2f}; the "
        f"often said {seen.often_said_ratio:g} is true of ideal or full-size rotors only."
    )


def _glide_table(descent: DescendAnswer) -> Table:
    return Table(
        caption="Steady autorotation, still air, collective held",
        columns=columns(
            *("Head speed", "Flight mode", "Straight down", "Least sink", "at", "Flattest glide", "at", "Collective"),
            words=(0, 1),
            weights=(1.0, 1.1, 1.2, 1.2, 0.8, 1.2, 0.8, 0.8),
        ),
        rows=tuple(_glide_cells(one) for one in descent.head_speeds),
        note="In brackets the 90 % interval; flattest glide: metres flown for one metre of height.",
        shape="slide",
    )


def _glide_cells(one: HeadSpeedDescent) -> tuple[Cell, ...]:
    still, least, best = one.points[0], one.least_sink, one.best_glide
    return (
        *cells(figure(one.head_speed_rpm, "rpm", step=1.0), ", ".join(one.modes) or "slower"),
        _sink(still.sink_m_s, still.sink_m_s_interval),
        _sink(least.sink_m_s, least.sink_m_s_interval) if least else Cell(text=NO_GLIDE),
        Cell(text=_at(least)),
        doubtful(ranged(best.glide_ratio, best.glide_ratio_interval)) if best else Cell(text=NO_GLIDE),
        Cell(text=_at(best)),
        Cell(text=figure(least.collective_deg, "deg", step=0.1) if least else NOT_KNOWN),
    )


def _sink(sink_m_s: float | None, interval: tuple[float, float] | None) -> Cell:
    if sink_m_s is None:
        return Cell(text=NO_GLIDE)
    if interval is None:
        return Cell(text=figure(sink_m_s, "m/s", step=STEP_M_S), aside="interval not known")
    low, high = (number(end, step=STEP_M_S) for end in interval)
    return Cell(text=figure(sink_m_s, "m/s", step=STEP_M_S), aside=f"({low}–{high})")


def _at(best: BestPoint | None) -> str:
    return figure(best.forward_m_s, "m/s", step=1.0) if best else NOT_KNOWN


def _settled_table(descent: DescendAnswer) -> Table:
    forward = figure(descent.settled[0].forward_m_s, "m/s", step=1.0)
    return Table(
        caption=f"Collective held at {forward} forward: where the rotor settles by itself",
        columns=columns("Collective", "Head speed", "Sink rate", "Comes back after a disturbance", words=(0, 3)),
        rows=tuple(
            (
                Cell(text=figure(row.collective_deg, "deg", step=1.0)),
                doubtful(ranged(row.head_speed_rpm, row.head_speed_rpm_interval, "rpm")),
                _sink(row.sink_m_s, row.sink_m_s_interval),
                Cell(text="yes" if row.stable else "no, it runs away"),
            )
            for row in descent.settled
        ),
        shape="pairs",
    )


def _energy_table(descent: DescendAnswer) -> Table:
    return Table(
        caption="Energy in the rotor",
        columns=columns(
            *(
                "Head speed",
                "Energy",
                "As height",
                "As hover",
                "Least head speed",
                "Flare reserve",
                "Reserve over sink",
            ),
        ),
        rows=tuple(_energy_cells(one) for one in descent.head_speeds),
        note="As height is a measure, no height that can be flown. Flare reserve: seconds of hover until the rotor no "
        "longer carries the machine.",
        shape="slide",
    )


def _energy_cells(one: HeadSpeedDescent) -> tuple[Cell, ...]:
    energy = one.energy
    return (
        Cell(text=figure(one.head_speed_rpm, "rpm", step=1.0)),
        doubtful(ranged(energy.rotor_energy_j, energy.rotor_energy_j_interval, "J")),
        doubtful(ranged(energy.energy_height_m, energy.energy_height_m_interval, "m")),
        doubtful(ranged(energy.hover_time_s, energy.hover_time_s_interval, "s")),
        doubtful(ranged(energy.least_head_speed_rpm, energy.least_head_speed_rpm_interval, "rpm")),
        doubtful(ranged(energy.flare_reserve_s, energy.flare_reserve_s_interval, "s")),
        doubtful(ranged(one.reserve_ratio, one.reserve_ratio_interval)) if one.reserve_ratio else Cell(text=NO_GLIDE),
    )
