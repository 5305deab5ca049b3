"""What is known of a machine before and after a change: every check of plan, channel, governor, flights and descent."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from steadyhead.advise.flights import flown_checks
from steadyhead.advise.seen import (
    BAIL_OUT,
    CHANNEL,
    CLIMB_OUT,
    GLIDE,
    GOVERNOR,
    HEIGHT,
    PLAN,
    RAMPS,
    SOFT_START,
    TIMES,
    WORST_IN,
    Seen,
)
from steadyhead.channel.answer import channel
from steadyhead.channel.result import Reading
from steadyhead.flight.bail_out import height_checks
from steadyhead.flight.bail_out_case import Ready, ready
from steadyhead.flight.descend import GlideChecks, glide_checks
from steadyhead.flight.governor_answer import TodaysGovernor, ramps_of, todays_governor
from steadyhead.flight.motor_back import mode_number
from steadyhead.machine.description import Machine
from steadyhead.plan.modes import worst_check
from steadyhead.plan.result import Doubt
from steadyhead.plan.solved import Solved, solve
from steadyhead.plan.steady import mode_plans
from steadyhead.words.errors import SteadyheadError
from steadyhead.words.progress import Say
from steadyhead.words.verdict import Verdict


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """Checks by part; a part that cannot be worked out says why. What was solved on the way serves a change again."""

    parts: Mapping[str, tuple[Seen, ...]]
    cannot: Mapping[str, str]
    governor: TodaysGovernor | None = None
    descent: Ready | None = None
    glide: GlideChecks | None = None
    solved: Solved | None = None

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What carries the doubt on the glide and the flare."""
        return self.glide.doubts if self.glide is not None else ()

    @property
    def every(self) -> tuple[Seen, ...]:
        """All checks."""
        return tuple(seen for part in self.parts.values() for seen in part)


@dataclass(kw_only=True)
class _Look:
    """One machine looked at; what one part solves serves the next."""

    machine: Machine
    readings: Sequence[Reading]
    say: Say
    governor: TodaysGovernor | None = None
    descent: Ready | None = None
    glide: GlideChecks | None = None
    solved: Solved | None = None
    alone: bool = False


DRAWN_ANYWAY = (GLIDE,)
"""Parts whose doubt is never left out: looked at last."""


def evidence(
    machine: Machine, parts: Sequence[str], readings: Sequence[Reading], say: Say, before: Evidence | None = None,
    *, alone: bool = False,
) -> Evidence:  # fmt: skip
    """Return the checks of `parts` for one machine.

    `before` is the evidence before a change: ramps without a governor looked at anew rest on its solved flights.
    `alone` looks at the machine as described and at none drawn from its spread: what fails is the same, what is unknown
    is not.
    """
    found: dict[str, tuple[Seen, ...]] = {}
    cannot: dict[str, str] = {}
    look = _Look(machine=machine, readings=readings, say=say, alone=alone)
    if before is not None:
        look.governor, look.descent, look.glide = before.governor, before.descent, before.glide
    for part in parts:
        say(f"{machine.name}: {part}")
        try:
            found[part] = LOOKS[part](look)
        except SteadyheadError as error:
            cannot[part] = str(error)
    return Evidence(
        parts=found, cannot=cannot, governor=look.governor, descent=look.descent, glide=look.glide, solved=look.solved
    )


def of_plan(look: _Look) -> tuple[Seen, ...]:
    """Return each check of each flight mode once, at its worst condition."""
    found = []
    look.solved = solve(look.machine, alone=look.alone)
    for mode in mode_plans(look.solved):
        names = dict.fromkeys(check.check for one in mode.conditions for check in one.checks)
        for name in names:
            one, worst = worst_check(mode.conditions, name)
            everywhere = {
                f"{mode.mode}{WORST_IN}{one.condition}": check
                for one in mode.conditions
                for check in one.checks
                if check.check == name
            }
            place = f"{mode.mode}{WORST_IN}{one.condition}"
            found.append(Seen(part=PLAN, place=place, check=worst, everywhere=everywhere))
    return tuple(found)


def of_channel(look: _Look) -> tuple[Seen, ...]:
    """Return every check of the throttle channel."""
    answer = channel(look.machine, look.readings)
    every = (*answer.end_points.checks, *answer.thresholds.checks, *answer.checks)
    return tuple(Seen(part=CHANNEL, place="", check=check) for check in every)


def of_governor(look: _Look) -> tuple[Seen, ...]:
    """Return margins and load steps; what is solved on the way serves the ramps."""
    look.governor = todays_governor(look.machine, before=look.governor, alone=look.alone, say=look.say)
    return tuple(Seen(part=GOVERNOR, place="", check=check) for check in look.governor.checks)


def of_ramps(look: _Look) -> tuple[Seen, ...]:
    """Return what the spool-ups ask."""
    known = look.governor
    if known is None or not _same_flight(look.machine, known.solved.ready.machine):
        known = look.governor = todays_governor(look.machine, alone=look.alone, say=look.say)
    every = known.ramps if known.solved.ready.machine is look.machine else ramps_of(look.machine, known)
    return tuple(
        Seen(part=RAMPS, place=f"{one.kind} ramp, {one.mode}", check=check) for one in every for check in one.checks
    )


RAMP_KEYS = frozenset(("governor.quick_spool", "governor.soft_spool", "gears.module"))
"""What changes ramps and nothing else that the governor is solved for."""


def _same_flight(machine: Machine, solved: Machine) -> bool:
    other = dict(solved.values())
    return all(other.get(key) == value for key, value in machine.values() if key not in RAMP_KEYS)


def of_glide(look: _Look) -> tuple[Seen, ...]:
    """Return the checks of the steady glide."""
    look.glide = glide_checks(look.machine, look.glide)
    return tuple(Seen(part=GLIDE, place="", check=check) for check in look.glide.checks)


def of_height(look: _Look) -> tuple[Seen, ...]:
    """Return what a bail-out straight down takes in the fastest flight mode, as set up."""
    number = mode_number(look.machine, None)
    look.descent = ready(look.machine, number, like=look.descent)
    place = look.machine.flight_mode[number].name
    return tuple(Seen(part=HEIGHT, place=place, check=check) for check in height_checks(look.descent))


SPOOL_TIMES = (
    ("quick_restart_time", "governor.quick_spool", "limits.quick_spool", "quick restart"),
    ("soft_start_time", "governor.soft_spool", "limits.soft_spool", "soft start"),
)


def of_times(look: _Look) -> tuple[Seen, ...]:
    """Return the spool times that are set, held against their limits; a restart from a slower head takes that long."""
    found = []
    for name, key, limit, what in SPOOL_TIMES:
        value = look.machine.value(key)
        low, high = look.machine.limit(f"{limit}_low"), look.machine.limit(f"{limit}_high")
        if value is None:
            check = Verdict.unknown(name, f"today's {what} time is not known", needs=(key,))
        else:
            span = (value.si - value.spread_si, value.si + value.spread_si) if value.spread_si else None
            check = Verdict.between(name, value.si, low, high, what=f"{what} time as set", interval=span)
        found.append(Seen(part=TIMES, place="", check=check))
    return tuple(found)


def of_flight(part: str) -> Callable[[_Look], tuple[Seen, ...]]:
    """Return what flies a part's scenario and judges its trace as a log is judged."""
    return lambda look: flown_checks(look.machine, part, look.say, alone=look.alone)


LOOKS: Mapping[str, Callable[[_Look], tuple[Seen, ...]]] = {
    PLAN: of_plan,
    CHANNEL: of_channel,
    GOVERNOR: of_governor,
    RAMPS: of_ramps,
    TIMES: of_times,
    BAIL_OUT: of_flight(BAIL_OUT),
    SOFT_START: of_flight(SOFT_START),
    CLIMB_OUT: of_flight(CLIMB_OUT),
    GLIDE: of_glide,
    HEIGHT: of_height,
}
