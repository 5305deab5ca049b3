"""Where the motor stops and starts, and how far every channel position keeps off both thresholds."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from steadyhead.channel.pulse import guard_us, landed_percent, landed_us, step_percent
from steadyhead.channel.result import Thresholds
from steadyhead.channel.setting import ChannelSetting, Doubted
from steadyhead.words.verdict import Limit, Outcome, Verdict

GUARD_ORIGIN = "jitter and one step; common practice, no source"
HOW_TO_MEASURE = {
    "start": "blades off and the machine held down, raise the channel one step at a time from the low end "
    "until the motor starts, and note that position",
    "cut_off": "blades off and the machine held down, with the motor idling, lower the channel one step at a time "
    "until it stops, and note that position",
}


class Position(NamedTuple):
    """A place where the channel rests: its name in the reasons, and its percent."""

    name: str
    percent: float


def thresholds(setting: ChannelSetting, running: tuple[Position, ...]) -> Thresholds:
    """Judge throttle hold against the cut-off, every flight mode's value against the start, and their gap.

    `running`: the positions of the flight modes.
    """
    cut_off, start = setting.cut_off_percent, setting.start_percent
    cut_off_us = setting.threshold_us(cut_off) if cut_off else None
    start_us = setting.threshold_us(start) if start else None
    checks = [hold_below_cut_off(setting), threshold_gap(setting)]
    checks.extend(mode_above_start(setting, position) for position in running)
    checks.append(_start_delay_known(setting))
    checks.extend(_restart_is_prompt(setting))
    margin_us = min((*_autorotation_margins_us(setting), *_margins_us(checks)), default=None)
    return Thresholds(
        cut_off_percent=cut_off.figure if cut_off else None,
        cut_off_us=cut_off_us.figure if cut_off_us else None,
        start_percent=start.figure if start else None,
        start_us=start_us.figure if start_us else None,
        hysteresis_us=start_us.figure - cut_off_us.figure if start_us and cut_off_us else None,
        margin_us=margin_us,
        margin_steps=margin_us / setting.pulse.step_us if margin_us is not None and setting.pulse.step_us else None,
        start_delay_s=_from_hold_s(setting),
        start_delay_s_interval=_delay_interval_s(setting),
        start_delay_from_autorotation_s=_delay_s(setting, setting.autorotation_percent),
        checks=tuple(checks),
    )


def start_delay_s(start_percent: float, from_percent: float, ramp_rate_percent_s: float, step_percent_: float) -> float:
    """Time from leaving a position until the slowly moving channel has passed the start threshold, s.

    delay = (first step above the threshold - starting value) / ramp rate; 0 when the starting value lies above it
    Valid: ramp rate above 0. A channel without steps (0) crosses at the threshold itself.
    Source: arithmetic; the motor starts above the threshold, not on it.

    >>> start_delay_s(22.0, 22.5, 0.2, 0.5), round(start_delay_s(22.0, 22.0, 0.2, 0.5), 9)
    (0.0, 2.5)
    """
    if from_percent > start_percent:
        return 0.0
    gap = start_percent - from_percent
    if step_percent_ > 0.0:
        gap = step_percent_ * (math.floor(gap / step_percent_ + 1e-9) + 1)
    return gap / ramp_rate_percent_s


def hold_below_cut_off(setting: ChannelSetting) -> Verdict:
    """Judge that throttle hold lies below the cut-off whatever the jitter."""
    if setting.hold_percent is None:
        return Verdict.unknown("hold_below_cut_off", "the throttle-hold value is not known", needs=("channel.hold",))
    if setting.cut_off_percent is None:
        return _unmeasured("hold_below_cut_off", "cut_off", "throttle hold stops the motor")
    cut_off = setting.threshold_us(setting.cut_off_percent)
    margin_us = cut_off.figure - landed_us(setting.pulse, setting.hold_percent)
    judged = _kept_off(
        "hold_below_cut_off",
        margin_us,
        cut_off,
        setting,
        what=f"throttle hold ({setting.hold_percent:g} %) below the cut-off ({setting.cut_off_percent.figure:g} %)",
        otherwise="throttle hold may not stop the motor",
    )
    if judged.verdict is Outcome.PASS and not setting.hold_is_stated:
        return replace(
            judged,
            verdict=Outcome.UNKNOWN,
            reason=f"{judged.reason}, but that hold value is only the typical one: read yours off the transmitter",
            needs=("channel.hold",),
        )
    return judged


def mode_above_start(setting: ChannelSetting, position: Position) -> Verdict:
    """Judge that a flight mode's value starts the motor whatever the jitter."""
    check = f"mode_above_start: {position.name}"
    if setting.start_percent is None:
        return _unmeasured(check, "start", f"{position.name} starts the motor")
    start = setting.threshold_us(setting.start_percent)
    margin_us = landed_us(setting.pulse, position.percent) - start.figure
    return _kept_off(
        check,
        margin_us,
        start,
        setting,
        what=f"{position.name} ({position.percent:.4g} %) above the start ({setting.start_percent.figure:g} %)",
        otherwise="the motor may not start, or start late",
    )


def hold_above_learned_low_us(setting: ChannelSetting) -> float | None:
    """Distance of throttle hold above the learned low end, us, where that is more than jitter and half a step."""
    if setting.hold_percent is None or setting.learned_low_us is None:
        return None
    above_us = landed_us(setting.pulse, setting.hold_percent) - setting.learned_low_us.figure
    return above_us if above_us > setting.pulse.jitter_us + 0.5 * setting.pulse.step_us else None


def threshold_gap(setting: ChannelSetting) -> Verdict:
    """Judge that jitter cannot carry the channel from one threshold over the other."""
    check = "threshold_gap"
    if setting.cut_off_percent is None or setting.start_percent is None:
        missing = [
            f"channel.{name}"
            for name, known in (("cut_off", setting.cut_off_percent), ("start", setting.start_percent))
            if known is None
        ]
        return Verdict.unknown(check, "the gap between cut-off and start needs both measured", needs=missing)
    cut_off, start = setting.threshold_us(setting.cut_off_percent), setting.threshold_us(setting.start_percent)
    gap = Doubted(start.figure - cut_off.figure, math.hypot(start.spread, cut_off.spread))
    need_us = 2.0 * setting.pulse.jitter_us + setting.pulse.step_us
    judged = Verdict.at_least(
        check,
        gap.figure,
        Limit(value=need_us, unit="us", origin=GUARD_ORIGIN),
        what="the start threshold above the cut-off",
        interval=(gap.figure - gap.spread, gap.figure + gap.spread),
    )
    if judged.verdict is Outcome.PASS:
        return judged
    return replace(judged, reason=f"{judged.reason}: jitter can start and stop the motor by itself; measure both again")


def _kept_off(
    check: str, margin_us: float, threshold: Doubted, setting: ChannelSetting, *, what: str, otherwise: str
) -> Verdict:
    """Judge one position's distance from a threshold, us, against jitter and one step."""
    judged = Verdict.at_least(
        check,
        margin_us,
        Limit(value=guard_us(setting.pulse), unit="us", origin=GUARD_ORIGIN),
        what=what,
        interval=(margin_us - threshold.spread, margin_us + threshold.spread) if threshold.spread else None,
    )
    if judged.verdict is Outcome.PASS:
        return judged
    return replace(judged, reason=f"{judged.reason}: {otherwise}")


def _unmeasured(check: str, threshold: str, claim: str) -> Verdict:
    """Say that a threshold must be measured before a claim can be made, how, and with which cautions."""
    name = threshold.replace("_", "-")
    return Verdict.unknown(
        check,
        f"whether {claim} is not known until the {name} threshold is measured: {HOW_TO_MEASURE[threshold]}",
        needs=(f"channel.{threshold}",),
    )


def _start_delay_known(setting: ChannelSetting) -> Verdict:
    """Judge that the start delay from throttle hold is one the flyer can expect."""
    delay_s = _from_hold_s(setting)
    if delay_s is None:
        needs = [
            f"channel.{name}"
            for name, known in (
                ("start", setting.start_percent),
                ("ramp_rate", setting.ramp_rate_percent_s),
                ("hold", setting.hold_percent),
            )
            if known is None
        ]
        needs += ["run_logic.start_delay"] if setting.controller_wait_s is None else []
        travel_s = _delay_s(setting, setting.hold_percent)
        says = "the start delay is not known"
        if travel_s is not None:
            says += (
                f": the channel takes {travel_s:.3g} s from throttle hold, and the controller's own wait comes on top"
            )
        return Verdict.unknown("start_delay", says, needs=needs)
    return Verdict(
        check="start_delay",
        verdict=Outcome.PASS,
        reason=f"from throttle hold the motor starts {delay_s:.3g} s after the switch: expect it, and stand clear",
        figure=delay_s,
        figure_interval=_delay_interval_s(setting),
        unit="s",
    )


def _delay_interval_s(setting: ChannelSetting) -> tuple[float, float] | None:
    """Start delay from hold with the threshold and the ramp rate at the ends of their intervals, s."""
    start, rate = setting.start_percent, setting.ramp_rate_percent_s
    if start is None or rate is None or not 0.0 <= rate.spread < rate.figure:
        return None
    ends = []
    for sign in (-1.0, 1.0):
        moved = replace(
            setting,
            start_percent=Doubted(start.figure + sign * start.spread),
            ramp_rate_percent_s=Doubted(rate.figure - sign * rate.spread),
        )
        ends.append(_from_hold_s(moved))
    low, high = ends
    return (low, high) if low is not None and high is not None else None


def _margins_us(checks: Sequence[Verdict]) -> Iterator[float]:
    """Distances of throttle hold and the flight modes from their threshold, us."""
    for check in checks:
        if check.figure is not None and check.check.startswith(("hold_", "mode_")):
            yield check.figure


def _autorotation_margins_us(setting: ChannelSetting) -> Iterator[float]:
    """Distances of the autorotation value from both thresholds, us; below 0 on the wrong side."""
    if setting.autorotation_percent is None:
        return
    sent_us = landed_us(setting.pulse, setting.autorotation_percent)
    if setting.cut_off_percent is not None:
        yield sent_us - setting.threshold_us(setting.cut_off_percent).figure
    if setting.start_percent is not None:
        yield setting.threshold_us(setting.start_percent).figure - sent_us


def _restart_is_prompt(setting: ChannelSetting) -> tuple[Verdict, ...]:
    """Judge that the slow channel does not hold up a bail-out; nothing to judge while the delay is unknown."""
    delay_s = _delay_s(setting, setting.autorotation_percent)
    if delay_s is None:
        return ()
    judged = Verdict.at_most(
        "restart_delay",
        delay_s,
        Limit(value=setting.restart_prompt_s, unit="s", origin=setting.restart_prompt_origin),
        what="time the channel takes from the autorotation value to the start threshold",
    )
    if judged.verdict is Outcome.PASS:
        return (judged,)
    return (replace(judged, reason=f"{judged.reason}: a bail-out waits for it; move the value up inside its window"),)


def _from_hold_s(setting: ChannelSetting) -> float | None:
    """Start delay from hold, s: the slow channel, then the controller's own wait; None while one is not known."""
    travel_s = _delay_s(setting, setting.hold_percent)
    wait_s = setting.controller_wait_s
    return None if travel_s is None or wait_s is None else travel_s + wait_s


def _delay_s(setting: ChannelSetting, from_percent: float | None) -> float | None:
    """Start delay from a position as it lands, s; None while something it needs is unknown."""
    start, rate = setting.start_percent, setting.ramp_rate_percent_s
    if start is None or rate is None or from_percent is None or rate.figure <= 0.0:
        return None
    step = step_percent(setting.pulse, start.figure)
    return start_delay_s(start.figure, landed_percent(setting.pulse, from_percent), rate.figure, step)
