"""A simulated flight: its judgement as a log's, with its greatest values and how far it lies from a log."""

from collections.abc import Sequence

from steadyhead.flight.residuals import Residual
from steadyhead.flight.result import Flight
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.report.content import Cell, Section, Table, columns, points
from steadyhead.report.evidence import Evidence
from steadyhead.report.full import log_sections
from steadyhead.report.names import segment_name
from steadyhead.report.sentences import sentence
from steadyhead.report.sheet import drawn
from steadyhead.report.view import View, view
from steadyhead.report.wording import clock, figure, number, percent

STEP = 0.01
"""Greatest values smaller than this are said as none: 0.0002 m/s of climb is the solver's, not the flight's."""


def flight_view(
    machine: Machine, flight: Flight, judgement: Judgement, residuals: Sequence[Residual] = ()
) -> View:  # fmt: skip
    """Return how a flight ended, its stretches and checks, its greatest values, and the residuals against a log."""
    evidence = drawn(Evidence(machine=machine, judgements=(judgement,)))
    first = Section(
        anchor="flight",
        title="The flight",
        short="Flight",
        lead=(sentence(flight.says), sentence(flight.ended), "A simulation is no evidence of what the machine does."),
        tables=(_peaks(flight), *((_residuals(residuals),) if residuals else ())),
        points=points("Taken as", [assumed.says for assumed in flight.assumptions]),
    )
    facts = [f"{flight.duration_s:.1f} s", f"step {1000.0 * flight.step_s:g} ms", "simulated"]
    return view(flight.scenario, judgement.verdict, [*log_sections(evidence)[1:], first], facts)


def _peaks(flight: Flight) -> Table:
    return Table(
        caption="Greatest values",
        columns=columns("Figure", "Value", "At", weights=(2.0, 1.0, 0.8)),
        rows=tuple(
            (
                Cell(text=peak.figure.replace("_", " ")),
                Cell(text=_peak(peak.figure, peak.value, peak.unit)),
                Cell(text=clock(peak.time_s)),
            )
            for peak in flight.peaks
        ),
        shape="pairs",
    )


def _peak(name: str, value: float, unit: str) -> str:
    """Return a greatest value: duty in percent, as everywhere, and nothing finer than a flight can be felt."""
    return percent(value) if name == "duty" else figure(value, unit, step=STEP if abs(value) < STEP else None)


def _residuals(found: Sequence[Residual]) -> Table:
    return Table(
        caption="Simulation less log",
        columns=columns("Stretch", "From – to", "Figure", "Log mean", "Mean", "Rms", words=(0, 1, 2)),
        rows=tuple(
            (
                Cell(text=segment_name(one.segment)),
                Cell(text=f"{clock(one.start_s)} – {clock(one.end_s)}"),
                Cell(text=one.figure.replace("_", " ")),
                Cell(text=number(one.log_mean)),
                Cell(text=number(one.mean)),
                Cell(text=number(one.rms)),
            )
            for one in found
        ),
        shape="slide",
    )
