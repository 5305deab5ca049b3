"""What logged speeds say of the teeth: head against motor side, and head speeds against the flight modes of the file.

A head speed that is worked out from motor speed is wrong by the ratio when a count of teeth is wrong.
"""

from collections.abc import Iterator, Sequence

from steadyhead.channel.result import Reading
from steadyhead.judge.commands import same_position
from steadyhead.judge.plausible import MODE_SHARE
from steadyhead.learn.doubt import Doubt
from steadyhead.learn.kv_counts import PINION
from steadyhead.learn.not_shown import HOW, THROUGH_THE_GEARS, gear_is_shown, ratio_off
from steadyhead.learn.rows import RAD_S, Evidence
from steadyhead.machine.description import Machine
from steadyhead.words.value import Origin
from steadyhead.words.verdict import Outcome

TOOTH_SHARE = 0.005
"""How near to a whole count of teeth two speeds must point for that count to be named; own choice."""
FAR_SHARE = 0.02
"""Head and motor speed apart by so much are no matter of two sensors any more; own choice."""
ONE_RATIO = 0.01
"""Head speeds that miss theirs by ratios no farther apart than this all miss by one; own choice."""
Seen = Sequence[tuple[Evidence, Sequence[Reading]]]


def named_pinion(machine: Machine, times: float, near: float = TOOTH_SHARE) -> str:
    """Say which pinion has so many times the teeth of the file's; empty where that is no whole number."""
    stated = machine.gears.pinion_teeth.number
    right, whole = stated * times, round(stated * times)
    if whole < 1 or whole == stated or abs(right - whole) > near * right:
        return ""
    return f"a pinion of {whole} teeth where the file says {stated:.0f} would do that"


def named_pole_pairs(machine: Machine, times: float, near: float = TOOTH_SHARE) -> str:
    """Say which count of pole pairs has so many times the file's; empty where that is no other whole number."""
    if not machine.pole_pairs:
        return ""
    stated = float(machine.pole_pairs)
    right, whole = stated * times, round(stated * times)
    if whole < 1 or whole == stated or abs(right - whole) > near * right:
        return ""
    return f"{whole} pole pairs where the file says {stated:.0f} would do that"


def named_counts(machine: Machine, times: float) -> str:
    """Say which pinion and which count of pole pairs let a motor speed be the head's, so many times too low."""
    names = (named_pinion(machine, times), named_pole_pairs(machine, 1.0 / times))
    return "; ".join(name for name in names if name)


def two_speeds(machine: Machine, found: Sequence[Evidence]) -> Doubt | None:
    """Return what head and motor speed of the logs say against the teeth of the file; None where they fit or lack.

    head speed over motor speed through the file's gears = true teeth of the pinion / teeth of the file
    """
    off = ratio_off(found)
    if off is None:
        return None
    says = f"the head reads {off:.3f} times the motor side: teeth or poles in the file are wrong, or a sensor's are"
    counts = named_counts(machine, off)
    return Doubt(
        says=f"{says}; {counts}" if counts else says,
        verdict=Outcome.FAIL if abs(off - 1.0) > FAR_SHARE else Outcome.UNKNOWN,
        needs=(PINION,),
        holds=frozenset(THROUGH_THE_GEARS),
        readings_of=frozenset(one.log for one in found),
    )


def motor_speed_alone(machine: Machine, seen: Seen) -> Doubt | None:
    """Return what stands against head speeds that are worked out from motor speed; None where nothing does.

    Valid: logs without a speed at the head. Where every flight mode misses its head speed by one ratio, the teeth are
    the likelier cause; where nobody counted them and no flight mode is met, nothing shows that they are right.
    """
    alone = [(one, rows) for one, rows in seen if _motor_alone(one)]
    if not alone:
        return None
    logs = frozenset(one.log for one, _ in alone)
    every = [times for _, rows in alone for times in _modes_over_file(machine, rows)]
    said = _one_ratio(machine, every)
    if said:
        return Doubt(
            says=said, verdict=Outcome.UNKNOWN, needs=(PINION,), holds=frozenset(THROUGH_THE_GEARS), readings_of=logs
        )
    met = bool(every) and all(abs(times - 1.0) <= MODE_SHARE for times in every)
    if met or _settled(machine, [one for one, _ in seen]) or not any(rows for _, rows in alone):
        return None
    says = (
        f"the head speeds of the set-point law are motor speed over the file's teeth, and nothing shows that these are "
        f'right: {HOW[PINION]}, and write from = "measured"'
    )
    return Doubt(says=says, verdict=None, needs=(PINION,), readings_of=logs)


def _motor_alone(one: Evidence) -> bool:
    signals = one.found.signals
    return signals.speed_rpm is not None and not signals.speed_is_head


def _settled(machine: Machine, found: Sequence[Evidence]) -> bool:
    """Whether somebody counted the teeth, or two speeds of these logs fit them."""
    value = machine.value(PINION)
    return (value is not None and value.origin is Origin.MEASURED) or gear_is_shown(found)


def _modes_over_file(machine: Machine, rows: Sequence[Reading]) -> Iterator[float]:
    """Yield, for each flight mode that a log shows, its head speed over the file's."""
    for mode in machine.flight_mode:
        if mode.channel is None:
            continue
        percent = 100.0 * mode.channel.si
        here = [row.head_speed_rpm for row in rows if same_position(row.percent, percent)]
        if here:
            yield here[0] * RAD_S / mode.head_speed.si


def _one_ratio(machine: Machine, every: Sequence[float]) -> str:
    """Say that all flight modes miss their head speed by one ratio; empty where they do not."""
    if not every:
        return ""
    middle = sorted(every)[len(every) // 2]
    counts = named_counts(machine, 1.0 / middle)
    one = max(every) <= (1.0 + ONE_RATIO) * min(every) and abs(middle - 1.0) > MODE_SHARE
    if not one or (len(every) == 1 and not counts):
        return ""
    modes = "every flight mode that the log shows" if len(every) > 1 else "the one flight mode that the log shows"
    says = (
        f"worked out from motor speed, {modes} turns {middle:.3f} times the head speed of the file: count the teeth "
        "and the poles before you believe these head speeds"
    )
    return f"{says}; {counts}" if counts else says
