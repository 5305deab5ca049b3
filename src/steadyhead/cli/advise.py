"""The command `advise`."""

from pathlib import Path
from typing import Annotated

import typer

from steadyhead.cli.ending import end, ending


@ending
def advise(
    machine: Annotated[Path, typer.Argument(metavar="MACHINE", help="machine file (TOML)")],
    logs: Annotated[list[Path] | None, typer.Argument(metavar="[LOG ...]", help="logs to judge as well")] = None,
    reading: Annotated[
        list[str] | None,
        typer.Option("--reading", metavar="PERCENT=RPM", help="a bench reading, 80=1710 or 80=1710+-5"),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="answer as JSON")] = False,
) -> None:
    """What to change and by how much, simulated before and after; what to measure next, ranked."""
    from steadyhead import job
    from steadyhead.cli.show import watched
    from steadyhead.cli.show_advise import STEPS, show_advice

    described = job.read_machine(machine)
    with watched(steps=STEPS, more=len(logs or ()), quiet=as_json) as say:
        result = job.advise(described, logs or [], reading or [], say=say)
    show_advice(result, as_json=as_json)
    end(result.verdict)
