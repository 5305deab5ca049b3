"""Everything that is measured on a log before anything is judged."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import zip_longest

import numpy as np

from steadyhead.judge.bail_outs import Restart, restarts
from steadyhead.judge.blades import blades_on
from steadyhead.judge.commands import Command, commands, runs
from steadyhead.judge.events import event
from steadyhead.judge.hold import HoldStop, hold_percent, hold_stops
from steadyhead.judge.hunting import Swing, hunts_under_load
from steadyhead.judge.hunting_elsewhere import Elsewhere, swings_elsewhere
from steadyhead.judge.left_out import LeftOut, left_out
from steadyhead.judge.lift_off import without_lift_off
from steadyhead.judge.loads import Load, loads
from steadyhead.judge.overshoot import Overshoot, overshoot
from steadyhead.judge.owner import Owner
from steadyhead.judge.pack_figures import PackFigures, pack_figures
from steadyhead.judge.pack_swap import Swap, with_swaps
from steadyhead.judge.result import LoadEvent
from steadyhead.judge.ringing import Ring, ringing
from steadyhead.judge.segments import Stretch, segments
from steadyhead.judge.sensor_lag import Lag, sensor_lag
from steadyhead.judge.set_speed import set_speeds
from steadyhead.judge.signals import Signals
from steadyhead.judge.steady import Calm, Span, calm_spans, calm_windows
from steadyhead.judge.without_channel import FLAT_S, commands_without_channel

FIRST_DIP_S = 0.6
QUICKER_THAN_A_HAND_HZ = 3.2
"""Pumping stirs the current twice a cycle, at most about three times a second; common practice, no source."""
STILL_DEG = 2.0


@dataclass(frozen=True, kw_only=True)
class Measured:
    """The figures of one log. Tuples in the order of time."""

    signals: Signals
    asked: tuple[Command, ...]
    run: tuple[bool, ...]
    channel_seen: bool
    """Whether the commands come from a logged throttle channel or were read from what the drive did."""
    stretches: tuple[Stretch, ...]
    swaps: tuple[Swap, ...]
    """When another pack was, or may have been, put in."""
    events: tuple[LoadEvent, ...]
    windows: tuple[Calm, ...]
    peaks: tuple[Overshoot, ...]
    """The highest speed of each governed stretch that is long enough to tell."""
    restarts: tuple[Restart, ...]
    holds: tuple[HoldStop, ...]
    hold_percent: float | None
    swings_under_load: tuple[Swing, ...]
    swings_at_s: tuple[float, ...]
    """When the climb of each of those swings began."""
    rings: tuple[Ring, ...]
    """How the head rang after each hard load that shows it."""
    elsewhere: tuple[Elsewhere, ...]
    """The regular swings of duty or current with which the head may hunt unseen."""
    left_out: tuple[LeftOut, ...]
    """Governed running in which the head moved and no collective tells why, neither plain nor a hard load."""
    pack: PackFigures
    flown: bool | None
    blades_on: bool | None
    bare_heard: bool = False
    """Whether the drive was heard all along, and no blades: then no pitch loads it."""

    @cached_property
    def window_parts(self) -> list[slice]:
        """The samples of each steady window."""
        return self.signals.parts(self.windows)

    @cached_property
    def governed(self) -> tuple[Stretch, ...]:
        """The governed stretches with a known set speed."""
        return tuple(s for s in self.stretches if s.kind == "governed" and s.set_rpm is not None)

    @cached_property
    def lag(self) -> Lag | None:
        """The lag of the speed sensor; None where nothing shows it."""
        return sensor_lag(self.signals, self.stretches)

    def swap_before(self, spool: Stretch) -> Swap | None:
        """Return the change of pack that was seen before a start; None where none was."""
        return next((swap for swap in self.swaps if swap.start_s == spool.start_s), None)


def measured(
    signals: Signals, owner: Owner, *, blades_heard: bool = False, bare_heard: bool = False, level_s: float = FLAT_S
) -> Measured:
    """Measure a log from end to end.

    `blades_heard` says that blades were heard to pass, `bare_heard` that the drive was and they were not; without a
    throttle channel a head that stands still for `level_s` is set so.
    """
    from_channel = commands(signals)
    asked = from_channel if from_channel is not None else commands_without_channel(signals, level_s)
    run = runs(signals, asked, owner.start_percent if from_channel is not None else 1.0, owner.hold_percent)
    modes = owner.modes if from_channel is not None else ()
    parted = segments(signals, asked, run, set_speeds(signals, asked, run, modes))
    stretches, swaps = with_swaps(signals, parted)
    hard = {k: loads(signals, s) for k, s in enumerate(stretches) if s.kind == "governed"}
    if from_channel is None:
        hard = {k: _no_change_of_speed(found, stretches[k]) for k, found in hard.items()}
    stretches = tuple(
        replace(s, airborne=True) if s.airborne is None and hard.get(k) else s for k, s in enumerate(stretches)
    )
    hard = {k: without_lift_off(signals, stretches[k], found) for k, found in hard.items()}
    events, swinging, windows = _governed_figures(signals, owner, stretches, hard)
    flown = _flown(stretches)
    hold = hold_percent(asked, run, owner.autorotation_percent) if from_channel is not None else None
    first = next((s.start_s for s in stretches if s.kind == "soft_spool"), signals.start_s)
    return Measured(
        signals=signals,
        asked=asked,
        run=run,
        channel_seen=from_channel is not None,
        stretches=stretches,
        swaps=swaps,
        events=events,
        windows=windows,
        peaks=tuple(p for p in (overshoot(signals, s) for s in stretches if s.kind == "governed") if p is not None),
        restarts=restarts(signals, stretches, asked, hold),
        holds=() if from_channel is None else hold_stops(signals, asked, stretches, hold, owner),
        hold_percent=hold,
        swings_under_load=tuple(line for _, line in swinging),
        swings_at_s=tuple(at_s for at_s, _ in swinging),
        rings=tuple(_rings(signals, owner, stretches, hard)),
        elsewhere=swings_elsewhere(signals, windows, owner),
        left_out=left_out(signals, [(stretches[k], found) for k, found in hard.items()], windows, owner),
        pack=pack_figures(signals, first),
        flown=flown,
        blades_on=True if flown or blades_heard else blades_on(signals, owner, windows, stretches),
        bare_heard=bare_heard,
    )


def _no_change_of_speed(found: tuple[Load, ...], governed: Stretch) -> tuple[Load, ...]:
    """Leave out a load that lasts to the end of its stretch: without a throttle channel it may be a faster mode."""
    return tuple(load for load in found if load.end_s < governed.end_s - FIRST_DIP_S)


def _governed_figures(
    signals: Signals, owner: Owner, stretches: tuple[Stretch, ...], hard: dict[int, tuple[Load, ...]]
) -> tuple[tuple[LoadEvent, ...], tuple[tuple[float, Swing], ...], tuple[Calm, ...]]:
    events: list[LoadEvent] = []
    swings: list[tuple[float, Swing]] = []
    spans: list[Span] = []
    if signals.speed_rpm is None:
        return (), (), ()
    for k, found in hard.items():
        governed = stretches[k]
        spans.extend(calm_spans(signals, governed, found))
        if governed.set_rpm is None:
            continue
        for load, later in zip_longest(found, found[1:]):
            until = later.start_s if later is not None else governed.end_s
            one = event(signals, signals.speed_rpm, governed, load, until, owner.recovery_band_share)
            if one is not None:
                events.append(one)
            part = signals.within(load.start_s + FIRST_DIP_S, load.end_s)
            if load.kind == "climb" and part.stop - part.start >= 16 and _pitch_is_still(signals, part):
                line = hunts_under_load(
                    signals.time_s[part], signals.speed_rpm[part], governed.set_rpm, owner.hunting_percent
                )
                if line is not None and (
                    signals.collective_deg is not None or line.frequency_hz > QUICKER_THAN_A_HAND_HZ
                ):
                    swings.append((load.start_s, line))
    return tuple(events), tuple(swings), calm_windows(signals, spans)


def _rings(
    signals: Signals, owner: Owner, stretches: tuple[Stretch, ...], hard: dict[int, tuple[Load, ...]]
) -> Iterator[Ring]:
    for k, found in hard.items():
        for load, later in zip_longest(found, found[1:]):
            until_s = later.start_s if later is not None else stretches[k].end_s
            ring = ringing(signals, stretches[k], load, until_s, owner.hunting_percent)
            if ring is not None:
                yield ring


def _pitch_is_still(signals: Signals, part: slice) -> bool:
    return signals.collective_deg is None or float(np.ptp(signals.collective_deg[part])) < STILL_DEG


def _flown(stretches: tuple[Stretch, ...]) -> bool | None:
    seen = [s.airborne for s in stretches if s.kind in ("governed", "autorotation", "quick_spool")]
    if any(seen):
        return True
    return False if seen and all(a is False for a in seen) else None
