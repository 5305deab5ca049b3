"""A reason not to trust what logs seem to tell: what contradicts what, and which numbers rest on it."""

from dataclasses import dataclass

from steadyhead.words.verdict import Outcome


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """One thing about machine file and logs that cannot be right as it stands, or that nobody knows."""

    says: str
    verdict: Outcome | None
    """What it makes of the check of logs and file; None for a remark that the check does not hang on."""
    needs: tuple[str, ...]
    holds: frozenset[str] = frozenset()
    """Keys that rest on it: they are not told."""
    readings_of: frozenset[str] = frozenset()
    """Logs whose head speeds rest on it: they are not proposed."""
