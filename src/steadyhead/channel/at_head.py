"""Whether head speeds that were worked out through the gears were ever held against the head itself.

Motor and gears turn as one: with another main gear or pinion than in the machine file they read and sound alike, at
another head speed. No number of such readings shows it; one reading at the head does.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from steadyhead.channel.fitted_law import head_speed_interval_rpm, head_speed_rpm
from steadyhead.channel.pulse import step_percent
from steadyhead.channel.reading_doubt import Z90, deviation_rpm
from steadyhead.channel.reading_set import BEYOND_DOUBT, said
from steadyhead.channel.result import Interval, ModeCurve, Reading
from steadyhead.channel.set_point_law import set_point_law
from steadyhead.channel.setting import ChannelSetting
from steadyhead.words.verdict import Outcome, Verdict

CHECK = "read_at_head"
AGREES_SHARE = 0.02
"""The interval of head speed over gears must lie within so much of 1: as well as a curve value must be known."""
AT_HEAD = "one head speed read at the head itself, optically or by sound with blades heard, at a position that was read"
AS_IT_SOUNDS: Interval = (1.0, 1.0)


class _Ratio(NamedTuple):
    """Head speed over what motor and gears say at the same position, its 90 % half width, and the reading."""

    times: float
    half: float
    reading: Reading


class ThroughGears(NamedTuple):
    """What readings at the head say of those through the gears: the check, and the interval of the head's share."""

    check: Verdict | None
    share: Interval = AS_IT_SOUNDS
    tooth: str = ""
    """What one miscounted tooth makes of every head speed, in words."""

    @property
    def doubted(self) -> bool:
        """Whether head speeds rest on motor and gears that nothing at the head has borne out."""
        return self.check is not None and self.check.verdict is not Outcome.PASS


def through_gears(readings: Sequence[Reading], setting: ChannelSetting) -> ThroughGears:
    """Return what bears out the readings through the gears; nothing to say where every one was taken at the head.

    times = reading at the head / the law of the others at its position
    Valid: readings that were put in order by `reading_set`.
    Source: quotient of two independent figures, common to statistics textbooks.
    """
    geared = tuple(reading for reading in readings if not reading.is_at_head)
    head = tuple(reading for reading in readings if reading.is_at_head)
    if not geared:
        return ThroughGears(None)
    tooth = " and ".join(f"{percent:.1f} % with one tooth on the {wheel}" for wheel, percent in setting.tooth_percent)
    found = sorted(_ratios(geared, head, setting), key=lambda ratio: ratio.half)
    if not found:
        where = ", ".join(f"{percent:.4g}" for percent in dict.fromkeys(reading.percent for reading in geared))
        why = (
            f"the head speeds at {where} % are motor and gears over the teeth in the machine file: with another main "
            "gear or pinion they would be alike, at another head speed. Count the teeth, and read one position at the "
            "head"
        )
        return ThroughGears(Verdict.unknown(CHECK, why, needs=(AT_HEAD,)), tooth=tooth)
    return _judged(found)._replace(tooth=tooth)


def doubted_mode(mode: ModeCurve, gears: ThroughGears) -> ModeCurve:
    """Return a mode's curve, saying so where it rests on head speeds through the gears alone; then it does not pass.

    Its interval holds the doubt of the readings, not that of the teeth, which no reading tells.
    """
    if not gears.doubted:
        return mode
    verdict = Outcome.UNKNOWN if mode.verdict is Outcome.PASS else mode.verdict
    return replace(mode, verdict=verdict, reason=f"{mode.reason}; {_but(gears)}")


def doubted_check(check: Verdict, gears: ThroughGears) -> Verdict:
    """Return a check on the real head speed, saying so where it rests on head speeds through the gears alone.

    Then it does not pass.
    """
    if not gears.doubted:
        return check
    if check.verdict is not Outcome.PASS:
        return replace(check, reason=f"{check.reason}; {_but(gears)}")
    return replace(check, verdict=Outcome.UNKNOWN, reason=f"{check.reason}; {_but(gears)}", needs=(AT_HEAD,))


def _but(gears: ThroughGears) -> str:
    """Say what no interval here holds: the teeth, and by how much one of them would be off."""
    off = f": {gears.tooth}" if gears.tooth else ""
    return (
        "but that is motor and gears alone, not read at the head: with another tooth count every figure here, and its "
        f"interval, is off by the ratio of the teeth{off}"
    )


def _ratios(geared: Sequence[Reading], head: Sequence[Reading], setting: ChannelSetting) -> Iterator[_Ratio]:
    """Yield head over gears wherever one kind of reading lies at a position of the other, or on the other's law."""
    for one in head:
        for other in geared:
            if abs(one.percent - other.percent) <= step_percent(setting.pulse, one.percent):
                half = math.hypot(_half(one), _half(other))
                yield _Ratio(one.head_speed_rpm / other.head_speed_rpm, half, one)
    law = set_point_law(geared)
    for one in head if law.known else ():
        inside = law.span_percent[0] <= one.percent <= law.span_percent[1]
        if inside or law.curve is None:
            low, high = head_speed_interval_rpm(law, one.percent)
            rpm = head_speed_rpm(law, one.percent)
            if rpm > 0.0:
                yield _Ratio(one.head_speed_rpm / rpm, math.hypot(_half(one), 0.5 * (high - low) / rpm), one)


def _half(reading: Reading) -> float:
    """Return the 90 % half width of a reading, a share of it."""
    return Z90 * deviation_rpm(reading) / reading.head_speed_rpm


def _judged(found: Sequence[_Ratio]) -> ThroughGears:
    """Judge by the surest ratio, and against any that contradicts it."""
    off = [ratio for ratio in found if abs(ratio.times - 1.0) > BEYOND_DOUBT / Z90 * ratio.half]
    best = off[0] if off else found[0]
    share = (min(best.times - best.half, 1.0), max(best.times + best.half, 1.0))
    says = f"the head turns {best.times:.3f} ± {best.half:.3f} times what motor and gears say ({said(best.reading)})"
    farthest = max(1.0 - share[0], share[1] - 1.0)
    if not off and farthest <= AGREES_SHARE:
        return ThroughGears(Verdict(check=CHECK, verdict=Outcome.PASS, reason=says), share)
    fails = bool(off) and abs(best.times - 1.0) > AGREES_SHARE
    advice = "count the teeth of pinion and main gear" if off else "too loose to bear them out: read it closer"
    return ThroughGears(
        Verdict(
            check=CHECK,
            verdict=Outcome.FAIL if fails else Outcome.UNKNOWN,
            reason=f"{says}: {advice}",
            needs=(AT_HEAD,) if not off else ("gears.pinion_teeth", "gears.main_gear_teeth"),
        ),
        share,
    )
