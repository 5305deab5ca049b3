"""Held speeds of which twice or half may be the true one: where every second line is heard, both sound alike."""

from collections.abc import Sequence

from steadyhead.judge.held_heard import NEAR_MODE_SHARE, SpeedHeard
from steadyhead.machine.description import Machine
from steadyhead.machine.tables.channel import FlightMode

TIMES = (2.0, 0.5)
NO_POLES = (
    "the machine file has no motor poles, so the lines of the motor's windings are not looked for: twice or half of a "
    "head speed may be the true one; write down motor.poles"
)


def sure_speeds(machine: Machine, held: tuple[SpeedHeard, ...]) -> tuple[SpeedHeard, ...]:
    """Return the speeds that were held, less those whose octave is likelier where the poles are not known.

    Valid: with the poles known all are returned: their lines, too, speak for each, and `octave_told` warns.
    """
    if machine.pole_pairs is not None:
        return held
    return tuple(one for one in held if octave_of(one, machine.flight_mode) is None)


def octave_told(machine: Machine, held: Sequence[SpeedHeard]) -> tuple[str, ...]:
    """Return a warning for each held speed that fits no flight mode while twice or half of it does."""
    words = []
    for one in held:
        other = octave_of(one, machine.flight_mode)
        if other is None:
            continue
        which = "twice" if other > one.head_speed_rpm else "half"
        words.append(
            f"{one.head_speed_rpm:.0f} rpm, heard from {one.start_s:.1f} to {one.end_s:.1f} s, is near no flight mode, "
            f"but {which} as much is: the true head speed may be {other:.0f} rpm; check poles and teeth in the machine "
            "file, and record nearer"
        )
    return (*words, *((NO_POLES,) if held and machine.pole_pairs is None else ()))


def octave_of(one: SpeedHeard, modes: Sequence[FlightMode]) -> float | None:
    """Return twice or half of a held speed that is near no flight mode, where that is near one, rpm."""
    if _near(one.head_speed_rpm, modes):
        return None
    return next((one.head_speed_rpm * times for times in TIMES if _near(one.head_speed_rpm * times, modes)), None)


def _near(rpm: float, modes: Sequence[FlightMode]) -> bool:
    return any(abs(mode.head_speed.number / rpm - 1.0) < NEAR_MODE_SHARE for mode in modes)
