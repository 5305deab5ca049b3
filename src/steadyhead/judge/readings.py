"""Readings for the set-point law from the steady windows of a log: channel percent and head speed."""

from steadyhead.channel.result import MOTOR_SIDE, Reading
from steadyhead.judge.commands import same_position
from steadyhead.judge.result import Judgement, SteadyWindow

DIGITS = 9
LEAST_SPREAD_SHARE = 0.0005
"""No sensor and no head is known better than this: half a thousandth; common practice, no source."""


def readings(judgement: Judgement) -> tuple[Reading, ...]:
    """Return one reading for each channel position that was held steadily, lowest first.

    Empty without a channel, and of a simulation.

    Equation: mean of the window means, weighted with their length; spread = half width of the steady band over
    the square root of the seconds, at least half a thousandth of the speed and half the step between the windows.
    Valid: windows at full duty are left out, since there the governor no longer rules.
    """
    if judgement.trace.simulated:
        return ()
    side = "" if is_at_head(judgement) else f", {MOTOR_SIDE}"
    groups: list[list[SteadyWindow]] = []
    for window in judgement.steady:
        if window.channel_percent is None or (window.duty_mean is not None and window.duty_mean >= 0.97):
            continue
        for group in groups:
            if same_position(window.channel_percent, group[0].channel_percent or 0.0):
                group.append(window)
                break
        else:
            groups.append([window])
    return tuple(sorted((_reading(judgement.log, g, side) for g in groups), key=lambda r: r.percent))


def is_at_head(judgement: Judgement) -> bool:
    """Whether the speed of a log is the head's own, not the motor's over the teeth of the machine file."""
    return judgement.trace.get("head_speed_rpm") is not None


def _reading(log: str, group: list[SteadyWindow], side: str) -> Reading:
    lengths = [w.end_s - w.start_s for w in group]
    total = sum(lengths)
    mean = sum(w.mean_rpm * length for w, length in zip(group, lengths, strict=True)) / total
    percent = sum((w.channel_percent or 0.0) * length for w, length in zip(group, lengths, strict=True)) / total
    band = max(w.band_half_width_percent for w in group) / 100.0 * mean
    apart = max(w.mean_rpm for w in group) - min(w.mean_rpm for w in group)
    spread = max(band / max(total, 1.0) ** 0.5, LEAST_SPREAD_SHARE * mean, 0.5 * apart)
    first, last = group[0].start_s, group[-1].end_s
    return Reading(
        percent=round(percent, DIGITS),
        head_speed_rpm=mean,
        spread_rpm=spread,
        source=f"{log}, {first:.1f} to {last:.1f} s{side}",
    )
