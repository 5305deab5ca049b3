"""The command `serve`."""

from pathlib import Path
from typing import Annotated

import typer

from steadyhead.cli.ending import ending


@ending
def serve(
    record: Annotated[
        Path | None,
        typer.Option("--record", metavar="FILE", help="the record; else in STEADYHEAD_HOME, else in your data folder"),
    ] = None,
    port: Annotated[int, typer.Option("--port", min=1, max=65535, help="where it listens")] = 8420,
    share: Annotated[
        bool, typer.Option("--share", help="for a phone in the field's Wi-Fi: https, with a code that lets it in once")
    ] = False,
) -> None:
    """Serve the pages on this machine; nothing outside it can reach them unless shared."""
    from steadyhead.web.serve import serve as serve_pages

    serve_pages(record, port=port, share=share, tell=typer.echo)
