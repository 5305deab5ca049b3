"""Where both ends of the channel land, against the ends that the controller learned."""

import math
from dataclasses import replace
from typing import NamedTuple

from steadyhead.channel.pulse import Pulse, landed_us, nearest_step_us
from steadyhead.channel.result import EndPoints
from steadyhead.channel.setting import ChannelSetting, Doubted
from steadyhead.words.verdict import Limit, Outcome, Verdict

WHOLE_PERCENT = 1.0
TENTHS = 0.1
HIGHEST_TRAVEL_PERCENT = 150.0
"""Common practice, no source: transmitters let the travel be raised to 120-150 %."""
DEAD_SHARE = 0.05
"""Share of the learned span that an end may lie beyond its learned end. Common practice, no source."""
DEAD_ORIGIN = "5 % of the learned span; common practice, no source"
RULE = "at most jitter and half a step short; common practice, no source"
HOW_TO_LEARN = "teach the controller both ends, blades off, as its maker's manual says, and note both pulse widths"


class _End(NamedTuple):
    """One end of the channel: `sign` is +1 where beyond means longer pulses."""

    word: str
    sign: float
    lands_us: float
    learned: Doubted | None
    short_says: str


def end_points(setting: ChannelSetting, travel_step_percent: float = WHOLE_PERCENT) -> EndPoints:
    """Judge both ends, and find the travel values that land them.

    `travel_step_percent`: the steps in which the transmitter lets the travel be set, 1 or 0.1.
    """
    pulse = setting.pulse
    low, high = _low(setting), _high(setting)
    low_travel = _travel(low, pulse, travel_step_percent)
    high_travel = _travel(high, pulse, travel_step_percent)
    checks = [_reaches(low, pulse, low_travel), _reaches(high, pulse, high_travel)]
    if setting.learned_low_us and setting.learned_high_us:
        span_us = setting.learned_high_us.figure - setting.learned_low_us.figure
        checks.append(_wastes_little(low, setting.learned_low_us, span_us, low_travel))
        checks.append(_wastes_little(high, setting.learned_high_us, span_us, high_travel))
    return EndPoints(
        low_us=low.lands_us,
        high_us=high.lands_us,
        learned_low_us=low.learned.figure if low.learned else None,
        learned_high_us=high.learned.figure if high.learned else None,
        low_travel_percent=low_travel,
        high_travel_percent=high_travel,
        checks=tuple(checks),
    )


def measured_end(setting: ChannelSetting, word: str, measured_us: float) -> tuple[Verdict, ...]:
    """Judge one end, "low" or "high", at the pulse width that was read of it, us."""
    end = (_low(setting) if word == "low" else _high(setting))._replace(lands_us=measured_us)
    travel_percent = _travel(end, setting.pulse, WHOLE_PERCENT)
    checks = [_reaches(end, setting.pulse, travel_percent)]
    if setting.learned_low_us and setting.learned_high_us and end.learned:
        span_us = setting.learned_high_us.figure - setting.learned_low_us.figure
        checks.append(_wastes_little(end, end.learned, span_us, travel_percent))
    return tuple(checks)


def measured_span(setting: ChannelSetting, word: str) -> tuple[float, float] | None:
    """Return the pulse widths of one end, "low" or "high", that `measured_end` passes, us; None if none is learned."""
    end = _low(setting) if word == "low" else _high(setting)
    if end.learned is None:
        return None
    short_us = setting.pulse.jitter_us + 0.5 * setting.pulse.step_us - end.learned.spread
    beyond_us = math.inf
    if setting.learned_low_us and setting.learned_high_us:
        beyond_us = DEAD_SHARE * (setting.learned_high_us.figure - setting.learned_low_us.figure) - end.learned.spread
    near, far = end.learned.figure - end.sign * short_us, end.learned.figure + end.sign * beyond_us
    return min(near, far), max(near, far)


def _low(setting: ChannelSetting) -> _End:
    return _End(
        "low",
        -1.0,
        landed_us(setting.pulse, 0.0),
        setting.learned_low_us,
        "the controller may not arm, and throttle hold may not stop the motor",
    )


def _high(setting: ChannelSetting) -> _End:
    lands_us = landed_us(setting.pulse, 100.0)
    return _End("high", 1.0, lands_us, setting.learned_high_us, "the channel never reaches full")


def travel_that_lands(pulse: Pulse, learned_us: float, sign: float, travel_step_percent: float) -> float | None:
    """Smallest travel adjustment that reaches the learned pulse width and lands on it or beyond it, percent.

    travel = 100 · |learned - centre| / |end at 100 % - centre|, raised to the travel step and then until it lands
    Valid: sign +1 for the high end, -1 for the low one; None when more than 150 % or nothing at all would be needed.
    Source: servo pulse conventions; the highest travel is common practice, no source.
    """
    centre = 0.5 * (pulse.low_us + pulse.high_us)
    half = 0.5 * (pulse.high_us - pulse.low_us)
    exact = 100.0 * sign * (learned_us - centre) / half
    if exact <= 0.0:
        return None
    count = math.ceil(exact / travel_step_percent - 1e-9)
    while count * travel_step_percent <= HIGHEST_TRAVEL_PERCENT + 1e-9:
        travel = round(count * travel_step_percent, 6)
        lands = nearest_step_us(pulse, centre + sign * half * travel / 100.0)
        if sign * (lands - learned_us) >= -1e-9:
            return travel
        count += 1
    return None


def _reaches(end: _End, pulse: Pulse, travel_percent: float | None) -> Verdict:
    """Judge that an end reaches the learned one; short of it by no more than jitter and half a step still counts."""
    check = f"{end.word}_end_reaches"
    if end.learned is None:
        return Verdict.unknown(
            check,
            f"the {end.word} end that the controller learned is not known: {HOW_TO_LEARN}",
            needs=(f"channel.learned_{end.word}",),
        )
    beyond_us = _beyond_us(end, end.learned)
    allowed_us = pulse.jitter_us + 0.5 * pulse.step_us
    judged = Verdict.at_least(
        check,
        beyond_us,
        Limit(value=-allowed_us, unit="us", origin=RULE),
        what=f"{end.word} end beyond the learned one",
        interval=_about(beyond_us, end.learned),
    )
    says = _lands(end, end.learned, beyond_us)
    if judged.verdict is Outcome.PASS:
        return replace(judged, reason=says)
    surely = "" if judged.verdict is Outcome.FAIL else ", and the doubt on the learned end leaves it open"
    return replace(judged, reason=f"{says}{surely}: {end.short_says}; {_advice(end, travel_percent)}")


def _wastes_little(end: _End, learned: Doubted, span_us: float, travel_percent: float | None) -> Verdict:
    """Judge that an end does not lie far beyond the learned one, where the channel does nothing more."""
    beyond_us = max(_beyond_us(end, learned), 0.0)
    judged = Verdict.at_most(
        f"{end.word}_end_dead_travel",
        beyond_us,
        Limit(value=DEAD_SHARE * span_us, unit="us", origin=DEAD_ORIGIN),
        what=f"dead travel beyond the learned {end.word} end",
        interval=_about(beyond_us, learned),
    )
    if judged.verdict is Outcome.PASS:
        return judged
    return replace(
        judged,
        reason=f"{_lands(end, learned, beyond_us)}: that much of the channel moves nothing, and its percent "
        f"does not mean what it says; {_advice(end, travel_percent)}",
    )


def _beyond_us(end: _End, learned: Doubted) -> float:
    """Distance of an end beyond the learned one, us; below 0 when it falls short."""
    return end.lands_us - learned.figure if end.sign > 0.0 else learned.figure - end.lands_us


def _lands(end: _End, learned: Doubted, beyond_us: float) -> str:
    """Say where an end lands and how far beyond or short of the learned one that is."""
    place = "on" if beyond_us == 0.0 else f"{abs(beyond_us):.4g} us {'beyond' if beyond_us > 0.0 else 'short of'}"
    return f"the {end.word} end lands at {end.lands_us:.5g} us, {place} the learned {learned.figure:.5g} us"


def _advice(end: _End, travel_percent: float | None) -> str:
    """Say which travel lands the end, or that none does."""
    if travel_percent is None:
        return f"no travel up to {HIGHEST_TRAVEL_PERCENT:g} % lands it: {HOW_TO_LEARN}"
    return f"set its travel to {travel_percent:g} %, or {HOW_TO_LEARN}; then measure thresholds and readings again"


def _travel(end: _End, pulse: Pulse, travel_step_percent: float) -> float | None:
    """Travel for an end whose learned pulse width is known."""
    return travel_that_lands(pulse, end.learned.figure, end.sign, travel_step_percent) if end.learned else None


def _about(figure: float, learned: Doubted) -> tuple[float, float] | None:
    """Interval of a figure that carries the doubt of the learned end."""
    return (figure - learned.spread, figure + learned.spread) if learned.spread else None
