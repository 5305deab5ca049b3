"""The one trace type: simulator, log readers and sound tracker write it, one judge reads it."""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

Series = NDArray[np.float64]

CHANNELS: dict[str, str] = {
    "head_speed_rpm": "main rotor speed measured at the head",
    "motor_side_speed_rpm": "motor speed divided by the gear ratio; the head may run faster, by its one-way bearing",
    "throttle_percent": "throttle channel, 0 at the low end point, 100 at the high one",
    "duty": "controller duty, 0 to 1",
    "pack_voltage_v": "voltage of the whole pack under load",
    "lowest_cell_v": "voltage of the weakest cell",
    "pack_current_a": "current out of the pack",
    "charge_used_mah": "charge taken from the pack since the log began",
    "controller_temperature_c": "controller temperature",
    "pack_temperature_c": "pack temperature",
    "height_m": "height above the start",
    "climb_speed_m_s": "vertical speed, up positive",
    "collective_deg": "collective pitch",
    "collective_percent": "collective stick, -100 to 100",
    "motor_temperature_c": "motor temperature",
    "link_percent": "radio link quality",
    "air_temperature_c": "temperature of the air outside",
    "air_pressure_hpa": "pressure of the air where the machine is, not reduced to the sea",
}


FIRST_ROWS = 1000
"""A channel is looked through to its end only where the first rows hold nothing."""
SAID = "said by you"
"""How sure a column is that a person named, now or before."""


@dataclass(frozen=True, kw_only=True)
class ColumnRead:
    """What one channel was read from, and how sure that is."""

    channel: str
    heading: str
    confidence: str
    """said by you, named, likely (by unit and figures only), doubtful (see the warnings) or worked out."""
    divided_by: float = field(default=1.0, metadata={"json": False})
    """What a speed was divided by on reading, by the machine's teeth and poles; 1 where the log itself holds it so."""


@dataclass(frozen=True, kw_only=True)
class Trace:
    """A table of channels over time, with where it came from and what was done to it.

    Shapes: time_s (n,), strictly increasing, 0 at the first row; each channel (n,), NaN where there is no value.
    Valid: channel names are keys of CHANNELS.
    """

    source: str
    time_s: Series
    channels: dict[str, Series]
    rows_read: int
    warnings: tuple[str, ...] = ()
    history: tuple[str, ...] = ()
    columns: tuple[ColumnRead, ...] = ()
    unread: tuple[ColumnRead, ...] = ()
    """Columns that may hold a channel which nothing else gives, or gives in part, and were left out: what rests on it
    does not pass."""
    row: NDArray[np.int64] = field(default_factory=lambda: np.empty(0, np.int64))
    """Row of the file (0 is the first data row) for each sample, so a figure can be followed back."""
    seams_s: tuple[float, ...] = ()
    """Times of the samples from which on the clock of the file began anew or was set: what came before may be another
    run."""
    left_open: tuple[str, ...] = ()
    """Checks that the recording which the file was heard in left unknown: its trace tells no more."""
    ear: tuple[str, ...] = ()
    """What that recording showed of the machine beside its speed, as `heard_remarks` says it."""
    simulated: bool = False
    """Whether the file says that it was simulated: then it proves nothing of the machine."""
    began_s: float | None = None
    """When its first row was written, s since 1970 by the clock of the log; None where no date is written."""
    misfit_voltage_v: float | None = None
    """Level of a pack voltage that was left out, since it fits no pack of the file's cells; None where none was."""

    def has(self, name: str) -> bool:
        """Whether the channel is there and holds at least one value."""
        values = self.channels.get(name)
        if values is None:
            return False
        return bool(np.isfinite(values[:FIRST_ROWS]).any() or np.isfinite(values[FIRST_ROWS:]).any())

    def get(self, name: str) -> Series | None:
        """Return the channel, or None when it is absent or holds no value."""
        return self.channels[name] if self.has(name) else None

    @property
    def understood(self) -> bool:
        """Whether any channel holds a value."""
        return any(self.has(name) for name in self.channels)

    @property
    def duration_s(self) -> float:
        """Time from the first sample to the last, s."""
        return float(self.time_s[-1] - self.time_s[0]) if self.time_s.size else 0.0

    def noted(self, *steps: str, warnings: tuple[str, ...] = ()) -> "Trace":
        """Return the same trace with steps added to its history and warnings added."""
        return replace(self, history=self.history + steps, warnings=self.warnings + warnings)
