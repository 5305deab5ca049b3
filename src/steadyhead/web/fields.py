"""A field for a number: what is typed stays as it was typed, and what cannot be is refused where it is used."""

from nicegui import ui

from steadyhead.words.errors import InputError


def number_field(label: str, *, value: float | None = None, step: float | None = None) -> ui.number:
    """Return the field. It has no ends: a browser's field with ends moves a slip to the nearest end in silence."""
    return ui.number(label, value=value, step=step)


def whole(field: ui.number, low: int, high: int) -> int:
    """Return the whole number that was typed.

    Raises: InputError when none was, or it lies outside `low` to `high`.
    """
    typed: float | None = field.value
    if typed is None or not low <= typed <= high or not float(typed).is_integer():
        read = "nothing" if typed is None else f"{typed:g}"
        raise InputError(field.label or "a number", read=read, right=f"a whole number from {low} to {high}")
    return int(typed)
