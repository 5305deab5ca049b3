"""Readings of a rotor that turned where the thresholds say that its motor stands still."""

from collections.abc import Iterator, Sequence

from steadyhead.channel.pulse import guard_us, landed_us, step_percent
from steadyhead.channel.reading_set import said
from steadyhead.channel.result import Reading
from steadyhead.channel.setting import ChannelSetting
from steadyhead.words.verdict import Outcome, Verdict


def turned_at_rest(setting: ChannelSetting, readings: Sequence[Reading]) -> Iterator[Verdict]:
    """Yield a fail for each reading at throttle hold, or surely below the cut-off: the motor did not stop there.

    Surely below: by the doubt of the cut-off, jitter and one step, as throttle hold must lie.
    """
    for reading in readings:
        where = _at_rest(setting, reading.percent)
        if where:
            why = (
                f"the rotor turned at {reading.percent:.4g} %, {where}: {said(reading)}; there the motor must stand "
                "still. Disconnect the pack; read hold and cut-off off the transmitter anew, and take the reading out "
                "if it was mistyped"
            )
            yield Verdict(
                check=f"at_rest: {reading.percent:.4g} %",
                verdict=Outcome.FAIL,
                reason=why,
                figure=reading.head_speed_rpm,
                unit="rpm",
                limit_text="no turning",
                limit_origin="what throttle hold and the cut-off are for",
            )


def turned_between(setting: ChannelSetting, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Return the readings between cut-off and start: a motor that runs may be lowered there, none starts there."""
    start = setting.start_percent
    if start is None:
        return ()
    low_us = setting.threshold_us(start).figure
    return tuple(
        one
        for one in readings
        if landed_us(setting.pulse, one.percent) <= low_us and not _at_rest(setting, one.percent)
    )


def not_driven_there(window: Verdict, setting: ChannelSetting, readings: Sequence[Reading], idle_rpm: float) -> Verdict:
    """Return the verdict on the autorotation value, without its pass where a reading shows that the motor drives there.

    A head that turned faster than `idle_rpm`, the most at which the motor idles, at this position or a lower one, is
    driven in this position too: the head speed does not fall as the channel rises.
    """
    if setting.autorotation_percent is None or window.verdict is not Outcome.PASS:
        return window
    place_us = landed_us(setting.pulse, setting.autorotation_percent)
    driven = [
        one
        for one in readings
        if landed_us(setting.pulse, one.percent) <= place_us + setting.pulse.step_us and one.head_speed_rpm > idle_rpm
    ]
    if not driven:
        return window
    fastest = max(driven, key=lambda one: one.head_speed_rpm)
    why = (
        f"the head turned there, or lower: {said(fastest)}, faster than the motor idles (at most {idle_rpm:.0f} rpm); "
        "so it may be driven in this position: look, blades off, what the motor does there; take the reading out if it "
        "was mistyped, or measure the thresholds anew"
    )
    return window.but(why, needs=("channel.cut_off", "channel.start"))


def _at_rest(setting: ChannelSetting, percent: float) -> str:
    """Say which rest a position lies at; empty where the motor may run."""
    hold = setting.hold_percent if setting.hold_is_stated else None
    if hold is not None and abs(percent - hold) < step_percent(setting.pulse, hold):
        return "where throttle hold lies"
    if setting.cut_off_percent is None:
        return ""
    cut_off = setting.threshold_us(setting.cut_off_percent)
    below_us = cut_off.figure - cut_off.spread - guard_us(setting.pulse)
    if landed_us(setting.pulse, percent) < below_us:
        return f"below the cut-off ({setting.cut_off_percent.figure:g} %)"
    return ""
