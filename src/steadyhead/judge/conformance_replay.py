"""Plays the throttle channel of a log through the owner's run logic: when and how the motor should have started."""

from dataclasses import dataclass

import numpy as np

from steadyhead.channel.run_logic import RunLogic, run_rules
from steadyhead.judge.measured import Measured
from steadyhead.judge.segments import DRIVEN, Stretch
from steadyhead.physics.kernel import at_hand
from steadyhead.physics.run_follow import LONG_S, Flags, follow, governed_long
from steadyhead.physics.run_state import GOVERNED, NONE_S, OFF, QUICK, SOFT, RunRules, RunState, powered_up

RUNNING = (SOFT, QUICK, GOVERNED)
AT_REST = ("rest", "stopped")
FEW_ROWS = 20_000
"""Fewer rows are followed by Python sooner than the compiler's library is loaded; measured."""
STANDS_AFTER_S = 8.0
"""At flat pitch the drag of its blades takes a head to a fifth of its speed in about nine seconds; own estimate."""


@dataclass(frozen=True, kw_only=True)
class Start:
    """One start of the motor as the logic has it: when it comes in, and on which ramp."""

    time_s: float
    is_quick: bool


def logic_starts(
    found: Measured, logic: RunLogic, off_percent: float, *, unseen_head_stands: bool = False
) -> tuple[Start, ...]:
    """Return the starts that the logic makes of the logged channel, moved by `off_percent`.

    The rotor's part is taken from the log: when the set speed was reached, and whether the head turned when the motor
    was called; `unseen_head_stands` takes a head as standing where the log does not show it. A log that begins with
    the motor running begins governed long enough.
    """
    signals, rules = found.signals, run_rules(logic)
    if signals.throttle is None:
        return ()
    channel = signals.throttle + off_percent
    governed, turning = _rotor(found, unseen_head_stands)
    run = np.zeros(channel.size, np.int8)
    first = found.stretches[0].kind if found.stretches else "rest"
    play = at_hand(follow) if channel.size < FEW_ROWS else follow
    play(rules, _begun(rules, first, float(channel[0])), signals.time_s, channel, governed, turning, run)
    running = np.isin(run, RUNNING)
    rows = np.flatnonzero(running[1:] & ~running[:-1]) + 1
    return tuple(Start(time_s=float(signals.time_s[k]), is_quick=bool(run[k] == QUICK)) for k in rows)


def seen_starts(found: Measured) -> tuple[tuple[Stretch, Stretch], ...]:
    """Return every start that the log shows, each with the stretch before it."""
    pairs = zip(found.stretches[:-1], found.stretches[1:], strict=True)
    return tuple((before, spool) for before, spool in pairs if before.kind not in DRIVEN and spool.kind in DRIVEN)


def _begun(rules: RunRules, first: str, channel_percent: float) -> RunState:
    """Return the state at the first row: armed where the channel is low or the motor had run before."""
    if first in DRIVEN:
        return governed_long()
    if channel_percent < rules.stop_percent or first != "rest":
        return RunState(OFF, 0.0, LONG_S, LONG_S, 0.0, NONE_S, 0)
    return powered_up(rules)


def may_stand_unseen(found: Measured) -> bool:
    """Whether the head may have stood where nothing but the motor side was measured, and the log took it as turning."""
    return any(_may_stand(found, stretch) for stretch in found.stretches)


def _may_stand(found: Measured, stretch: Stretch) -> bool:
    signals = found.signals
    blind = signals.height_m is None and signals.climb_m_s is None and signals.collective_deg is None
    on_ground = stretch.kind == "coast" or (stretch.kind == "autorotation" and blind)
    return not signals.speed_is_head and on_ground and stretch.end_s - stretch.start_s >= STANDS_AFTER_S


def _rotor(found: Measured, unseen_head_stands: bool) -> tuple[Flags, Flags]:
    """Return for every row whether the head was governed, and whether it turned of itself.

    A head that stood when the motor came in stands for the logic until it is governed: which ramp it gets was decided
    before the motor turned it.
    Shapes: (n,), (n,).
    """
    time_s = found.signals.time_s
    governed, turning = np.zeros(time_s.size, np.bool_), np.zeros(time_s.size, np.bool_)
    stood = False
    for stretch in found.stretches:
        rows = slice(*np.searchsorted(time_s, (stretch.start_s, stretch.end_s)))
        governed[rows] |= stretch.kind == "governed"
        if stretch.kind not in ("soft_spool", "quick_spool"):
            stood = stretch.kind in AT_REST or (unseen_head_stands and _may_stand(found, stretch))
        turning[rows] |= not stood
    return governed, turning
