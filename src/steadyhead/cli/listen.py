"""The command `listen`: reads its words, calls `job`, shows the result."""

from pathlib import Path
from typing import Annotated

import typer

from steadyhead.cli.ending import end, ending


@ending
def listen(
    machine: Annotated[Path, typer.Argument(metavar="MACHINE", help="machine file (TOML)")],
    wav: Annotated[Path, typer.Argument(metavar="WAV", help="a recording: WAV, FLAC or OGG, any rate, any channels")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="write what was heard as a trace: .parquet or .csv")
    ] = None,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="FILE.svg", help="draw what was heard over time")
    ] = None,
    in_place: Annotated[
        bool, typer.Option("--in-place", help="the machine stood or hovered in one place while it was recorded")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="answer as JSON")] = False,
) -> None:
    """Hear the head speed in a recording, blades off or on, and judge it as a log is judged."""
    from steadyhead import job
    from steadyhead.cli.show import watched
    from steadyhead.cli.show_listen import STEPS, show_listening

    described = job.read_machine(machine)
    with watched(steps=STEPS, quiet=as_json) as say:
        result = job.listen(described, wav, out=out, plot=plot, in_place=in_place, say=say)
    show_listening(result, as_json=as_json)
    end(result.verdict)
