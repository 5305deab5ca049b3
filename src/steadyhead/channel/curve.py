"""The curve value for each flight mode's head speed, and what it can be expected to give."""

from dataclasses import replace
from typing import NamedTuple

from steadyhead.channel.fitted_law import (
    FittedLaw,
    head_speed_interval_rpm,
    head_speed_rpm,
    percent_for,
    reach_percent,
    slope_at,
)
from steadyhead.channel.monotone_fit import bounds_rpm
from steadyhead.channel.pulse import landed_percent, landed_us, step_percent
from steadyhead.channel.result import Interval, ModeCurve
from steadyhead.channel.setting import ChannelSetting, Mode
from steadyhead.words.verdict import Limit, Outcome, Verdict

DOUBT_ALLOWED_PERCENT = 2.0
"""Half width of the 90 % interval, percent of the target, past which a curve value is not known well enough.
Common practice, no source."""


class _Expected(NamedTuple):
    """What a position gives: rpm, its interval, and the bounds of monotony alone."""

    percent: float
    rpm: float
    interval_rpm: Interval
    bounds_rpm: Interval


def mode_curve(law: FittedLaw, mode: Mode, setting: ChannelSetting) -> ModeCurve:
    """Find the curve value whose landed pulse asks for the mode's head speed, and judge how sure that is.

    Valid: fail when the law cannot reach the head speed; unknown without a law, outside the readings, or when
    nothing has tested the law between them.
    """
    if not law.known:
        return _no_curve(mode, Outcome.UNKNOWN, f"no curve value for {mode.head_speed_rpm:.0f} rpm: {law.because}")
    low, high = reach_percent(law, setting.lowest_running_percent)
    percent = percent_for(law, mode.head_speed_rpm, low, high)
    if percent is None:
        percent = _end_within_doubt(law, mode.head_speed_rpm, (low, high))
    if percent is None:
        return _no_curve(mode, *_out_of_reach(law, mode, setting))
    got = expected(law, percent, setting)
    outcome, reason = _judged(law, mode, got, setting)
    return ModeCurve(
        mode=mode.name,
        target_rpm=mode.head_speed_rpm,
        curve_percent=got.percent,
        curve_us=landed_us(setting.pulse, percent),
        expected_rpm=got.rpm,
        expected_rpm_interval=got.interval_rpm,
        rpm_per_step=slope_at(law, got.percent) * step_percent(setting.pulse, got.percent),
        verdict=outcome,
        reason=reason,
    )


def _end_within_doubt(law: FittedLaw, rpm: float, ends_percent: Interval) -> float | None:
    """Return the end of the reach whose own head speed, by its doubt, may be the one asked for; None where neither is.

    Valid: a law known between its readings: one at the end was read within its doubt, a rpm more or less.
    """
    if law.curve is None:
        return None
    for percent in ends_percent:
        least, most = head_speed_interval_rpm(law, percent)
        if least <= rpm <= most:
            return percent
    return None


def expected(law: FittedLaw, percent: float, setting: ChannelSetting) -> _Expected:
    """Return what a curve value gives once its pulse has landed on a step; half a step of doubt is added.

    Of a law that only rises half a step is added by the slope of its curve: a position that was read stays so.
    Valid: a known law.
    """
    lands = landed_percent(setting.pulse, percent)
    half_step = 0.5 * step_percent(setting.pulse, lands)
    if law.curve is not None:
        low_rpm, high_rpm = head_speed_interval_rpm(law, lands)
        away_rpm = slope_at(law, lands) * half_step
        low_rpm, high_rpm = low_rpm - away_rpm, high_rpm + away_rpm
    else:
        low_rpm = head_speed_interval_rpm(law, lands - half_step)[0]
        high_rpm = head_speed_interval_rpm(law, lands + half_step)[1]
    return _Expected(
        lands, head_speed_rpm(law, lands), (low_rpm, high_rpm), bounds_rpm(law.positions, lands, law.factor)
    )


def todays_curve(law: FittedLaw, mode: Mode, setting: ChannelSetting) -> Verdict | None:
    """Judge today's curve value of a mode against its head speed; None where none is set."""
    check = f"todays_curve: {mode.name}"
    if mode.today_percent is None:
        return None
    if not law.known:
        return Verdict.unknown(
            check, f"what {mode.today_percent:g} % gives is not known: {law.because}", needs=("readings",)
        )
    got = expected(law, mode.today_percent, setting)
    sure, why = _is_sure(law, mode, got, setting)
    if not sure:
        says = f"{mode.name}: today's {mode.today_percent:g} % would ask for {got.rpm:.0f} rpm"
        return Verdict.unknown(check, f"{says}, target {mode.head_speed_rpm:.0f}; {why}", needs=("readings",))
    low, high = (100.0 * (rpm - mode.head_speed_rpm) / mode.head_speed_rpm for rpm in got.interval_rpm)
    off = round(100.0 * (got.rpm - mode.head_speed_rpm) / mode.head_speed_rpm, 9)
    farthest = max(abs(low), abs(high))
    nearest = 0.0 if low <= 0.0 <= high else min(abs(low), abs(high))
    return Verdict.at_most(
        check,
        abs(off),
        Limit(value=setting.steady_band_percent, unit="%", origin=setting.steady_band_origin),
        what=f"the miss in {mode.name} (today's {mode.today_percent:g} % asks for {got.rpm:.0f} rpm)",
        interval=(nearest, farthest),
    )


def head_speed_limit(curve: ModeCurve, setting: ChannelSetting, share: Interval = (1.0, 1.0)) -> Verdict | None:
    """Judge the head speed that a curve value gives against the head maker's limit; None where that is not known.

    `share`: from least to most, how many times that speed the head itself turns, where readings at it say so.
    """
    if setting.head_speed_max_rpm is None or curve.expected_rpm is None:
        return None
    judged = Verdict.at_most(
        f"head_speed_limit: {curve.mode}",
        curve.expected_rpm,
        Limit(value=setting.head_speed_max_rpm, unit="rpm", origin=setting.head_speed_max_origin),
        what=f"head speed in {curve.mode}",
        interval=_times(curve.expected_rpm_interval, share),
    )
    if judged.verdict is Outcome.PASS and curve.verdict is Outcome.UNKNOWN:
        says = f"{judged.reason}, but the head speed itself is not sure: {curve.reason}"
        return replace(judged, verdict=Outcome.UNKNOWN, reason=says, needs=("readings",))
    return judged


def _times(interval: Interval | None, share: Interval) -> Interval | None:
    return (interval[0] * share[0], interval[1] * share[1]) if interval else None


def curve_verdict(curve: ModeCurve) -> Verdict:
    """Return the verdict that a curve carries as one check among the others."""
    return Verdict(
        check=f"curve: {curve.mode}",
        verdict=curve.verdict,
        reason=curve.reason,
        figure=curve.expected_rpm,
        figure_interval=curve.expected_rpm_interval,
        unit="rpm",
        needs=("readings",) if curve.verdict is Outcome.UNKNOWN else (),
    )


def _no_curve(mode: Mode, outcome: Outcome, reason: str) -> ModeCurve:
    """Return a mode without a curve value."""
    return ModeCurve(
        mode=mode.name,
        target_rpm=mode.head_speed_rpm,
        curve_percent=None,
        curve_us=None,
        expected_rpm=None,
        expected_rpm_interval=None,
        rpm_per_step=None,
        verdict=outcome,
        reason=reason,
    )


def _out_of_reach(law: FittedLaw, mode: Mode, setting: ChannelSetting) -> tuple[Outcome, str]:
    """Say that the law does not reach a head speed, and between which it does."""
    low, high = reach_percent(law, setting.lowest_running_percent)
    least, most = head_speed_rpm(law, low), head_speed_rpm(law, high)
    says = (
        f"{mode.head_speed_rpm:.0f} rpm is out of reach: the law asks for {least:.0f} to {most:.0f} rpm "
        f"over {low:.3g} to {high:.3g} %"
    )
    if law.curve is not None:
        return Outcome.UNKNOWN, f"{says}; beyond the readings the law is not known: read there"
    surely = (
        mode.head_speed_rpm > head_speed_interval_rpm(law, high)[1]
        or mode.head_speed_rpm < head_speed_interval_rpm(law, low)[0]
    )
    if surely:
        return Outcome.FAIL, says
    return Outcome.UNKNOWN, f"{says}; the doubt on the law leaves it open"


def _judged(law: FittedLaw, mode: Mode, got: _Expected, setting: ChannelSetting) -> tuple[Outcome, str]:
    """Judge a curve value that exists."""
    miss_percent = 100.0 * abs(got.rpm - mode.head_speed_rpm) / mode.head_speed_rpm
    if miss_percent > setting.steady_band_percent:
        return (
            Outcome.FAIL,
            f"the steps of the channel are too coarse: the nearest gives {got.rpm:.0f} rpm for "
            f"{mode.head_speed_rpm:.0f} rpm, off by {miss_percent:.2g} % against {setting.steady_band_percent:g} %",
        )
    sure, why = _is_sure(law, mode, got, setting)
    says = (
        f"{got.percent:.2f} % asks for {got.rpm:.0f} rpm "
        f"({got.interval_rpm[0]:.0f} to {got.interval_rpm[1]:.0f}), target {mode.head_speed_rpm:.0f}"
    )
    return (Outcome.PASS if sure else Outcome.UNKNOWN), f"{says}; {why}"


def _is_sure(law: FittedLaw, mode: Mode, got: _Expected, setting: ChannelSetting) -> tuple[bool, str]:
    """Whether the expected head speed at a position can be relied on, and why."""
    first, last = law.span_percent
    step = step_percent(setting.pulse, got.percent)
    if not first - step <= got.percent <= last + step:
        return False, f"that lies outside the readings ({first:g} to {last:g} %): read there"
    allowed = DOUBT_ALLOWED_PERCENT / 100.0 * mode.head_speed_rpm
    if max(abs(bound - got.rpm) for bound in got.bounds_rpm) <= allowed:
        return True, "readings close by hold it"
    if not law.tested:
        return False, "no reading tests the law between the others: read one more between them"
    if max(abs(bound - got.rpm) for bound in got.interval_rpm) > allowed:
        return (
            False,
            f"the doubt is more than {DOUBT_ALLOWED_PERCENT:g} % of the target: take the next reading",
        )
    return True, "within the readings, by a law that was tested"
