"""A value is never bare: number, unit, spread, and where it came from."""

from dataclasses import dataclass
from enum import StrEnum


class Origin(StrEnum):
    """Where a number came from, from the best known to the least."""

    MEASURED = "measured"
    MAKER = "maker"
    FITTED = "fitted"
    DERIVED = "derived"
    TYPICAL = "typical"


@dataclass(frozen=True, kw_only=True)
class Value:
    """A number as the owner wrote it, and as the kernels need it.

    `spread_si` is the half width of the 90 % interval, in SI; 0 when the number is taken as exact (a count of teeth).
    """

    number: float
    unit: str
    si: float
    spread_si: float
    origin: Origin
    note: str = ""
    unit_si: float | None = None
    """How large one unit is in SI (1 °F is 5/9 K); None leaves it to the ratio of number and si."""

    @property
    def is_typical(self) -> bool:
        """Whether nobody measured it and no maker stated it."""
        return self.origin is Origin.TYPICAL

    @property
    def spread_in_unit(self) -> float:
        """The half width of the 90 % interval in the unit that the owner wrote."""
        if self.unit_si:
            return self.spread_si / self.unit_si
        return abs(self.spread_si * self.number / self.si) if self.si else self.spread_si

    def __str__(self) -> str:
        """Say the value as a person would: `12 mohm ± 1.2 (maker)`."""
        spread = f" ± {self.spread_in_unit:.3g}" if self.spread_si else ""
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.number:g}{unit}{spread} ({self.origin})"
