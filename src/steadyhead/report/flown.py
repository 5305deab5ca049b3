"""A simulated flight, judged, written and drawn."""

from dataclasses import dataclass
from pathlib import Path

from steadyhead.flight.replay_spread import with_doubt
from steadyhead.flight.residuals import Residual, residuals
from steadyhead.flight.result import Flight
from steadyhead.judge.flown import learned, simulated
from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.trace.simulated import REMARK
from steadyhead.words.cautions import ALL
from steadyhead.words.progress import Say
from steadyhead.words.verdict import Outcome


@dataclass(frozen=True, kw_only=True)
class Flown:
    """A simulated flight with its judgement, and how far it lies from the log that it replays, if it replays one."""

    flight: Flight
    judgement: Judgement
    against: str | None
    residuals: tuple[Residual, ...]
    written: tuple[Path, ...]
    verdict: Outcome
    cautions: tuple[str, ...]


def judged_flight(
    machine: Machine, flight: Flight, seen: Judgement | None, files: tuple[Path | None, Path | None], say: Say
) -> Flown:
    """Return a flight, judged, with the residuals against the log `seen`; `files` are those of trace and drawing.

    Raises: OSError when a file cannot be written; nothing half-written stays.
    """
    from steadyhead.flight.files import write_trace
    from steadyhead.report.plots import write_log_plot

    say("judge the flight")
    judgement = simulated(judge(machine, flight.trace), flight, machine, seen)
    gaps: tuple[Residual, ...] = ()
    if seen:
        stretches = [(s.kind, s.start_s, s.end_s) for s in seen.segments]
        found = residuals(flight.trace, seen.trace, stretches)
        gaps = with_doubt(found, machine, seen.trace, learned(seen), say=say)
    out, plot = files
    say("write")
    written = [write_trace(flight.trace, out, remarks=(REMARK,))] if out else []
    if plot:
        beside = seen.trace if seen else None
        written.append(write_log_plot(plot, judgement, machine.limit("limits.duty_max"), beside=beside))
    return Flown(
        flight=flight,
        judgement=judgement,
        against=seen.log if seen else None,
        residuals=gaps,
        written=tuple(written),
        verdict=judgement.verdict,
        cautions=ALL,
    )
