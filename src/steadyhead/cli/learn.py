"""The `learn` command."""

from pathlib import Path
from typing import Annotated

import typer

from steadyhead.cli.ending import end, ending


@ending
def learn(
    machine: Annotated[Path, typer.Argument(metavar="MACHINE", help="machine file (TOML)")],
    logs: Annotated[
        list[Path], typer.Argument(metavar="LOG ...", help="logs of this machine: bench, coast-down, flight")
    ],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE.toml", help="write the proposed file under a new name")
    ] = None,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="FILE.svg", help="draw logs against file, and one log flown")
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option("--column", metavar="HEADING=MEANING:UNIT", help="what a column means; remembered"),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="answer as JSON")] = False,
) -> None:
    """Fit what logs tell of the machine, with intervals, and propose a machine file that holds it."""
    from steadyhead import job
    from steadyhead.cli.show import watched
    from steadyhead.cli.show_learn import STEPS, show_learned

    with watched(steps=len(logs), more=STEPS, quiet=as_json) as say:
        result = job.learn(machine, logs, job.columns(column or []), out=out, say=say)
    if plot is not None:
        job.write_learned_plot(plot, result)
    show_learned(result, as_json=as_json)
    end(result.verdict)
