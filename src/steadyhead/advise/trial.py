"""One change worth trying: the machine with that change made, and what it touches."""

from collections.abc import Mapping
from dataclasses import dataclass

from steadyhead.machine.description import Machine


@dataclass(frozen=True, kw_only=True)
class Trial:
    """One change, not yet judged. `numbers` are the keys it sets, SI."""

    key: str
    what: str
    today: str
    to: str
    numbers: Mapping[str, float]
    machine: Machine
    touches: tuple[str, ...]
    """Parts whose checks are worked out anew, the one that tells most for least first."""
    relative: bool = False
    note: str = ""
    must_mend: bool = False
    """Whether it is advised only where a failing check no longer fails after it: today's place is sound."""


@dataclass(frozen=True, kw_only=True)
class NoNumber:
    """A change without a number: today's value is not known, or another change has to come first."""

    key: str
    why: str
    measure: str


Tried = Trial | NoNumber


def trial_of(
    machine: Machine, numbers: Mapping[str, float], words: tuple[str, str, str, str], touches: tuple[str, ...],
    *, relative: bool = False, note: str = "", must_mend: bool = False,
) -> Trial:  # fmt: skip
    """Return a trial that sets some numbers of a machine; `words` are key, what it is, today's value, the new one."""
    key, what, today, to = words
    return Trial(
        key=key, what=what, today=today, to=to, numbers=dict(numbers), machine=machine.replaced(dict(numbers)),
        touches=touches, relative=relative, note=note, must_mend=must_mend,
    )  # fmt: skip
