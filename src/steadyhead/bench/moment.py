"""Moments as the record writes them."""

from datetime import UTC, datetime


def now() -> str:
    """Return this moment, UTC, to the millisecond."""
    return said(datetime.now(UTC))


def said(moment: datetime) -> str:
    """Return a moment as the record writes it."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def seconds_between(earlier: str, later: str) -> float:
    """Return the time from one moment of the record to another, s."""
    return (datetime.fromisoformat(later) - datetime.fromisoformat(earlier)).total_seconds()
