"""The contents page: one short function for each thing steadyhead does, for both faces and for users of the library.

Every function answers with a frozen result whose field names are the JSON keys, or raises `InputError` with one
sentence that says the place, what was read, and what would be right.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from steadyhead.channel.answer import channel as channel_answer
from steadyhead.channel.logic import logic as checked_logic
from steadyhead.channel.logic_result import LogicAnswer
from steadyhead.channel.reading_text import reading_from_text
from steadyhead.channel.result import ChannelAnswer, Reading
from steadyhead.flight.engine import flown
from steadyhead.flight.files import refuse_kind, write_trace
from steadyhead.flight.governor_answer import governor as governor_answer
from steadyhead.flight.governor_case import linear
from steadyhead.flight.governor_result import GovernorAnswer
from steadyhead.flight.linear_model import LinearModel
from steadyhead.flight.replay import replayed
from steadyhead.flight.residuals import Residual, residuals
from steadyhead.flight.result import Flight
from steadyhead.flight.scenario_file import read_scenario
from steadyhead.judge.flown import learned, simulated
from steadyhead.judge.gearing_of import gearing_of
from steadyhead.judge.judging import judge as judge_trace
from steadyhead.judge.readings import readings as readings_of
from steadyhead.judge.result import Judgement
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.new import write_machine_file
from steadyhead.machine.reading import read_machine
from steadyhead.machine.schema import json_schema
from steadyhead.machine.survey import Survey, survey
from steadyhead.plan.drive_point import (
    ControllerConstants,
    DriveFigures,
    LoadLaw,
    MotorConstants,
    PackSupply,
    Supply,
    drive_point,
)
from steadyhead.plan.result import Plan
from steadyhead.plan.rotor_point import (
    AirProperties,
    RotorGeometry,
    RotorPoint,
    SectionConstants,
    SectionTable,
    rotor_for_thrust,
    rotor_point,
)
from steadyhead.plan.steady import plan as steady_plan
from steadyhead.report.governor_plots import write_ramp_plot, write_tuning_map
from steadyhead.report.plots import write_duty_plot, write_log_plot
from steadyhead.report.sheet import SheetFiles, write_sheet
from steadyhead.trace.bundled_logs import DEMO_LOGS
from steadyhead.trace.column_text import columns_from_text
from steadyhead.trace.reading import read_trace
from steadyhead.words.cautions import ALL as ALL_CAUTIONS
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome, worst

__all__ = [
    "AirProperties",
    "ControllerConstants",
    "DriveFigures",
    "Flown",
    "LoadLaw",
    "MotorConstants",
    "PackSupply",
    "RotorGeometry",
    "RotorPoint",
    "SectionConstants",
    "SectionTable",
    "Sheet",
    "Supply",
    "channel",
    "check",
    "columns",
    "demo",
    "drive_point",
    "duty_plot",
    "fly",
    "fly_against",
    "governor",
    "json_schema",
    "judge",
    "linear_model",
    "logic",
    "new",
    "plan",
    "ramp_plot",
    "read_machine",
    "rotor_for_thrust",
    "rotor_point",
    "sheet",
    "tuning_map",
]  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """The sheet as written, and everything on it."""

    machine: str
    files: SheetFiles
    plan: Plan
    channel: ChannelAnswer
    judgements: tuple[Judgement, ...]
    verdict: Outcome


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


def new(name: str, size_class: int, folder: Path) -> Path:
    """Write a commented machine file to edit, and return its path."""
    return write_machine_file(name, size_class, folder)


def check(machine: Machine) -> Survey:
    """Say what of a machine is typical, what is missing, and what looks implausible."""
    return survey(machine)


def plan(machine: Machine) -> Plan:
    """Say which head speeds the drive can hold, for every flight mode and condition."""
    return steady_plan(machine)


def duty_plot(path: Path, machine: Machine, planned: Plan) -> Path:
    """Write head speed against duty for each condition, limits drawn, as SVG, and return its path."""
    return write_duty_plot(path, machine, planned)


def columns(texts: Sequence[str]) -> dict[str, str]:
    """Read column meanings as typed, `HEADING=MEANING:UNIT`, for `judge`."""
    return columns_from_text(texts)


def judge(machine: Machine, log: Path, columns: Mapping[str, str] | None = None) -> Judgement:
    """Judge one log: segments, governing figures, verdicts, advice."""
    return judge_trace(machine, read_trace(log, gearing=gearing_of(machine), mapping=columns))


def fly(
    machine: Machine, scenario: str, *, out: Path | None = None, plot: Path | None = None, say: Say = silent
) -> Flown:
    """Fly a scenario, bundled or in a file, and judge its trace as a log is judged."""
    refuse_kind(out)
    asked = read_scenario(scenario)
    if asked.replay is not None:
        return fly_against(machine, asked.replay, out=out, plot=plot, say=say)
    flight = flown(machine, asked, say=say)
    return _judged_flight(machine, flight, None, (out, plot), say)


def fly_against(
    machine: Machine, log: Path, *, out: Path | None = None, plot: Path | None = None, say: Say = silent
) -> Flown:
    """Fly the inputs of a log, judge the flight, and say how far it lies from the log, segment by segment."""
    refuse_kind(out)
    say(f"judge {log.name}")
    seen = judge(machine, log)
    return _judged_flight(machine, replayed(machine, seen.trace, learned(seen), say=say), seen, (out, plot), say)


def _judged_flight(
    machine: Machine, flight: Flight, seen: Judgement | None, files: tuple[Path | None, Path | None], say: Say
) -> Flown:
    say("judge the flight")
    judgement = simulated(judge_trace(machine, flight.trace), flight, machine)
    stretches = [(s.kind, s.start_s, s.end_s) for s in seen.segments] if seen else []
    out, plot = files
    say("write")
    written = [write_trace(flight.trace, out)] if out else []
    if plot:
        beside = seen.trace if seen else None
        written.append(write_log_plot(plot, judgement, machine.limit("limits.duty_max"), beside=beside))
    return Flown(
        flight=flight,
        judgement=judgement,
        against=seen.log if seen else None,
        residuals=residuals(flight.trace, seen.trace, stretches) if seen else (),
        written=tuple(written),
        verdict=judgement.verdict,
        cautions=ALL_CAUTIONS,
    )


def channel(machine: Machine, readings: Sequence[str] = (), judgements: Sequence[Judgement] = ()) -> ChannelAnswer:
    """Say every number of the throttle channel, from the machine's readings, typed ones, and those in bench logs."""
    typed: list[Reading] = [reading_from_text(text) for text in readings]
    found = [reading for judgement in judgements for reading in readings_of(judgement)]
    return channel_answer(machine, [*typed, *found])


def logic(machine: Machine) -> LogicAnswer:
    """Check every switch sequence against the safety rules; a broken rule comes with the shortest switch story."""
    return checked_logic(machine)


def governor(machine: Machine, mode: str | None = None, *, matrices: bool = False, say: Say = silent) -> GovernorAnswer:
    """Say margins and load steps of the governor, which gains meet the tolerances, and what a quick ramp asks."""
    return governor_answer(machine, mode, matrices=matrices, say=say)


def linear_model(machine: Machine, mode: str, load: str = "hover", charge: float = 1.0) -> LinearModel:
    """Give the linear model about one condition: A, B, C and D of small motions."""
    return linear(machine, mode, load, charge)


def tuning_map(path: Path, machine: Machine, answer: GovernorAnswer) -> Path:
    """Write the map of gains, today's marked, as SVG, and return its path."""
    return write_tuning_map(path, machine, answer)


def ramp_plot(path: Path, machine: Machine, answer: GovernorAnswer) -> Path:
    """Write what the hardest quick ramp asks against its time as SVG, and return its path."""
    return write_ramp_plot(path, machine, answer)


def sheet(
    machine: Machine, logs: Sequence[Path], folder: Path, *, readings: Sequence[str] = (), say: Say = silent
) -> Sheet:
    """Write the set-up sheet with its evidence, one page and full, as HTML and PDF."""
    judgements = []
    for log in logs:
        say(f"judge {log.name}")
        judgements.append(judge(machine, log))
    say("plan the head speeds")
    planned = plan(machine)
    say("work out the channel")
    answer = channel(machine, readings, judgements)
    say("write the sheet")
    files = write_sheet(
        folder, machine=machine, plan=planned, channel=answer, judgements=judgements, made_on=date.today()
    )
    outcome = worst([planned.verdict, answer.verdict, *(judgement.verdict for judgement in judgements)])
    return Sheet(
        machine=machine.name, files=files, plan=planned, channel=answer, judgements=tuple(judgements), verdict=outcome
    )


def demo(folder: Path, say: Say = silent) -> Sheet:
    """Run the whole job on the bundled invented machine and its two invented logs."""
    say("read the machine")
    return sheet(read_machine(bundled("fox600")), DEMO_LOGS, folder, say=say)
