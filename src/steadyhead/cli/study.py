"""The command `study`."""

from pathlib import Path
from typing import Annotated

import typer

from steadyhead.cli.device import Device
from steadyhead.cli.ending import end, ending


@ending
def study(
    file: Annotated[Path, typer.Argument(metavar="STUDY", help="study file (TOML)")],
    folder: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="folder for the rows; beside the study when left out")
    ] = None,
    workers: Annotated[
        int | None,
        typer.Option(
            "--workers",
            min=1,
            metavar="N",
            help="processes to use, or threads for bail_out and peaks; every core when left out",
        ),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option("--scheduler", metavar="tcp://HOST:PORT", help="work on a cluster; local starts one here"),
    ] = None,
    device: Device = "cpu",
    as_json: Annotated[bool, typer.Option("--json", help="answer as JSON")] = False,
) -> None:
    """Work out many machines at once: sweeps and draws from the doubts; stopped, it goes on where it was."""
    from steadyhead import job
    from steadyhead.cli.show import watched
    from steadyhead.cli.show_study import STEPS, show_study

    with watched(steps=STEPS, quiet=as_json) as say:
        result = job.study(
            file, folder or file.with_suffix(""), workers=workers, scheduler=scheduler, device=device, say=say
        )
    show_study(result, as_json=as_json)
    if result.verdict is not None:
        end(result.verdict)
