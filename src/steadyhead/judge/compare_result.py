"""What `compare` answers; field names are the JSON keys."""

from dataclasses import dataclass
from enum import StrEnum

from steadyhead.words.verdict import Outcome


class Said(StrEnum):
    """What can be said of a figure before and after a change."""

    BETTER = "changed, better"
    WORSE = "changed, worse"
    CHANGED = "changed"
    NOISE = "not beyond noise"
    FEW = "too few flights to tell"
    UNTOLD = "cannot tell"


MOVED = (Said.BETTER, Said.WORSE, Said.CHANGED)


@dataclass(frozen=True, kw_only=True)
class Change:
    """One figure before and after. Means over what it rests on; None where that side does not show it."""

    figure: str
    unit: str
    set_rpm: float | None
    """Set speed before, where the figure belongs to one; None for a figure of a whole flight."""
    set_rpm_after: float | None
    before: float | None
    after: float | None
    before_count: int
    after_count: int
    counted: str
    """What is counted: flights, or the windows and loads of single flights."""
    change: float | None
    change_interval: tuple[float, float] | None
    chance: float | None
    """How likely noise alone makes as large a change, this figure looked at alone."""
    said: Said
    """Too few flights: its interval leaves no room for no change, but among so many figures a few do so by chance."""
    reason: str
    """Never empty where the figure is not said to have changed."""
    flights_to_tell: int | None = None
    """About so many flights a side would tell, change and scatter staying as seen; None where that is not asked."""
    could_be: tuple[str, ...] = ()
    """Conditions that differ, or are not known, and could make the same change."""


@dataclass(frozen=True, kw_only=True)
class Condition:
    """Something besides the change that may differ between the two sides."""

    condition: str
    unit: str
    before: float | None
    after: float | None
    differs: bool | None
    """None when one side does not show it."""
    reason: str
    origin: str = ""
    """Where the figures come from: stated by the flyer, the logs, or the site; empty where no side is known."""


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """Logs before and after a change of one machine."""

    machine: str
    before: tuple[str, ...]
    after: tuple[str, ...]
    changes: tuple[Change, ...]
    conditions: tuple[Condition, ...]
    warnings: tuple[str, ...]
    verdict: Outcome
    """fail: a figure became worse beyond noise; pass: one became better and none worse; unknown: neither is shown."""
    reasons: tuple[str, ...]
    cautions: tuple[str, ...]
