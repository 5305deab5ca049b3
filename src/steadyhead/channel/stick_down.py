"""Where a curve that is not flat lies with the stick down: off both thresholds, and whether the motor runs there."""

from collections.abc import Iterator
from dataclasses import replace

from steadyhead.channel.pulse import guard_us, landed_us
from steadyhead.channel.setting import ChannelSetting, Doubted
from steadyhead.channel.thresholds import GUARD_ORIGIN
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Limit, Outcome, Verdict

PERCENT = 100.0
LOGIC_TELLS = "in the air too; `logic` tells which ramp the stick up then brings"


def stick_down_checks(machine: Machine, setting: ChannelSetting) -> Iterator[Verdict]:
    """Yield for each mode whose curve is not flat whether its stick-down value keeps off both thresholds."""
    for name, percent in _stick_downs(machine):
        yield _kept_off_both(name, percent, setting)


def stick_down_warnings(machine: Machine, setting: ChannelSetting) -> Iterator[str]:
    """Yield for each mode whose motor does not run with the stick down what it does there."""
    for name, percent in _stick_downs(machine):
        sent_us, where = landed_us(setting.pulse, percent), f"{name} with the stick down ({percent:g} %)"
        if _below(sent_us, setting.cut_off_percent, setting):
            yield f"{where} lies below the cut-off: the motor stops there, {LOGIC_TELLS}"
        elif _below(sent_us, setting.start_percent, setting):
            yield f"{where} lies below the start threshold: the motor is not governed there, {LOGIC_TELLS}"


def _stick_downs(machine: Machine) -> Iterator[tuple[str, float]]:
    for row in machine.flight_mode:
        if row.channel_low is not None:
            yield row.name, round(row.channel_low.si * PERCENT, 9)


def _below(sent_us: float, threshold: Doubted | None, setting: ChannelSetting) -> bool:
    return threshold is not None and sent_us <= setting.threshold_us(threshold).figure


def _kept_off_both(name: str, percent: float, setting: ChannelSetting) -> Verdict:
    """Judge the distance from the nearer threshold, us, against jitter and one step."""
    check = f"stick_down: {name}"
    known = {"cut-off": setting.cut_off_percent, "start": setting.start_percent}
    missing = [f"channel.{word.replace('-', '_')}" for word, threshold in known.items() if threshold is None]
    found = [(word, threshold) for word, threshold in known.items() if threshold is not None]
    judged = [_kept_off(check, name, percent, word, threshold, setting) for word, threshold in found]
    worse = min(judged, key=lambda one: one.figure or 0.0, default=None)
    if worse is not None and (worse.verdict is Outcome.FAIL or not missing):
        return worse
    why = f"whether {name} with the stick down keeps off both thresholds is not known until both are measured"
    return Verdict.unknown(check, why, needs=missing)


def _kept_off(check: str, name: str, percent: float, word: str, threshold: Doubted, setting: ChannelSetting) -> Verdict:
    edge = setting.threshold_us(threshold)
    margin_us = abs(landed_us(setting.pulse, percent) - edge.figure)
    judged = Verdict.at_least(
        check,
        margin_us,
        Limit(value=guard_us(setting.pulse), unit="us", origin=GUARD_ORIGIN),
        what=f"{name} with the stick down ({percent:g} %) off the {word} ({threshold.figure:g} %)",
        interval=(margin_us - edge.spread, margin_us + edge.spread) if edge.spread else None,
    )
    if judged.verdict is Outcome.PASS:
        return judged
    return replace(judged, reason=f"{judged.reason}: jitter can start or stop the motor there")
