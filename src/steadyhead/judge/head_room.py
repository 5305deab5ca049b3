"""The duty that is left, at each set speed, in each condition that the log shows."""

from collections import defaultdict
from collections.abc import Iterator

from steadyhead.judge.duty import READ_DOUBT, duty_of
from steadyhead.judge.governing import head_room as head_room_of
from steadyhead.judge.measured import Measured
from steadyhead.judge.parts import part_means, part_most
from steadyhead.judge.result import HeadRoom
from steadyhead.machine.description import Machine
from steadyhead.trace.trace import Series

ORDER = ("hover", "bench", "climb", "pump")
Seen = tuple[float, float, float | None]
"""Duty, time, pack voltage."""


def head_rooms(found: Measured, machine: Machine) -> tuple[HeadRoom, ...]:
    """Return the least head-room of each condition at each set speed; none without duty, voltage and current."""
    duty = duty_of(found.signals, machine)
    if duty is None:
        return ()
    seen: dict[tuple[str, float], list[Seen]] = defaultdict(list)
    for condition, set_rpm, one in (*_windows(found, duty.values), *_loads(found, duty.values)):
        seen[condition, round(set_rpm)].append(one)
    return tuple(
        _least(condition, set_rpm, seen[condition, set_rpm], duty.doubt_share)
        for condition, set_rpm in sorted(seen, key=lambda key: (ORDER.index(key[0]), key[1]))
    )


def _windows(found: Measured, duty: Series) -> Iterator[tuple[str, float, Seen]]:
    parts = found.window_parts
    means = part_means(duty, parts)
    volts = None if found.signals.voltage_v is None else part_means(found.signals.voltage_v, parts)
    for k, window in enumerate(found.windows):
        if window.hover is not None:
            condition = "hover" if window.hover else "bench"
            yield (
                condition,
                window.set_rpm,
                (float(means[k]), window.start_s, None if volts is None else float(volts[k])),
            )


def _loads(found: Measured, duty: Series) -> Iterator[tuple[str, float, Seen]]:
    most = part_most(duty, found.signals.parts(found.events))
    for event, highest in zip(found.events, most, strict=True):
        yield event.kind, event.set_rpm, (float(highest), event.start_s, event.pack_voltage_min_v)


def _least(condition: str, set_rpm: float, seen: list[Seen], doubt_share: float) -> HeadRoom:
    duty, at_s, volts = max(seen, key=lambda one: one[0])
    doubt = READ_DOUBT + duty * doubt_share
    return HeadRoom(
        condition=condition,
        set_rpm=set_rpm,
        count=len(seen),
        duty=duty,
        head_room=head_room_of(1.0, duty),
        head_room_interval=(max(head_room_of(1.0, duty + doubt), 0.0), min(head_room_of(1.0, duty - doubt), 1.0)),
        at_s=at_s,
        pack_voltage_v=volts,
    )
