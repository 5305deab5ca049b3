"""What one key of the machine file holds: family of units, range, and how well a bare number is known."""

from dataclasses import dataclass

from steadyhead.machine.units import FAMILIES


@dataclass(frozen=True, kw_only=True)
class Kind:
    """What one key of the machine file holds: its family of units, its range, and how well a bare number is known.

    `low` and `high` are in `unit`. `doubt` is the share of a maker's number that counts
    as its half width when no spread is written; `doubt_kelvin` the same for temperatures.
    """

    family: str
    unit: str
    low: float
    high: float
    doubt: float = 0.0
    doubt_kelvin: float = 0.0
    example: str = ""

    @property
    def wanted(self) -> str:
        """What would be right, in words."""
        unit = f" {self.unit}" if self.unit else ""
        sample = f", such as {self.shown_example}"
        article = "an" if self.family[0] in "aeiou" else "a"
        return f"{article} {self.family} from {self.low:g} to {self.high:g}{unit}{sample}"

    @property
    def shown_example(self) -> str:
        """An example as it would stand in the file, quotes included."""
        return f'"{self.example}"' if self.unit else self.example

    def si(self, number: float) -> float:
        """Return a number in this kind's own unit as SI."""
        return FAMILIES[self.family][self.unit].si(number)

    def number(self, si: float) -> float:
        """Return an SI number in this kind's own unit."""
        return FAMILIES[self.family][self.unit].number(si)

    def number_in(self, si: float, unit: str) -> float:
        """Return an SI number in any unit of this kind's family."""
        return FAMILIES[self.family][unit].number(si)

    def clamped(self, si: float) -> float:
        """Return the nearest SI number that the file would take."""
        return min(max(si, self.si(self.low)), self.si(self.high))
