"""Tells a quick start of the motor from a soft one by how fast it comes up, and says where the log cannot tell."""

from dataclasses import dataclass
from functools import cached_property

from steadyhead.judge.motor_state import CARRYING_DUTY_SHARE, reached
from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import median
from steadyhead.judge.signals import Signals
from steadyhead.trace.trace import Series

QUICK_BELOW_S = 5.5
"""Between the slowest quick start (3 s) and the quickest soft one (10 s), on a logarithmic scale."""
QUICK_ITSELF_S = 3.5
"""A first start quicker than this is as quick as any quick restart; common practice, no source."""
QUICKER_THAN_SOFT = 1.6
FIRST_ROWS_S = 0.2
FOOT_SHARE = 0.9
"""A ramp that begins nearer to the set speed than this is too short to tell its rate; own choice."""
RAMP_SHARE = 0.95
LEAP_S, WITH_IT_SHARE, STANDING_SHARE = 0.3, 0.95, 0.3
"""A motor that turns with a head that still turns fast so soon has leapt to it, no ramp took it there; own choice."""
TAIL_SHARE = 0.85
"""From here to RAMP_SHARE a motor that has leapt to the head turns as its ramp says; own choice."""
LEAPT_SHARE = 0.45
"""Of its set speed: no quick ramp takes a motor so far within LEAP_S, one of a second takes it 0.3; own choice."""
ARRIVES_SHARE = 0.99
"""Up to here the rise of a head tells its ramp that was not below TAIL_SHARE: the judge's band of 1 %."""
CREEPS_SHARE = 1.25
"""What load and pack make of the rate of one and the same ramp; own choice."""
QUICK_DUTY_PER_S = 0.14
"""Where the set speed was not reached, a duty that rises faster belongs to a quick start; own choice."""


@dataclass(frozen=True, kw_only=True)
class Ramp:
    """One start of the motor towards a set speed, and the soft start from rest that it is held against."""

    signals: Signals
    start_s: float
    end_s: float
    """Until when the channel asks for running."""
    set_rpm: float | None
    governed_duty: float | None
    """Duty at the end of the last governed stretch; None before one, or without a duty channel."""
    soft_s: float | None
    """What the first soft start took; None where there was none, or a quick one."""
    soft_rate: float | None
    """How fast the head came up in it, rpm a second."""

    @property
    def is_quick(self) -> bool:
        """Whether the motor comes up as in a quick start."""
        if self._there_s is None or self.set_rpm is None:
            rise = duty_rise_per_s(self.signals, self.start_s, self.end_s)
            return rise is not None and rise > QUICK_DUTY_PER_S
        if self.soft_rate is not None:
            return self._rates()[1] > QUICKER_THAN_SOFT * self.soft_rate
        return self._took_s < QUICK_BELOW_S

    @property
    def is_told(self) -> bool:
        """Whether the log can tell: however fast the motor may have turned when it began, and a row late or early.

        A quick one comes up quickly from the head's own speed, or quickly from less and takes the head along so to the
        end. One whose rate lies between that of a soft start, load and pack allowed for, and a quick one is neither;
        nor is one that leapt to the head and then took it along as a soft start does, or that the end of the log cut.
        Where no ramp was seen that took the motor to the head, only the head's rise from the catch on tells.
        """
        if self._is_cut_off or (self.is_quick and (self._creeps_on or self._ends_softly)):
            return False
        if self.is_quick and self._leapt is not False and self.soft_rate is not None and self._there_s is not None:
            return self._since_catch_rate is not None and self._since_catch_rate > QUICKER_THAN_SOFT * self.soft_rate
        if self._there_s is None or self.set_rpm is None or self.soft_rate is None:
            return True
        row_s = self.signals.interval_s
        least, most = self._rates(row_s)[0], self._rates(-row_s)[1]
        if self.set_rpm / self.soft_rate < QUICK_BELOW_S and most <= QUICKER_THAN_SOFT * self.soft_rate:
            return False  # the first start was so quick itself that it is no measure of a soft one
        ends_quickly = self._tail is not None and self._tail[0] > QUICKER_THAN_SOFT * self.soft_rate
        if least > QUICKER_THAN_SOFT * self.soft_rate or (self.is_quick and ends_quickly):
            return True
        began_near = self._from_rpm[0] >= FOOT_SHARE * self.set_rpm  # too short a way to tell
        soft = QUICKER_THAN_SOFT if self._ends_softly else CREEPS_SHARE
        return most <= soft * self.soft_rate and not began_near

    @property
    def beats_soft(self) -> bool:
        """Whether it was quicker than any soft start, also one that begins at the speed which the head still has."""
        if self._there_s is None or self.soft_rate is None:
            return self.is_quick
        return self.is_quick and self._rates(self.signals.interval_s)[0] > QUICKER_THAN_SOFT * self.soft_rate

    @property
    def lasted_s(self) -> float | None:
        """How long the motor took until it carried the head near its set speed, s; None where it did not."""
        there_s = self._near_s if self._near_s is not None else self._there_s
        return None if there_s is None else max(there_s - self.start_s, 0.0)

    @cached_property
    def _there_s(self) -> float | None:
        return self._reached(1.0)

    @cached_property
    def _near_s(self) -> float | None:
        """When the head came to RAMP_SHARE of its set speed, s; None where it began near it or did not come."""
        speed = self.signals.speed_rpm
        if speed is None or self.set_rpm is None or self._at_start(speed) >= FOOT_SHARE * self.set_rpm:
            return None
        return self._reached(RAMP_SHARE)

    @property
    def _took_s(self) -> float:
        return 0.0 if self._there_s is None else max(self._there_s - self.start_s, 1e-3)

    @property
    def _is_cut_off(self) -> bool:
        """Whether the log ends before any start, quick or soft, need have reached its set speed."""
        if self.end_s < self.signals.end_s or self.signals.end_s - self.start_s >= QUICK_BELOW_S:
            return False
        return self._there_s is None

    @cached_property
    def _creeps_on(self) -> bool:
        """Whether the motor leapt to the turning head, and then took it along hardly quicker than a soft start does."""
        signals = self.signals
        if signals.motor_rpm is None or signals.speed_rpm is None or not signals.speed_is_head or not self.set_rpm:
            return False
        part = signals.within(self.start_s, self.start_s + LEAP_S + signals.interval_s)
        with_it = rows_where(signals.motor_rpm[part] >= WITH_IT_SHARE * signals.motor_share * signals.speed_rpm[part])
        near_s = self._reached(RAMP_SHARE)
        if self.soft_s is None or near_s is None or not with_it.size:
            return False
        row = part.start + int(with_it[0])
        from_rpm, took_s = float(signals.speed_rpm[row]), near_s - float(signals.time_s[row])
        if not STANDING_SHARE * self.set_rpm < from_rpm < FOOT_SHARE * self.set_rpm or took_s <= 0.0:
            return False
        return (RAMP_SHARE * self.set_rpm - from_rpm) / took_s < CREEPS_SHARE * self.set_rpm / self.soft_s

    @cached_property
    def _leapt(self) -> bool | None:
        """Whether the motor was with the turning head at once, so that no ramp took it there, as in a start at the
        head's own speed; None where neither motor speed nor duty tells."""
        signals = self.signals
        first = max(signals.index(self.start_s) - 1, 0)
        part = slice(first, signals.index(self.end_s) + 1)
        if signals.motor_rpm is not None and self.set_rpm:
            share = signals.motor_rpm[part] / (signals.motor_share * self.set_rpm)
        elif signals.duty is not None and self.governed_duty:
            share = signals.duty[part] / self.governed_duty
        else:
            return None
        up = rows_where(share >= CARRYING_DUTY_SHARE)
        if not up.size:
            return False
        row = int(up[0])
        before = max(signals.index(float(signals.time_s[first + row]) - LEAP_S) - first, 0)
        return row == 0 or bool(share[row] - share[before : row + 1].min() > LEAPT_SHARE)

    @cached_property
    def _since_catch_rate(self) -> float | None:
        """How fast the head rose, at the least, once the motor had caught it, rpm a second; None where it was too near
        its set speed to tell.

        Where only the motor side was measured the leap itself is left out: LEAP_S after it the motor turns with the
        head. A surge of the governor moves a head by less than lies between RAMP_SHARE and ARRIVES_SHARE.
        """
        signals, speed = self.signals, self.signals.speed_rpm
        if speed is None or self.set_rpm is None or self._there_s is None:
            return None
        first, last = signals.index(self.start_s), signals.index(self._there_s)
        if not signals.speed_is_head:
            caught = rows_where(speed[first : last + 1] >= CARRYING_DUTY_SHARE * self.set_rpm)
            first = signals.index(float(signals.time_s[first + int(caught[0])]) + LEAP_S) if caught.size else last
        if first >= last:
            return None
        row = first + int(speed[first : last + 1].argmin())
        low = float(speed[row])
        if low > RAMP_SHARE * self.set_rpm:
            return None
        top = (RAMP_SHARE if low < TAIL_SHARE * self.set_rpm else ARRIVES_SHARE) * self.set_rpm
        up = rows_where(speed[row : last + 1] >= top)
        end = row + int(up[0]) if up.size else last
        return float(speed[end] - low) / (float(signals.time_s[end] - signals.time_s[row]) + signals.interval_s)

    @property
    def _ends_softly(self) -> bool:
        """Whether the last tenth of the way came hardly quicker than in the soft start: a leap before it was none of
        the ramp, which may have begun at the speed that motor or head still had."""
        return self._tail is not None and self.soft_rate is not None and self._tail[1] < CREEPS_SHARE * self.soft_rate

    @cached_property
    def _tail(self) -> tuple[float, float] | None:
        """How fast the head came from TAIL_SHARE to RAMP_SHARE of its set speed, least and most, a row late or early,
        rpm a second; None where it never was so low, or did not come."""
        speed, signals = self.signals.speed_rpm, self.signals
        if speed is None or self.set_rpm is None or self._there_s is None:
            return None
        first, last = signals.index(self.start_s), signals.index(self._there_s)
        low = rows_where(speed[first : last + 1] < TAIL_SHARE * self.set_rpm)
        if not low.size:
            return None
        begin = first + int(low[-1])
        up = rows_where(speed[begin : last + 1] >= RAMP_SHARE * self.set_rpm)
        if not up.size:
            return None
        end = begin + int(up[0])
        rise = float(speed[end] - speed[begin])
        took_s, row_s = float(signals.time_s[end] - signals.time_s[begin]), signals.interval_s
        return rise / (took_s + row_s), rise / max(took_s - row_s, row_s)

    def _rates(self, more_s: float = 0.0) -> tuple[float, float]:
        """Return how fast the motor came up, least and most, rpm of the head a second, if it took `more_s` longer.

        The last few percent are left to the governor, which may creep there after any ramp.
        """
        top = set_rpm = self.set_rpm or 0.0
        took_s = self._took_s
        if self._near_s is not None and self._near_s > self.start_s:
            took_s, top = self._near_s - self.start_s, RAMP_SHARE * set_rpm
        took_s = max(took_s + more_s, self.signals.interval_s)
        slow, fast = (min(speed, FOOT_SHARE * set_rpm) for speed in self._from_rpm)
        return (top - fast) / took_s, (top - slow) / took_s

    @cached_property
    def _from_rpm(self) -> tuple[float, float]:
        """From which speed the motor's ramp began, least and most, rpm of the head.

        A ramp begins where the motor is, not at rest: at the speed that the duty of the first rows asks for, or as fast
        as the motor, or the head, was seen to turn. A motor that turns faster than its duty asks for coasts until the
        ramp has come up to it; one at work takes more duty than its speed asks for, and the one-way bearing lets it
        turn no faster than the head. With the head alone it turned between not at all and as fast as the head.
        """
        signals, set_rpm = self.signals, self.set_rpm or 0.0
        fast = set_rpm if signals.speed_rpm is None else self._at_start(signals.speed_rpm)
        slow = 0.0
        if signals.motor_rpm is not None:
            slow = min(fast, self._at_start(signals.motor_rpm) / signals.motor_share)
        if signals.duty is not None and self.governed_duty:
            row = min(signals.index(self.start_s), signals.time_s.size - 1)
            first = signals.duty[row : row + signals.samples(FIRST_ROWS_S) + 1]
            by_duty = set_rpm * median(first) / self.governed_duty
            slow = min(slow if signals.motor_rpm is not None else fast, by_duty)
        return max(slow, 0.0), max(fast, 0.0)

    def _at_start(self, speed: Series) -> float:
        """Return the lower of the two rows beside the start: a motor may have leapt before the second."""
        row = min(self.signals.index(self.start_s), speed.size - 1)
        return float(speed[max(row - 1, 0) : row + 1].min())

    def _reached(self, share: float) -> float | None:
        if self.set_rpm is None:
            return None
        return reached(self.signals, share * self.set_rpm, self.start_s, self.end_s, self.governed_duty)


def duty_rise_per_s(signals: Signals, start_s: float, end_s: float) -> float | None:
    """Return how fast the duty rises in the second and a half after a start, 1/s; None without a duty channel."""
    part = signals.within(start_s, min(start_s + 1.5, end_s))
    if signals.duty is None or part.stop - part.start < 3:
        return None
    span = float(signals.time_s[part.stop - 1] - signals.time_s[part.start])
    return float(signals.duty[part.stop - 1] - signals.duty[part.start]) / span if span > 0.0 else None
