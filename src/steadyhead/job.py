"""The contents page: one short function for each thing steadyhead does, for both faces and for users of the library.

Every function answers with a frozen result whose field names are the JSON keys, or raises `InputError` with one
sentence that says the place, what was read, and what would be right. A room is loaded by the function that needs it,
so that asking for little costs little. Names of ELSEWHERE and of the room WITHOUT_MACHINE are found here, and ROOMS:
`job.bench` the guided bench procedure, `job.record`, `job.readings`, `job.archive` and `job.care` the record that keeps
everything, `job.studies` the studies that pages began.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from steadyhead.words.errors import InputError
from steadyhead.words.progress import Say, silent

if TYPE_CHECKING:
    from steadyhead.advise.result import Advice
    from steadyhead.bench import archive, care, record, shelf
    from steadyhead.bench import guided as bench
    from steadyhead.bench import kept_readings as readings
    from steadyhead.bench.bring_in import bring_in
    from steadyhead.bench.run_summary import RunSummary
    from steadyhead.channel.logic_result import LogicAnswer
    from steadyhead.channel.result import ChannelAnswer, Reading
    from steadyhead.flight.descend_result import DescendAnswer
    from steadyhead.flight.governor_result import GovernorAnswer
    from steadyhead.flight.linear_model import LinearModel
    from steadyhead.flight.scenario import Scenario
    from steadyhead.judge.compare_result import Comparison
    from steadyhead.judge.listening import readings_heard
    from steadyhead.judge.live_ear import LiveEar
    from steadyhead.judge.result import Judgement, Session
    from steadyhead.learn.learning import learn
    from steadyhead.machine.description import Machine
    from steadyhead.machine.survey import Survey
    from steadyhead.plan.glimpse import Glimpse
    from steadyhead.plan.result import Plan
    from steadyhead.report.flown import Flown
    from steadyhead.report.kept_logs import LogsShown
    from steadyhead.report.listened import listen
    from steadyhead.report.plots import write_learned_plot
    from steadyhead.report.sheet import Sheet
    from steadyhead.study import kept as studies
    from steadyhead.study.studied import study
    from steadyhead.trace.remembered import RememberedColumns
    from steadyhead.trace.sound_file import is_sound

ELSEWHERE = {
    "bring_in": "steadyhead.bench.bring_in",
    "learn": "steadyhead.learn.learning",
    "write_learned_plot": "steadyhead.report.plots",
    "write_bail_out_plots": "steadyhead.report.bail_out_plots",
    "listen": "steadyhead.report.listened",
    "readings_heard": "steadyhead.judge.listening",
    "is_sound": "steadyhead.trace.sound_file",
    "study": "steadyhead.study.studied",
}
WITHOUT_MACHINE = "steadyhead.plan.without_machine"
"""Rotors and drives that have no machine file."""
ROOMS = {
    "archive": "steadyhead.bench.archive",
    "bench": "steadyhead.bench.guided",
    "care": "steadyhead.bench.care",
    "readings": "steadyhead.bench.kept_readings",
    "record": "steadyhead.bench.record",
    "shelf": "steadyhead.bench.shelf",
    "studies": "steadyhead.study.kept",
}

__all__ = [
    "Sheet", "advise", "archive", "bench", "bring_in", "bundled", "care", "channel", "check", "columns", "compare",
    "demo", "descend", "descent_plot", "duty_plot", "fly", "fly_against", "glimpse", "governor", "is_sound", "judge",
    "learn", "linear_model", "listen", "live_ear", "logic", "new", "new_text", "plan", "ramp_plot", "read_machine",
    "reading", "readings", "readings_heard", "record", "remembered_columns", "scenarios", "schema", "session", "sheet",
    "shelf", "studies", "study", "tuning_map", "write_learned_plot",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    """Find the functions and descriptions for rotors and drives that have no machine file, and the rooms."""
    if name in ROOMS:
        return import_module(ROOMS[name])
    if name in ELSEWHERE:
        return getattr(import_module(ELSEWHERE[name]), name)
    if name.startswith("_"):
        raise AttributeError(f"steadyhead.job has no {name}")
    by_hand = import_module(WITHOUT_MACHINE)
    if name not in by_hand.__all__:
        raise AttributeError(f"steadyhead.job has no {name}")
    return getattr(by_hand, name)


def new(name: str, size_class: int, folder: Path) -> Path:
    """Write a commented machine file to edit, and return its path."""
    from steadyhead.machine.new import write_machine_file

    return write_machine_file(name, size_class, folder)


def new_text(name: str, size_class: int) -> str:
    """Return the text of a commented machine file to edit."""
    from steadyhead.machine.new import machine_text

    return machine_text(name, size_class)


def read_machine(path: Path) -> "Machine":
    """Read a machine file; what it leaves out is filled from the size class and marked typical."""
    from steadyhead.machine.reading import read_machine as read

    return read(path)


def bundled(name: str) -> Path:
    """Return the file of a bundled invented machine: fox600, wren450 or heron520."""
    from steadyhead.machine.bundled import bundled as path_of

    return path_of(name)


def check(machine: "Machine") -> "Survey":
    """Say what of a machine is typical, what is missing, and what looks implausible."""
    from steadyhead.machine.survey import survey

    return survey(machine)


def schema() -> dict[str, Any]:
    """Return the JSON Schema of the machine file."""
    from steadyhead.machine.schema import json_schema

    return json_schema()


def plan(machine: "Machine") -> "Plan":
    """Say which head speeds the drive can hold, for every flight mode and condition."""
    from steadyhead.plan.steady import plan as solve

    return solve(machine)


def glimpse(machine: "Machine", head_speed_rpm: float, pinion_teeth: int) -> "Glimpse":
    """Return at once what one head speed with one pinion asks: central figures, no intervals and no verdict."""
    from steadyhead.plan.glimpse import glimpse as look

    return look(machine, head_speed_rpm, pinion_teeth)


def duty_plot(path: Path, machine: "Machine", planned: "Plan") -> Path:
    """Write head speed against duty for each condition, limits drawn, as SVG, and return its path."""
    from steadyhead.report.plots import write_duty_plot

    return write_duty_plot(path, machine, planned)


def columns(texts: Sequence[str]) -> dict[str, str]:
    """Read column meanings as typed, `HEADING=MEANING:UNIT`, for `judge`."""
    from steadyhead.trace.column_text import columns_from_text

    return columns_from_text(texts)


def remembered_columns(forget: str | None = None) -> "RememberedColumns":
    """Say what is remembered of the columns of logs; forget one layout first, or all."""
    from steadyhead.trace import remembered

    forgotten = remembered.forget(forget) if forget is not None else ()
    return remembered.columns_kept(forgotten)


def judge(machine: "Machine", log: Path, columns: Mapping[str, str] | None = None, *, say: Say = silent) -> "Judgement":
    """Judge one log: segments, governing figures, verdicts, advice; one larger than memory piece by piece."""
    from steadyhead.judge.gearing_of import gearing_of
    from steadyhead.judge.judging import judge as judge_trace
    from steadyhead.judge.long_log import judge_pieces
    from steadyhead.trace.big_log import is_big, pieces
    from steadyhead.trace.reading import read_trace

    gearing = gearing_of(machine)
    if is_big(log):
        return judge_pieces(machine, pieces(log, gearing=gearing, mapping=columns or {}), say=say)
    return judge_trace(machine, read_trace(log, gearing=gearing, mapping=columns))


def session(
    machine: "Machine", logs: Sequence[Path], columns: Mapping[str, str] | None = None, *, say: Say = silent
) -> "Session":
    """Judge several logs of one machine one by one, and say what they prove together and what moves over flights.

    A log among others that cannot be read is left out, and named with why.

    Raises: InputError when no log can be read.
    """
    from steadyhead.judge.session import session as together

    judged, unread = [], []
    for log in logs:
        say(f"judge {log.name}")
        try:
            judged.append(judge(machine, log, columns, say=say))
        except InputError as error:
            unread.append((log, error))
    if not judged:
        raise unread[0][1]
    return together(machine, judged, unread=tuple(f"{log}: {error.said}" for log, error in unread))


def compare(
    machine: "Machine",
    before: Sequence[Path],
    after: Sequence[Path],
    *,
    density_kg_m3: tuple[float | None, float | None] = (None, None),
    columns: Mapping[str, str] | None = None,
    say: Say = silent,
) -> "Comparison":
    """Judge logs from before and after a change, and say which figures changed beyond noise.

    Raises: InputError when a log cannot be read, or a stated air density is none of a flying site.
    """
    from steadyhead.judge.air_logged import stated_density
    from steadyhead.judge.compare import compare as compared

    for side, stated in zip(("before", "after"), density_kg_m3, strict=True):
        stated_density(side, stated)
    old, new = ([judge(machine, log, columns, say=say) for log in side] for side in (before, after))
    return compared(machine, old, new, density_kg_m3)


def scenarios() -> "dict[str, Scenario]":
    """Return the bundled scenarios, each under the name that `fly` knows it by."""
    from steadyhead.flight.scenario_file import BUNDLED, read_scenario

    return {name: read_scenario(name) for name in BUNDLED}


def live_ear(machine: "Machine", rate_hz: float) -> "LiveEar":
    """Open an ear that hears the head speed while sound comes in, block by block."""
    from steadyhead.judge.live_ear import LiveEar

    return LiveEar(machine, rate_hz)


def fly(
    machine: "Machine", scenario: str, *, out: Path | None = None, plot: Path | None = None, say: Say = silent
) -> "Flown":
    """Fly a scenario, bundled or in a file, and judge its trace as a log is judged."""
    from steadyhead.flight.engine import flown
    from steadyhead.flight.files import refuse_kind
    from steadyhead.flight.scenario_file import read_scenario
    from steadyhead.report.flown import judged_flight

    refuse_kind(out)
    asked = read_scenario(scenario)
    if asked.replay is not None:
        return fly_against(machine, asked.replay, out=out, plot=plot, say=say)
    flight = flown(machine, asked, say=say)
    return judged_flight(machine, flight, None, (out, plot), say)


def fly_against(
    machine: "Machine", log: Path, *, out: Path | None = None, plot: Path | None = None, say: Say = silent
) -> "Flown":
    """Fly the inputs of a log, judge the flight, and say how far it lies from the log, segment by segment."""
    from steadyhead.flight.files import refuse_kind
    from steadyhead.flight.replay import replayed
    from steadyhead.judge.flown import learned
    from steadyhead.report.flown import judged_flight

    refuse_kind(out)
    say(f"judge {log.name}")
    seen = judge(machine, log)
    return judged_flight(machine, replayed(machine, seen.trace, learned(seen), say=say), seen, (out, plot), say)


def governor(
    machine: "Machine", mode: str | None = None, *, matrices: bool = False, say: Say = silent
) -> "GovernorAnswer":
    """Say margins and load steps of the governor, which gains meet the tolerances, and what a quick ramp asks."""
    from steadyhead.flight.governor_answer import governor as answer

    return answer(machine, mode, matrices=matrices, say=say)


def linear_model(machine: "Machine", mode: str, load: str = "hover", charge: float = 1.0) -> "LinearModel":
    """Give the linear model about one condition: A, B, C and D of small motions."""
    from steadyhead.flight.governor_case import linear

    return linear(machine, mode, load, charge)


def tuning_map(path: Path, machine: "Machine", answer: "GovernorAnswer") -> Path:
    """Write the map of gains, today's marked, as SVG, and return its path."""
    from steadyhead.report.governor_plots import write_tuning_map

    return write_tuning_map(path, machine, answer)


def ramp_plot(path: Path, machine: "Machine", answer: "GovernorAnswer") -> Path:
    """Write what the hardest quick ramp asks against its time as SVG, and return its path."""
    from steadyhead.report.governor_plots import write_ramp_plot

    return write_ramp_plot(path, machine, answer)


def descend(
    machine: "Machine", *, mode: str | None = None, glide_rpm: float | None = None, chance: float = 0.95,
    draws: int = 1000, device: str = "cpu", say: Say = silent,
) -> "DescendAnswer":  # fmt: skip
    """Say how the machine comes down without its motor, what a bail-out takes, and from where it ends hard."""
    from steadyhead.flight.motor_back import descend as answer

    return answer(machine, mode=mode, glide_rpm=glide_rpm, chance=chance, draws=draws, device=device, say=say)


def descent_plot(path: Path, answer: "DescendAnswer") -> Path:
    """Write sink rate against forward speed for each head speed as SVG, and return its path."""
    from steadyhead.report.descent_plots import write_descent_plot

    return write_descent_plot(path, answer)


def logic(machine: "Machine") -> "LogicAnswer":
    """Check every switch sequence against the safety rules; a broken rule comes with the shortest switch story."""
    from steadyhead.channel.logic import logic as checked

    return checked(machine)


def channel(
    machine: "Machine",
    readings: Sequence[str] = (),
    judgements: "Sequence[Judgement]" = (),
    *,
    kept: "Sequence[Reading]" = (),
    bench: "RunSummary | None" = None,
) -> "ChannelAnswer":
    """Say every number of the throttle channel, from readings of the machine, the record, the keyboard, bench logs.

    `bench`: a run whose thresholds are held against those of the machine file.
    """
    from steadyhead.channel.answer import channel as answer
    from steadyhead.channel.reading_text import reading_from_text
    from steadyhead.judge.readings import readings as readings_of

    typed = [reading_from_text(text) for text in readings]
    found = [reading for judgement in judgements for reading in readings_of(judgement)]
    return answer(machine, [*kept, *typed, *found], measured=bench.thresholds if bench else ())


def reading(percent: float | None, head_speed_rpm: float | None, spread_rpm: float | None = None) -> "Reading":
    """Return one bench reading, checked; a spread that is not given is doubted as one that was not stated."""
    from steadyhead.channel.reading_set import reading_typed

    return reading_typed(percent, head_speed_rpm, spread_rpm)


def advise(
    machine: "Machine", logs: Sequence[Path] = (), readings: Sequence[str] = (), *, say: Say = silent
) -> "Advice":
    """Say what to change and by how much, simulated before and after, and what to measure next."""
    from steadyhead.advise.advise import advise as answer

    return answer(machine, [judge(machine, log, say=say) for log in logs], readings, say=say)


def sheet(
    machine: "Machine",
    logs: Sequence[Path],
    folder: Path,
    *,
    readings: Sequence[str] = (),
    kept: "Sequence[Reading]" = (),
    shown: "LogsShown | None" = None,
    bench: "RunSummary | None" = None,
    say: Say = silent,
) -> "Sheet":
    """Write the set-up sheet with its evidence, one page and full, as HTML and PDF.

    `kept` are readings out of the record, `bench` is a bench run as evidence; `shown` says what logs out of the record
    are called, and which are not among them.
    """
    from steadyhead.flight.motor_back import descend_for_sheet
    from steadyhead.report.evidence import Evidence
    from steadyhead.report.sheet import made_sheet

    judged = []
    for log, name in zip(logs, shown.names if shown else [log.name for log in logs], strict=True):
        say(f"judge {name}")
        judged.append(replace(judge(machine, log), log=name))
    say("plan the head speeds")
    planned = plan(machine)
    say("work out the channel")
    answer = channel(machine, readings, judged, kept=[*kept, *(bench.readings if bench else ())], bench=bench)
    say("work out the descent")
    down = descend_for_sheet(machine, say=say) if machine.flight_mode else None
    say("write the sheet")
    evidence = Evidence(
        machine=machine, plan=planned, channel=answer, judgements=tuple(judged), descent=down, bench=bench,
        kept_logs=shown.standing if shown else "",
    )  # fmt: skip
    return made_sheet(folder, evidence, date.today())


def demo(folder: Path, say: Say = silent) -> "Sheet":
    """Run the whole job on the bundled invented machine and its two invented logs."""
    from steadyhead.trace.bundled_logs import DEMO_LOGS

    say("read the machine")
    return sheet(read_machine(bundled("fox600")), DEMO_LOGS, folder, say=say)
