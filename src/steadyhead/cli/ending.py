"""How a command ends: 0 pass, 1 fail or unknown, 2 bad input; one sentence, no traceback."""

import functools
import sys
from collections.abc import Callable, Sequence
from typing import ParamSpec

import typer

from steadyhead.words.errors import SteadyheadError
from steadyhead.words.verdict import Outcome, worst

P = ParamSpec("P")


def end(*outcomes: Outcome, unread: Sequence[str] = ()) -> None:
    """Leave with 0 when everything passed, else with 1: unknown is never pass; with 2 where a file was not read."""
    for said in unread:
        typer.echo(f"steadyhead: {said}", err=True)
    raise typer.Exit(2 if unread else 0 if worst(outcomes) is Outcome.PASS else 1)


def ending(command: Callable[P, None]) -> Callable[P, None]:
    """Turn our own errors into one sentence and exit 2, an interrupt into a sentence and exit 130."""

    @functools.wraps(command)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> None:
        try:
            command(*args, **kwargs)
        except SteadyheadError as error:
            typer.echo(f"steadyhead: {error}", err=True)
            raise typer.Exit(2) from error
        except BrokenPipeError as error:
            sys.stderr.close()
            raise typer.Exit(1) from error
        except OSError as error:
            place = error.filename or "the file system"
            typer.echo(f"steadyhead: {place}: {error.strerror or error}; nothing half-written was left", err=True)
            raise typer.Exit(2) from error
        except KeyboardInterrupt as error:
            typer.echo("steadyhead: stopped; nothing half-written was left", err=True)
            raise typer.Exit(130) from error

    return wrapped
