"""What a column gives when it is converted."""

from typing import NamedTuple

from steadyhead.trace.trace import Series


class Converted(NamedTuple):
    """A channel, with what was done to get it and what is doubtful about it. Shapes: values (n,)."""

    channel: str
    values: Series
    said: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    divided_by: float = 1.0
    """What a speed was divided by: the gear ratio, of an electrical speed times the pole pairs."""
