"""Whether a motor at rest stayed off where the channel stood below the start threshold of the owner's run logic."""

from collections.abc import Iterator

from steadyhead.channel.run_logic import RunLogic
from steadyhead.judge.checks_logic import standing
from steadyhead.judge.commands import same_position
from steadyhead.judge.disagreement import Disagreement
from steadyhead.judge.driven_at_rest import driven_at_rest
from steadyhead.judge.driving import OFF_DUTY
from steadyhead.judge.measured import Measured
from steadyhead.judge.pieces import median

FEWEST_ROWS = 5
"""Rows of the duty of which the middle one tells whether it goes on; own choice."""
IDLE_NEEDS = ("a bench log in that position with duty and motor speed, blades off",)


def idles_on_where_off(found: Measured, logic: RunLogic, doubt_s: float) -> Iterator[Disagreement]:
    """Return every stay out of throttle hold in which the duty goes on, where the run logic lets no motor idle on.

    Valid: positions surely below the cut-off, or below the start threshold where it does not idle after running.
    """
    below = []
    if logic.stop_percent is not None:
        below.append(logic.stop_percent - logic.stop_spread_percent)
    if logic.start_percent is not None and logic.idles_after_running is False:
        below.append(logic.start_percent - logic.start_spread_percent)
    signals = found.signals
    for command in found.asked:
        in_hold = any(command.start_s <= stop.at_s < command.end_s for stop in found.holds)
        held = in_hold or (found.hold_percent is not None and same_position(command.percent, found.hold_percent))
        if held or signals.duty is None or command.percent >= max(below, default=0.0) or standing(found, command):
            continue
        wait_s = doubt_s + (logic.stop_delay_s or 0.0) + signals.edge_doubt_s("throttle_percent", "duty")
        part = signals.within(command.arrive_s + wait_s, command.end_s - doubt_s)
        seen = signals.duty[part][signals.seen("duty", part)]
        if seen.size >= FEWEST_ROWS and median(seen) > OFF_DUTY:
            yield Disagreement(
                at_s=command.start_s,
                kind="driven in hold",
                is_dangerous=True,
                says=f"with the channel at {command.percent:.1f} % from {command.start_s:.1f} s on the motor was still "
                f"driven, with a duty of {100.0 * median(seen):.1f} %, where the run logic says off",
                doubt="",
                needs=IDLE_NEEDS,
            )


def driven_in_idle_band(found: Measured, logic: RunLogic) -> Iterator[Disagreement]:
    """Return every stay below the start threshold, out of throttle hold, in which a motor at rest was driven.

    A start to a set speed is told as a start; here the motor idles. The same signs as of
    `no_start_in_autorotation_position` decide, so that the two never differ.
    """
    if logic.idles_from_rest or logic.start_percent is None:
        return
    for command in found.asked:
        held = found.hold_percent is not None and same_position(command.percent, found.hold_percent)
        stretch = standing(found, command)
        if held or command.percent >= logic.start_percent or stretch is None or stretch.end_s < command.end_s:
            continue
        driven = driven_at_rest(found.signals, command)
        if driven is not None:
            yield Disagreement(
                at_s=command.start_s,
                kind="driven at rest",
                is_dangerous=True,
                says=f"with the channel at {command.percent:.1f} % from {command.start_s:.1f} s on {driven.says}, "
                "where the run logic says that the motor stays off",
                doubt="" if driven.is_sure else "one channel alone says so",
                needs=IDLE_NEEDS,
            )
