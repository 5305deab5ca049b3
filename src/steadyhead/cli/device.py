"""The option `--device`, for every command that can fly its drawn flights on a graphics card."""

import functools
import inspect
from collections.abc import Callable
from contextvars import ContextVar
from typing import Annotated, Any

import typer

Device = Annotated[str, typer.Option("--device", metavar="NAME", help="cpu, or cuda: a graphics card")]
ASKED: ContextVar[str] = ContextVar("device", default="cpu")


def on_device(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the option `--device`, which it reads by `asked_device`."""

    @functools.wraps(command)
    def wrapped(*arguments: Any, device: str, **options: Any) -> None:
        ASKED.set(device)
        command(*arguments, **options)

    taken = inspect.signature(command)
    more = inspect.Parameter("device", inspect.Parameter.KEYWORD_ONLY, default="cpu", annotation=Device)
    vars(wrapped)["__signature__"] = taken.replace(parameters=[*taken.parameters.values(), more])
    wrapped.__annotations__ = {**command.__annotations__, "device": Device}
    return wrapped


def asked_device() -> str:
    """Return the device that the command was called with."""
    return ASKED.get()
