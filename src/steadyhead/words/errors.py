"""The one family of errors.

SteadyheadError
├── InputError          something the user gave cannot be used: place, what was read, what would be right
└── SolveError          a kernel stopped for a reason that has a sentence
"""

from collections.abc import Iterable
from difflib import get_close_matches

ASKS = "did you mean "


class SteadyheadError(Exception):
    """Anything this package says no to; its text is one sentence for the person at the bench."""


class InputError(SteadyheadError):
    """Something the user gave cannot be used.

    Says the place ("fox.toml line 12, gears.pinion_teeth"), what was read there, and what would be right.
    """

    def __init__(self, place: str, *, read: str, right: str) -> None:
        self.place = place
        self.read = read
        self.right = right
        self.said = f"read {read}; {right if right.startswith(ASKS) else f'right would be {right}'}"
        super().__init__(f"{place}: {self.said}")


class SolveError(SteadyheadError):
    """A solve has no answer, and the sentence says why."""


def in_short(error: BaseException) -> str:
    """Return what a library said of a file, cut to one line that fits into a sentence of ours."""
    first = next(iter(str(error).splitlines()), "").strip()
    return first[:120] or type(error).__name__


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return a sentence part that offers the nearest known word, or lists the known ones."""
    names = sorted(known)
    near = get_close_matches(word, names, n=1, cutoff=0.6)
    if near:
        return f"{ASKS}{near[0]}?"
    return "one of " + ", ".join(names)
