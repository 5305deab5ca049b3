"""Held speeds of which twice or half may be the true one: where every second line is heard, both sound alike."""

from collections.abc import Sequence

from steadyhead.judge.held_heard import NEAR_MODE_SHARE, SpeedHeard
from steadyhead.judge.sound_of import no_load_rpm_of
from steadyhead.machine.description import Machine
from steadyhead.machine.tables.channel import FlightMode

TIMES = (2.0, 0.5)
OVER_NO_LOAD = 1.03
"""A pack just off the charger and a Kv within its spread drive a head so far over the no-load speed; own choice."""
NO_POLES = (
    "the machine file has no motor poles, so the lines of the motor's windings are not looked for: twice or half of a "
    "head speed may be the true one; write down motor.poles"
)
NO_POLES_NO_BLADES = (
    "the machine file has no motor poles and no blades were heard, so only lines of one mesh and those near them "
    "speak: the true head speed may be twice or half of what is shown, or off by the ratio of two small numbers, "
    "as 15 to 14; no head speed is told as held; write down motor.poles"
)


def sure_speeds(machine: Machine, held: tuple[SpeedHeard, ...], *, head_heard: bool) -> tuple[SpeedHeard, ...]:
    """Return the speeds that were held, less those that another one would explain where the poles are not known.

    Valid: with the poles known all are returned: their lines, too, speak for each, and `octave_told` warns. Without
    poles and blades one mesh and what lies near its lines is all there is: any ratio may be the true one.
    """
    if machine.pole_pairs is not None:
        return held
    return tuple(one for one in held if octave_of(one, machine.flight_mode) is None) if head_heard else ()


def twice_open(machine: Machine, held: Sequence[SpeedHeard]) -> bool:
    """Whether twice a head speed that was heard may be the true one, anywhere in a recording."""
    if machine.pole_pairs is None:
        return True
    return any((octave_of(one, machine.flight_mode) or 0.0) > one.head_speed_rpm for one in held)


def octave_told(machine: Machine, held: Sequence[SpeedHeard], *, head_heard: bool = True) -> tuple[str, ...]:
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
    if held and machine.pole_pairs is None:
        words.append(NO_POLES if head_heard else NO_POLES_NO_BLADES)
    return tuple(words)


def reach_told(machine: Machine, held: Sequence[SpeedHeard]) -> tuple[str, ...]:
    """Return a warning where Kv and cells of the machine file reach neither what is heard nor what is asked for."""
    reach = no_load_rpm_of(machine)
    fastest = max((one.head_speed_rpm for one in held), default=0.0)
    asked = max((mode.head_speed.number for mode in machine.flight_mode), default=0.0)
    over = [
        f"{what} {rpm:.0f} rpm"
        for what, rpm in (("a flight mode asks for", asked), ("the ear hears", fastest))
        if rpm > OVER_NO_LOAD * reach
    ]
    if not reach or not over:
        return ()
    return (
        f"motor.kv, pack.cells and the gears of the machine file reach {reach:.0f} rpm without load on a full pack, "
        f"but {' and '.join(over)}: check motor.kv, pack.cells and the teeth; wrong ones may make a head speed wrong",
    )


def octave_of(one: SpeedHeard, modes: Sequence[FlightMode]) -> float | None:
    """Return twice or half of a held speed that is near no flight mode, where that is near one, rpm."""
    if _near(one.head_speed_rpm, modes):
        return None
    return next((one.head_speed_rpm * times for times in TIMES if _near(one.head_speed_rpm * times, modes)), None)


def _near(rpm: float, modes: Sequence[FlightMode]) -> bool:
    return any(abs(mode.head_speed.number / rpm - 1.0) < NEAR_MODE_SHARE for mode in modes)
