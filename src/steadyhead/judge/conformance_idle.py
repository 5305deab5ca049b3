"""Whether a motor at rest stayed off where the channel stood below the start threshold of the owner's run logic."""

from collections.abc import Iterator

from steadyhead.channel.run_logic import RunLogic
from steadyhead.judge.checks_logic import standing
from steadyhead.judge.commands import same_position
from steadyhead.judge.disagreement import Disagreement
from steadyhead.judge.driven_at_rest import driven_at_rest
from steadyhead.judge.measured import Measured

IDLE_NEEDS = ("a bench log in that position with duty and motor speed, blades off",)


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
