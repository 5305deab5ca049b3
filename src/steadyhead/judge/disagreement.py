"""Something that the motor did otherwise than the owner's run logic says."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Disagreement:
    """Something that the motor did otherwise than the run logic says."""

    at_s: float
    kind: str
    is_dangerous: bool
    says: str
    doubt: str = ""
    """Why the log does not show it for certain; empty where it does."""
    needs: tuple[str, ...] = ()
