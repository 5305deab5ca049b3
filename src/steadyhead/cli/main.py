"""The commands: each reads words, calls `job`, shows the result; heavy imports stand within, so `--help` is quick."""

from pathlib import Path
from typing import Annotated

import typer

from steadyhead.cli.advise import advise
from steadyhead.cli.device import asked_device, on_device
from steadyhead.cli.ending import end, ending
from steadyhead.cli.learn import learn
from steadyhead.cli.listen import listen
from steadyhead.cli.record import RecordFile
from steadyhead.cli.record import app as record_app
from steadyhead.cli.serve import serve
from steadyhead.cli.study import study

app = typer.Typer(
    name="steadyhead",
    help="Set up the drive and rotor-speed governor of an electric model helicopter, and keep the proof.",
    epilog="Blades off for every bench test with a live motor. The makers' manuals and the site rules come first.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
app.add_typer(record_app)
app.command()(learn)
app.command()(listen)
app.command()(advise)
app.command()(serve)
app.command()(study)

MachineFile = Annotated[Path, typer.Argument(metavar="MACHINE", help="machine file (TOML)")]
AsJson = Annotated[bool, typer.Option("--json", help="answer as JSON")]
Readings = Annotated[
    list[str] | None,
    typer.Option("--reading", metavar="PERCENT=RPM", help="a bench reading, 80=1710 or 80=1710+-5; may be repeated"),
]
Columns = Annotated[
    list[str] | None,
    typer.Option("--column", metavar="HEADING=MEANING:UNIT", help="what a column means; remembered for this layout"),
]
FromBench = Annotated[
    bool, typer.Option("--from-bench", help="take the last bench run of this machine in the record as evidence")
]
Folder = Annotated[Path, typer.Option("--out", metavar="FOLDER", help="folder that the sheet is written to")]


@app.command()
@ending
def demo(folder: Folder = Path("steadyhead-demo"), as_json: AsJson = False) -> None:
    """Run the whole job on the bundled invented machine and logs, and write the sheet; ends in 0 when it ran."""
    from steadyhead import job
    from steadyhead.cli.show import show_sheet, watched

    with watched(steps=7, quiet=as_json) as say:
        result = job.demo(folder, say)
    show_sheet(result, as_json=as_json)


@app.command()
@ending
def new(
    name: Annotated[str, typer.Argument(metavar="NAME", help="name of the machine, and of its file")],
    size: Annotated[int, typer.Option("--size", help="size class: blade length in mm, 400 to 800")],
    folder: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="folder to write to")] = Path(),
    as_json: AsJson = False,
) -> None:
    """Write a commented machine file to edit."""
    from steadyhead import job
    from steadyhead.cli.show import show_new

    show_new(job.new(name, size, folder), as_json=as_json)


@app.command()
@ending
def check(machine: MachineFile, as_json: AsJson = False) -> None:
    """Read a machine file; list what is typical, missing, implausible."""
    from steadyhead import job
    from steadyhead.cli.show_check import show_check

    result = job.check(job.read_machine(machine))
    show_check(result, as_json=as_json)
    end(result.verdict)


@app.command()
@ending
def schema() -> None:
    """Print the JSON Schema of the machine file."""
    from steadyhead import job
    from steadyhead.cli.show import show_json

    show_json(job.schema())


@app.command()
@ending
def plan(
    machine: MachineFile,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="FILE.svg", help="write head speed against duty")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Head speeds, head-room, heat and flight time for every mode and condition; pinion and pack tables."""
    from steadyhead import job
    from steadyhead.cli.show import watched
    from steadyhead.cli.show_plan import show_plan

    described = job.read_machine(machine)
    with watched(steps=1, quiet=as_json) as say:
        say("solve every condition")
        result = job.plan(described)
    if plot is not None:
        job.duty_plot(plot, described, result)
    show_plan(result, as_json=as_json)
    end(result.verdict)


@app.command()
@ending
def channel(
    machine: MachineFile,
    reading: Readings = None,
    from_log: Annotated[
        list[Path] | None,
        typer.Option("--from-log", metavar="LOG", help="take readings from a bench log or a recording (WAV)"),
    ] = None,
    in_place: Annotated[
        bool, typer.Option("--in-place", help="in recordings the machine stood or hovered in one place")
    ] = False,
    from_bench: FromBench = False,
    record: RecordFile = None,
    as_json: AsJson = False,
) -> None:
    """End points, thresholds, start delay, set-point law, curve percent, autorotation window, next reading."""
    from steadyhead import job
    from steadyhead.cli.record import bench_evidence
    from steadyhead.cli.show_channel import show_channel

    described = job.read_machine(machine)
    on_bench = bench_evidence(described, record) if from_bench else None
    sounds = [log for log in from_log or [] if job.is_sound(log)]
    judged = [job.judge(described, log) for log in from_log or [] if log not in sounds]
    heard = [one for log in sounds for one in job.readings_heard(job.listen(described, log, in_place=in_place))]
    kept = [*(on_bench.readings if on_bench else ()), *heard]
    result = job.channel(described, reading or [], judged, kept=kept, bench=on_bench)
    show_channel(result, as_json=as_json)
    end(result.verdict)


@app.command()
@ending
def logic(machine: MachineFile, as_json: AsJson = False) -> None:
    """Check every switch sequence against the safety rules; tell a broken rule as a switch story."""
    from steadyhead import job
    from steadyhead.cli.show import watched
    from steadyhead.cli.show_logic import show_logic

    described = job.read_machine(machine)
    with watched(steps=1, quiet=as_json) as say:
        say("walk over every switch sequence")
        result = job.logic(described)
    show_logic(result, as_json=as_json)
    end(result.verdict)


@app.command()
@ending
def bench(
    machine: MachineFile,
    run: Annotated[str | None, typer.Option("--run", metavar="RUN", help="go on with this run")] = None,
    new: Annotated[bool, typer.Option("--new", help="begin a new run, though the last one is not done")] = False,
    answer: Annotated[
        list[str] | None,
        typer.Option("--answer", metavar="WORDS", help="what you would type, in order; else it is read as you type"),
    ] = None,
    record: RecordFile = None,
    as_json: AsJson = False,
) -> None:
    """Guided bench procedure, blades off: step by step, judged at once, every answer kept."""
    from steadyhead import job
    from steadyhead.cli.show_bench import begun, guide, show_run

    with job.record.open_record(record) as opened:
        result = guide(opened, begun(opened, machine, run, new=new), answer or [], as_json=as_json)
    show_run(result, as_json=as_json)
    end(result.verdict)


@app.command()
@ending
def judge(
    machine: MachineFile,
    logs: Annotated[
        list[Path], typer.Argument(metavar="LOG ...", help="log files: CSV in any dialect, gz, Parquet, MDF")
    ],
    column: Columns = None,
    as_json: AsJson = False,
) -> None:
    """Judge logs: segments, flights, governing figures, verdicts, corrections; several logs also together."""
    from steadyhead import job
    from steadyhead.cli.show import watched
    from steadyhead.cli.show_judge import show_session

    described = job.read_machine(machine)
    with watched(steps=len(logs), quiet=as_json) as say:
        result = job.session(described, logs, job.columns(column or []), say=say)
    show_session(result, as_json=as_json)
    end(result.verdict, unread=result.unread)


@app.command()
@ending
def columns(
    forget: Annotated[
        str | None, typer.Option("--forget", metavar="LAYOUT", help="forget one layout, or all of them: --forget all")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """What you said of the columns of your logs, and how to forget it."""
    from steadyhead import job
    from steadyhead.cli.show_judge import show_columns

    show_columns(job.remembered_columns(forget), as_json=as_json)


@app.command()
@ending
def compare(
    machine: MachineFile,
    before: Annotated[Path, typer.Argument(metavar="BEFORE", help="a log from before the change")],
    after: Annotated[Path, typer.Argument(metavar="AFTER", help="a log from after it")],
    more_before: Annotated[
        list[Path] | None, typer.Option("--before", metavar="LOG", help="another log from before; may be repeated")
    ] = None,
    more_after: Annotated[
        list[Path] | None, typer.Option("--after", metavar="LOG", help="another log from after; may be repeated")
    ] = None,
    density: Annotated[
        tuple[float, float] | None,
        typer.Option("--density", metavar="BEFORE AFTER", help="air density in kg/m3 on both sides, where known"),
    ] = None,
    column: Columns = None,
    as_json: AsJson = False,
) -> None:
    """Logs before and after a change: which figures changed beyond noise, and what else could have done it."""
    from steadyhead import job
    from steadyhead.cli.show import watched
    from steadyhead.cli.show_compare import show_comparison

    described = job.read_machine(machine)
    old, new = [before, *(more_before or ())], [after, *(more_after or ())]
    with watched(steps=len(old), more=len(new), quiet=as_json) as say:
        result = job.compare(
            described,
            old,
            new,
            density_kg_m3=density or (None, None),
            columns=job.columns(column or []),
            say=say,
        )
    show_comparison(result, as_json=as_json)
    end(result.verdict)


@app.command()
@ending
def fly(
    machine: MachineFile,
    scenario: Annotated[
        str | None,
        typer.Argument(metavar="SCENARIO", help="a bundled scenario by its name, or a scenario file (TOML)"),
    ] = None,
    against: Annotated[
        Path | None,
        typer.Option("--against", metavar="LOG", help="instead of a scenario: replay a log's inputs and compare"),
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", metavar="FILE", help="write the trace: .parquet or .csv")] = None,
    plot: Annotated[Path | None, typer.Option("--plot", metavar="FILE.svg", help="draw the flight over time")] = None,
    as_json: AsJson = False,
) -> None:
    """Simulate a flight in time and judge its trace; a simulation is no evidence of what the machine does."""
    from steadyhead import job
    from steadyhead.cli.show import watched
    from steadyhead.cli.show_fly import STEPS, one_of, show_flown

    described = job.read_machine(machine)
    one_of(scenario, against)
    with watched(steps=STEPS, quiet=as_json) as say:
        if against is not None:
            result = job.fly_against(described, against, out=out, plot=plot, say=say)
        else:
            result = job.fly(described, scenario or "", out=out, plot=plot, say=say)
    show_flown(result, as_json=as_json)
    end(result.verdict)


@app.command()
@ending
def governor(
    machine: MachineFile,
    mode: Annotated[
        str | None, typer.Option("--mode", metavar="NAME", help="one flight mode; all when left out")
    ] = None,
    gain_map: Annotated[
        Path | None, typer.Option("--map", metavar="FILE.svg", help="write the map of gains, today's marked")
    ] = None,
    ramp: Annotated[
        Path | None, typer.Option("--ramp", metavar="FILE.svg", help="write what the quick ramp asks against its time")
    ] = None,
    matrices: Annotated[bool, typer.Option("--matrices", help="with --json: A and B of every condition")] = False,
    as_json: AsJson = False,
) -> None:
    """Margins and load steps of the governor, the gains that meet the tolerances, spool-up and quick ramp."""
    from steadyhead import job
    from steadyhead.cli.show import watched
    from steadyhead.cli.show_governor import show_governor

    described = job.read_machine(machine)
    with watched(steps=20, quiet=as_json) as say:
        result = job.governor(described, mode, matrices=matrices, say=say)
    if gain_map is not None:
        job.tuning_map(gain_map, described, result)
    if ramp is not None:
        job.ramp_plot(ramp, described, result)
    show_governor(result, as_json=as_json)
    end(result.verdict)


@app.command()
@on_device
@ending
def descend(
    machine: MachineFile,
    mode: Annotated[str | None, typer.Option("--mode", metavar="NAME", help="flight mode; else the fastest")] = None,
    glide_rpm: Annotated[float | None, typer.Option("--glide-rpm", help="head speed of the descent")] = None,
    chance: Annotated[float, typer.Option("--chance", help="share of bail-outs a height has to be enough for")] = 0.95,
    plot: Annotated[Path | None, typer.Option("--plot", metavar="FILE.svg", help="draw sink rate over speed")] = None,
    figures: Annotated[Path | None, typer.Option("--figures", metavar="FOLDER", help="draw bail-out, heights")] = None,
    draws: Annotated[int, typer.Option("--draws", help="machines, pilots, airs drawn")] = 1000, as_json: AsJson = False,
) -> None:  # fmt: skip
    """Autorotation, bail-out height and height-velocity diagram: estimates with their doubt, never a permission."""
    from steadyhead import job
    from steadyhead.cli.show import watched
    from steadyhead.cli.show_descend import show_descend

    described = job.read_machine(machine)
    with watched(steps=10, quiet=as_json) as say:
        result = job.descend(
            described, mode=mode, glide_rpm=glide_rpm, chance=chance, draws=draws, device=asked_device(), say=say
        )
    if plot is not None:
        job.descent_plot(plot, result)
    if figures is not None:
        job.write_bail_out_plots(figures, described, result)
    show_descend(result, as_json=as_json)
    end(result.verdict)


@app.command()
@ending
def sheet(
    machine: MachineFile,
    logs: Annotated[list[Path] | None, typer.Option("--log", metavar="LOG", help="a log to judge as evidence")] = None,
    reading: Readings = None,
    folder: Folder = Path("sheet"),
    from_bench: FromBench = False,
    record: RecordFile = None,
    as_json: AsJson = False,
) -> None:
    """Write the set-up sheet with its evidence: one page and full, HTML and PDF."""
    from steadyhead import job
    from steadyhead.cli.record import bench_evidence, keep_evidence
    from steadyhead.cli.show import show_sheet, watched

    described = job.read_machine(machine)
    on_bench = bench_evidence(described, record) if from_bench else None
    with watched(steps=len(logs or ()), more=4, quiet=as_json) as say:
        result = job.sheet(described, logs or [], folder, readings=reading or [], bench=on_bench, say=say)
    if from_bench:
        keep_evidence(machine, logs or [], result, record)
    show_sheet(result, as_json=as_json)
    end(result.verdict)


def run() -> None:
    """Run the command line; the one place where a broken pipe or an interrupt ends quietly."""
    app()
