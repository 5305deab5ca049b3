"""One channel position that held different speeds in different flights, and starts that were not followed to an end."""

from dataclasses import dataclass

from steadyhead.judge.commands import same_position
from steadyhead.judge.held_speed import FASTER_SHARE, RESTS_ON_SET_SPEED
from steadyhead.judge.measured import Measured
from steadyhead.judge.segments import Stretch
from steadyhead.words.verdict import Verdict, no_pass_of

APART_SHARE = 0.01
"""Set speeds of one position that differ by more are not one speed: the judge's band of 1 %."""
LONGEST_START_S = 60.0
"""No start takes so long: the slowest ramps take half of it; common practice, no source."""
RESTS_ON_LEVEL = (*RESTS_ON_SET_SPEED, "quick_restart_time")
"""Checks that pass wrongly where a head that sank is taken for one that was set lower."""
RESTS_ON_GOVERNED = (
    "steady_band", "climb_droop", "overspeed", "recovery", "no_hunting", "duty_margin", "hover_duty", "soft_start_time",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Apart:
    """Least and greatest set speed of one channel position, rpm, and when each was first held, s."""

    percent: float
    low_rpm: float
    low_s: float
    high_rpm: float
    high_s: float

    @property
    def says(self) -> str:
        """Return the sentence that names it."""
        share = 100.0 * (1.0 - self.low_rpm / self.high_rpm)
        return (
            f"at {self.percent:.0f} % of the throttle channel the head was held at {self.high_rpm:.0f} rpm from "
            f"{self.high_s:.0f} s and at {self.low_rpm:.0f} rpm from {self.low_s:.0f} s, {share:.1f} % apart: each run "
            "of the motor is judged by its own speed"
        )


def set_apart(found: Measured) -> tuple[Apart, ...]:
    """Return the channel positions at which different runs of the motor held speeds more than APART_SHARE apart."""
    apart = []
    groups: list[list[Stretch]] = []
    for stretch in found.governed if found.channel_seen else ():
        if stretch.percent is None or stretch.ramping:
            continue
        group = next((g for g in groups if same_position(g[0].percent or 0.0, stretch.percent)), None)
        if group is None:
            groups.append([stretch])
        else:
            group.append(stretch)
    for group in groups:
        low, high = min(group, key=_set_rpm), max(group, key=_set_rpm)
        if _set_rpm(low) < (1.0 - APART_SHARE) * _set_rpm(high):
            apart.append(
                Apart(
                    percent=high.percent or 0.0,
                    low_rpm=_set_rpm(low),
                    low_s=low.start_s,
                    high_rpm=_set_rpm(high),
                    high_s=high.start_s,
                )
            )
    return tuple(apart)


def _set_rpm(stretch: Stretch) -> float:
    return stretch.set_rpm or 0.0


def level_doubt(found: Measured) -> str | None:
    """Return why a lower speed may be a head that sank; None where a duty shows that the governor had its say."""
    apart = [one for one in set_apart(found) if one.high_rpm > (1.0 + FASTER_SHARE) * one.low_rpm]
    if not apart or found.signals.duty is not None:
        return None
    return f"{apart[0].says}, and without a duty the log does not show whether the lower one was set or the head sank"


def not_followed(found: Measured) -> str | None:
    """Return what is said of a start that lasts far longer than any and never came to a set speed; None without one.

    A head that turned near its fastest for so long may have flown there.
    """
    signals = found.signals
    for spool in found.stretches:
        long = spool.kind in ("soft_spool", "quick_spool") and spool.end_s - spool.start_s > LONGEST_START_S
        if not long or spool.reached_set or signals.speed_rpm is None:
            continue
        return (
            f"the motor was started at {spool.start_s:.1f} s and ran until {spool.end_s:.1f} s without coming to the "
            f"set speed: no start takes {LONGEST_START_S:g} s, and what the head did there was not judged"
        )
    return None


def as_set(checks: tuple[Verdict, ...], apart: str | None, lost: str | None) -> tuple[Verdict, ...]:
    """Return the checks without the passes that a level in doubt, or a start that was not followed, speaks against."""
    if apart is not None:
        checks = no_pass_of(RESTS_ON_LEVEL, checks, apart, needs=("duty",))
    if lost is not None:
        checks = no_pass_of(RESTS_ON_GOVERNED, checks, lost, needs=("a log in which the head comes to its set speed",))
    return checks
