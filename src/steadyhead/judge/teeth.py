"""How many teeth fewer a flown drive bears: its highest duty must keep its limit with them."""

import re
from math import floor

from steadyhead.judge.duty import READ_DOUBT, Duty, duty_of
from steadyhead.judge.measured import Measured
from steadyhead.judge.one_way import HELD_BACK
from steadyhead.machine.description import Machine

LOW = "Hover duty is low and heats the controller"
HARD_LOAD = "This log has no hard load: look first with the plan command what the hardest climb leaves with them."
OTHERWISE = "look with the plan command for a head speed and a pack that mend it, and fly less hard."
NOT_ALL = "That is not all that the hover asks for"
COMES_TO = re.compile(r"(The highest duty of this log, (\d+\.\d+), comes to) \d+\.\d+ with that")


def highest_duty(found: Measured, duty: Duty) -> tuple[float, float]:
    """Return the highest duty of all governed running, and by how much it may be wrong (half width, 90 %)."""
    parts = [found.signals.within(s.start_s, s.end_s - found.signals.interval_s) for s in found.governed]
    most = max((float(duty.values[part].max()) for part in parts if part.stop > part.start), default=0.0)
    return most, READ_DOUBT + most * duty.doubt_share


def teeth(count: int) -> str:
    """Return a number of teeth in words."""
    return f"{count} {'tooth' if count == 1 else 'teeth'}"


def fewer_teeth(found: Measured, machine: Machine, wanted: int) -> str:
    """Return what is advised for a hover duty that asks for `wanted` teeth fewer, or that it is held back.

    Equation: d z = d' z', the duty goes as the motor's speed and so against the teeth z of the pinion; the part that
    its resistance takes grows less, so the duty is no higher than that.
    Valid: for the flight modes and loads that the log holds.
    """
    pinion, limit = machine.gears.pinion_teeth.number, machine.limit("limits.duty_max")
    duty = duty_of(found.signals, machine)
    if limit is None or duty is None:
        return f"{HELD_BACK}fewer teeth on the pinion. {LOW}, but the most that the duty may reach is not known."
    most, doubt = highest_duty(found, duty)
    borne = floor(pinion * (1.0 - (most + doubt) / limit.value) + 1e-9)
    if borne < 1:
        after = most * pinion / (pinion - 1)
        return (
            f"{HELD_BACK}fewer teeth on the pinion. {LOW}, but the highest duty of this log, {most:.2f}, would come to "
            f"{after:.2f} with one tooth fewer, limit {limit.value:.2f}, its doubt left out: {OTHERWISE}"
        )
    count = min(wanted, borne)
    after = most * pinion / (pinion - count)
    said = [f"{LOW}: {teeth(count)} fewer on the pinion, or a higher head speed."]
    said.append(f"The highest duty of this log, {most:.2f}, comes to {after:.2f} with that, limit {limit.value:.2f}.")
    if count < wanted:
        said.append(f"{NOT_ALL} ({wanted}): more would leave the climb too little.")
    return " ".join(said if found.events else (*said, HARD_LOAD))


def with_pinion(line: str, today: float, count: float) -> str:
    """Return what the judge said of fewer teeth for another number of them than it had in mind.

    Equation: the highest duty of the log times today's teeth over the new ones, as `fewer_teeth` has it.
    """
    told = COMES_TO.sub(lambda said: f"{said[1]} {float(said[2]) * today / count:.2f} with {count:g} teeth", line)
    return " ".join(part for part in re.split(r"(?<=[.]) (?=[A-Z])", told) if not part.startswith(NOT_ALL))
