"""Where the autorotation value may lie: the motor keeps idling after flight, and never starts from rest."""

import math
from dataclasses import replace
from typing import NamedTuple

from steadyhead.channel.pulse import guard_us, landed_us, nearest_step_us, percent_of
from steadyhead.channel.result import Interval
from steadyhead.channel.setting import ChannelSetting
from steadyhead.channel.thresholds import GUARD_ORIGIN, HOW_TO_MEASURE
from steadyhead.words.verdict import Limit, Outcome, Verdict

CHECK = "autorotation_window"
LEAST_CLEAR_PERCENT = 1.0
"""A threshold whose doubt nobody stated is taken to be known so closely; common practice, no source."""
SAME_STEP_US = 1e-6
"""Pulse widths closer than this are one step: rounding of floating-point numbers."""


class Window(NamedTuple):
    """Lowest and highest pulse width that keep off both thresholds, and the channel percent that send them."""

    low_us: float
    high_us: float
    percent: Interval


def autorotation_window(setting: ChannelSetting) -> Window | None:
    """Return the window on reachable steps; None when a threshold is unknown or nothing fits between them.

    low = cut-off + its doubt + jitter + one step · high = start - its doubt - jitter - one step
    Valid: both thresholds measured on this controller with these end points.
    Source: rule of this tool; common practice, no source.
    """
    if setting.cut_off_percent is None or setting.start_percent is None:
        return None
    cut_off, start = setting.threshold_us(setting.cut_off_percent), setting.threshold_us(setting.start_percent)
    guard = guard_us(setting.pulse)
    low_us = _on_a_step(setting, cut_off.figure + cut_off.spread + guard, upward=True)
    high_us = _on_a_step(setting, start.figure - start.spread - guard, upward=False)
    if low_us > high_us + SAME_STEP_US:
        return None
    return Window(low_us, high_us, (percent_of(setting.pulse, low_us), percent_of(setting.pulse, high_us)))


def clear_percent(setting: ChannelSetting) -> Interval | None:
    """Return the part of the window that stands clear of both edges, channel percent; it may be empty, low above high.

    Clear is the doubt of each threshold once more, beyond what the window keeps already.
    """
    window = autorotation_window(setting)
    if window is None or setting.start_percent is None or setting.cut_off_percent is None:
        return None
    low, high = window.percent
    return (
        low + max(setting.cut_off_percent.spread, LEAST_CLEAR_PERCENT),
        high - max(setting.start_percent.spread, LEAST_CLEAR_PERCENT),
    )


def clear_places(setting: ChannelSetting) -> Interval | None:
    """Return the middle of the window and the highest place that stands clear of its upper edge, channel percent.

    Where so much room is not left, both are the middle.
    """
    window, clear = autorotation_window(setting), clear_percent(setting)
    if window is None or clear is None:
        return None
    middle = 0.5 * sum(window.percent)
    return middle, max(middle, clear[1])


def window_verdict(setting: ChannelSetting) -> Verdict:
    """Judge the machine's autorotation value: its distance to the nearer edge of the window, us and steps."""
    missing = [
        name
        for name, known in (("cut_off", setting.cut_off_percent), ("start", setting.start_percent))
        if known is None
    ]
    if missing or setting.cut_off_percent is None or setting.start_percent is None:
        how = "; ".join(HOW_TO_MEASURE[name] for name in missing)
        return Verdict.unknown(
            CHECK,
            f"the autorotation window is not known until both thresholds are measured: {how}",
            needs=[f"channel.{name}" for name in missing],
        )
    window = autorotation_window(setting)
    if window is None:
        return Verdict(
            check=CHECK,
            verdict=Outcome.FAIL,
            reason="no autorotation value is safe: the thresholds lie closer together than jitter, steps and doubt",
        )
    if setting.autorotation_percent is None:
        return Verdict.unknown(
            CHECK, f"no autorotation value is set; {_advice(window)}", needs=("channel.autorotation",)
        )
    return _judged(setting, window, setting.autorotation_percent)


def _judged(setting: ChannelSetting, window: Window, percent: float) -> Verdict:
    """Judge a value against a window that is there."""
    sent_us = landed_us(setting.pulse, percent)
    inside_us = min(sent_us - window.low_us, window.high_us - sent_us)
    judged = Verdict.at_least(
        CHECK,
        inside_us,
        Limit(value=0.0, unit="us", origin=GUARD_ORIGIN),
        what="the autorotation value inside its window",
    )
    steps = f", {inside_us / setting.pulse.step_us:.3g} steps" if setting.pulse.step_us else ""
    where = f"the autorotation value {percent:g} % sends {sent_us:.5g} us"
    if judged.verdict is Outcome.PASS:
        return replace(judged, reason=f"{where}: inside its window by {inside_us:.4g} us{steps}")
    return replace(judged, reason=f"{where}: it {_goes_wrong(setting, sent_us)}; {_advice(window)}")


def _goes_wrong(setting: ChannelSetting, sent_us: float) -> str:
    """Say what a value outside the window does."""
    if setting.cut_off_percent is None or setting.start_percent is None:
        return "cannot be placed"
    cut_off, start = setting.threshold_us(setting.cut_off_percent), setting.threshold_us(setting.start_percent)
    if sent_us <= cut_off.figure:
        return "lies at or below the cut-off: the quick restart is lost"
    if sent_us >= start.figure:
        return "lies at or above the start threshold: the motor starts from rest in this position"
    if sent_us - cut_off.figure < start.figure - sent_us:
        return "lies too close above the cut-off: jitter or one step can lose the quick restart"
    return "lies too close below the start threshold: jitter or one step can start the motor from rest"


def _advice(window: Window) -> str:
    """Say which whole percents are safe, and the one in the middle."""
    low, high = window.percent
    first, last = math.ceil(low - 1e-9), math.floor(high + 1e-9)
    if first > last:
        return f"set it between {low:.2f} and {high:.2f} %"
    return f"set it between {first} and {last} %, best near {round(0.5 * (low + high))} %"


def _on_a_step(setting: ChannelSetting, width_us: float, *, upward: bool) -> float:
    """Nearest reachable pulse width on the safe side of a bound, us."""
    near_us = nearest_step_us(setting.pulse, width_us)
    away = 1.0 if upward else -1.0
    if away * (near_us - width_us) >= -SAME_STEP_US:
        return near_us
    return nearest_step_us(setting.pulse, near_us + away * setting.pulse.step_us)
