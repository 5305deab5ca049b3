"""What the channel room needs to know of a machine, as plain numbers in channel percent and microseconds."""

from dataclasses import dataclass
from typing import NamedTuple

from steadyhead.channel.pulse import Pulse, pulse_us, us_per_percent


class Doubted(NamedTuple):
    """A figure and the half width of its 90 % interval, in the same unit."""

    figure: float
    spread: float = 0.0


class Mode(NamedTuple):
    """One flight mode: its head speed to hold, and today's curve value where one is set."""

    name: str
    head_speed_rpm: float
    today_percent: float | None


@dataclass(frozen=True, kw_only=True)
class ChannelSetting:
    """The throttle channel of one machine. None is unknown."""

    pulse: Pulse
    learned_low_us: Doubted | None = None
    learned_high_us: Doubted | None = None
    cut_off_percent: Doubted | None = None
    start_percent: Doubted | None = None
    ramp_rate_percent_s: Doubted | None = None
    controller_wait_s: float | None = None
    """How long the controller waits above the start threshold before it starts from rest."""
    hold_percent: float | None = None
    hold_is_stated: bool = True
    """False when the hold value is only the typical one."""
    autorotation_percent: float | None = None
    modes: tuple[Mode, ...] = ()
    head_speed_max_rpm: float | None = None
    head_speed_max_origin: str = ""
    restart_prompt_s: float = 0.3
    restart_prompt_origin: str = "common practice, no source"
    tooth_percent: tuple[tuple[str, float], ...] = ()
    """By how much one tooth more or fewer moves the head speed, by the name of the wheel."""
    steady_band_percent: float = 1.0
    steady_band_origin: str = "common practice, no source"

    @property
    def lowest_running_percent(self) -> float:
        """Lowest position at which the motor can be asked to run: the start threshold, else cut-off, else 0."""
        known = self.start_percent or self.cut_off_percent
        return min(max(known.figure, 0.0), 100.0) if known else 0.0

    def threshold_us(self, threshold: Doubted) -> Doubted:
        """Return a threshold in percent as a pulse width."""
        scale = us_per_percent(self.pulse, threshold.figure)
        return Doubted(pulse_us(self.pulse, threshold.figure), threshold.spread * scale)
