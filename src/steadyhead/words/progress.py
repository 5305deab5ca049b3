"""How long work tells what it is doing."""

from collections.abc import Callable

Say = Callable[[str], None]
"""Called with the name of each step as it begins."""


def silent(step: str) -> None:
    """Say nothing: for callers who do not watch."""
