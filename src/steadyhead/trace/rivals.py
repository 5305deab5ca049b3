"""Two columns for one channel: the surer heading wins, and between equals nobody chooses in silence."""

from dataclasses import dataclass, field

import numpy as np

from steadyhead.trace.mapping import option_for
from steadyhead.trace.meaning import SURE
from steadyhead.trace.trace import SAID, Series
from steadyhead.trace.unsure import UnsureColumns

MATTERS = ("head_speed_rpm", "motor_side_speed_rpm")
"""Channels without which nothing can be judged: a person is asked."""
NAMED = 2
"""The rank of a heading that names its meaning; a lower one is a guess that may not decide for another column."""
_SAME_SHARE = 0.01
_LOOKED_AT = 20_000
_STANDS_STILL = 0.5
"""One that changes in so much fewer rows is no reading beside one that does; own choice."""


@dataclass(frozen=True, kw_only=True)
class Found:
    """One channel and the heading it came from. Shapes: values (n,)."""

    heading: str
    values: Series
    rank: int
    doubtful: bool = False
    divided_by: float = 1.0

    @property
    def confidence(self) -> str:
        """How sure it is that the column holds this channel, in a word or two."""
        if self.rank >= SURE:
            return SAID
        if self.doubtful:
            return "doubtful"
        return "named" if self.rank >= NAMED else "likely" if self.rank else "worked out"


@dataclass(frozen=True, kw_only=True)
class Offer:
    """A column that may give a channel, with what is to be said when it does."""

    found: Found
    said: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Choice:
    """Which of the columns gives the channel; None where nobody can tell."""

    found: Found | None
    history: tuple[str, ...] = field(default_factory=tuple)
    warnings: tuple[str, ...] = field(default_factory=tuple)


def choice_of(source: str, channel: str, offers: list[Offer]) -> Choice:
    """Return which of the offers gives a channel: the surer one; of equals the one without a doubt; else none.

    Raises: UnsureColumns when equals differ about a speed.
    """
    top = max(offer.found.rank for offer in offers)
    equals = [offer for offer in offers if offer.found.rank == top]
    equals = [offer for offer in equals if not offer.found.doubtful] or equals
    best = equals[0]
    unlike = [offer for offer in equals[1:] if not alike(best.found.values, offer.found.values)]
    if unlike:
        return _neither(source, channel, best.found, unlike[0].found)
    liveliest = max(equals, key=lambda offer: _liveliness(offer.found.values))
    if _liveliness(best.found.values) < _STANDS_STILL * _liveliness(liveliest.found.values):
        best = liveliest  # a set value stands still where a reading trembles
    others = (offer.found.heading for offer in offers if offer is not best)
    lost = tuple(f"{heading}: not used, {best.found.heading} is the surer {channel}" for heading in others)
    return Choice(found=best.found, history=(*lost, *best.said), warnings=best.warnings)


def _liveliness(values: Series) -> float:
    """Return the share of rows in which a series changes. Shapes: (n,)"""
    steps = np.diff(values[:_LOOKED_AT])
    return float((np.abs(steps) > 0.0).mean()) if steps.size else 0.0


def alike(one: Series, other: Series) -> bool:
    """Whether two columns say the same, within a hundredth. Shapes: (n,), (n,)."""
    both = np.isfinite(one) & np.isfinite(other)
    if not both.any():
        return True
    size = float(np.median(np.abs(one[both]))) or 1.0
    return bool(np.median(np.abs(one[both] - other[both])) <= _SAME_SHARE * size)


def _neither(source: str, channel: str, one: Found, other: Found) -> Choice:
    options = (option_for(one.heading, channel), option_for(other.heading, channel))
    if channel in MATTERS:
        read = f"two columns that may be {channel}: {one.heading!r} and {other.heading!r}"
        raise UnsureColumns(source, read=read, options=options)
    said = (
        f"{one.heading} and {other.heading} may both be {channel} and differ: neither is used; "
        f'say which: --column "{options[0]}" or --column "{options[1]}"'
    )
    return Choice(found=None, warnings=(said,))
