"""A field for a number: what is typed stays as it was typed, and what cannot be is refused where it is used."""

import re
from collections.abc import Callable
from typing import Any

from nicegui import ui

from steadyhead.words.errors import InputError
from steadyhead.words.typed_number import number_in_field

_WHOLE = re.compile(r"[-+]?\d{1,9}", re.ASCII)


class NumberField:
    """One field for a number, and what was typed into it.

    It holds text: a browser's own field for numbers drops a decimal comma, so that 9,5 becomes 95, and one with ends
    moves a slip to the nearest end, both in silence.
    """

    def __init__(self, name: str, *, value: float | None = None) -> None:
        self.name = name
        self._shown = ui.input(name, value="" if value is None else f"{value:g}")
        self._shown.without_auto_validation().props("inputmode=decimal autocomplete=off spellcheck=false")

    @property
    def typed(self) -> str:
        """What was typed, without the spaces around it."""
        return (self._shown.value or "").strip()

    @property
    def number(self) -> float | None:
        """The number that was typed; None where nothing was.

        Raises: InputError when it is no number, or may be read as two.
        """
        return number_in_field(self.name, self.typed)

    def clear(self) -> None:
        """Take away what was typed."""
        self._shown.set_value("")

    def fault(self, words: str) -> None:
        """Say under the field what is wrong with what stands in it; nothing, once that is mended."""
        self._shown.error = words or None

    def on_change(self, act: Callable[[], Any]) -> None:
        """Do this whenever something else stands in it."""
        self._shown.on_value_change(act)


def whole(field: NumberField, low: int, high: int) -> int:
    """Return the whole number that was typed.

    Raises: InputError when none was, or it lies outside `low` to `high`.
    """
    typed = field.typed
    if _WHOLE.fullmatch(typed) is None or not low <= int(typed) <= high:
        read = repr(typed[:60]) if typed else "nothing"
        raise InputError(field.name, read=read, right=f"a whole number from {low} to {high}")
    return int(typed)
