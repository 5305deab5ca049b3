"""What is known of a machine before and after a change: every check of plan, channel, governor and flights."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from steadyhead.channel.answer import channel
from steadyhead.channel.result import Reading
from steadyhead.flight.engine import flown
from steadyhead.flight.governor_answer import TodaysGovernor, todays_governor
from steadyhead.flight.scenario_file import read_scenario
from steadyhead.judge.flown import simulated
from steadyhead.judge.judging import judge
from steadyhead.machine.description import Machine
from steadyhead.plan.modes import worst_check
from steadyhead.plan.steady import plan
from steadyhead.words.errors import SteadyheadError
from steadyhead.words.progress import Say
from steadyhead.words.verdict import Outcome, Verdict

PLAN, CHANNEL, GOVERNOR, TIMES = "plan", "channel", "governor", "spool times"
BAIL_OUT, SOFT_START = "bail-out", "soft start"
PARTS = (PLAN, CHANNEL, GOVERNOR, TIMES, BAIL_OUT, SOFT_START)
SCENARIOS = {BAIL_OUT: "bail_out", SOFT_START: "soft_start"}
OWN_CHECKS = {
    BAIL_OUT: ("quick_restart_granted", "quick_restart_prompt", "quick_restart_time"),
    SOFT_START: ("soft_start_time",),
}
"""What a flight is flown for; currents, heat and load steps stand in the plan and the governor with their doubt."""

WORST_IN = ", worst in "
"""Parts a flight mode from the condition in which a check of the plan is worst; that condition may move."""


@dataclass(frozen=True, kw_only=True)
class Seen:
    """One check of one part at one place."""

    part: str
    place: str
    check: Verdict

    @property
    def key(self) -> tuple[str, str, str]:
        """What makes it the same check before and after."""
        return self.part, self.check.check, self.place.partition(WORST_IN)[0]

    @property
    def fails(self) -> bool:
        """Whether the check fails."""
        return self.check.verdict is Outcome.FAIL

    @property
    def excess(self) -> float:
        """How far the figure is beyond its limit, as a share of the limit; below 0 inside it."""
        figure, limit = self.check.figure, self.check.limit
        if figure is None or limit is None:
            return 1.0 if self.fails else 0.0
        sign = -1.0 if self.check.limit_text.startswith(">=") else 1.0
        return sign * (figure - limit) / (abs(limit) or 1.0)

    def __str__(self) -> str:
        """Say where and why."""
        return f"{self.part}, {self.place}: {self.check.reason}" if self.place else f"{self.part}: {self.check.reason}"


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """Checks by part; a part that cannot be worked out says why."""

    parts: Mapping[str, tuple[Seen, ...]]
    cannot: Mapping[str, str]
    governor: TodaysGovernor | None = None

    @property
    def every(self) -> tuple[Seen, ...]:
        """All checks."""
        return tuple(seen for part in self.parts.values() for seen in part)


def evidence(machine: Machine, parts: Sequence[str], readings: Sequence[Reading], say: Say) -> Evidence:
    """Return the checks of `parts` for one machine."""
    found: dict[str, tuple[Seen, ...]] = {}
    cannot: dict[str, str] = {}
    loop: TodaysGovernor | None = None
    for part in parts:
        say(f"{machine.name}: {part}")
        try:
            if part == GOVERNOR:
                loop = todays_governor(machine, say=say)
                found[part] = of_governor(loop)
            else:
                found[part] = LOOKS[part](machine, readings, say)
        except SteadyheadError as error:
            cannot[part] = str(error)
    return Evidence(parts=found, cannot=cannot, governor=loop)


def of_plan(machine: Machine, _: Sequence[Reading], __: Say) -> tuple[Seen, ...]:
    """Return each check of each flight mode once, at its worst condition."""
    found = []
    for mode in plan(machine).modes:
        names = dict.fromkeys(check.check for one in mode.conditions for check in one.checks)
        for name in names:
            one, check = worst_check(mode.conditions, name)
            found.append(Seen(part=PLAN, place=f"{mode.mode}{WORST_IN}{one.condition}", check=check))
    return tuple(found)


def of_channel(machine: Machine, readings: Sequence[Reading], _: Say) -> tuple[Seen, ...]:
    """Return every check of the throttle channel."""
    answer = channel(machine, readings)
    every = (*answer.end_points.checks, *answer.thresholds.checks, *answer.checks)
    return tuple(Seen(part=CHANNEL, place="", check=check) for check in every)


def of_governor(loop: TodaysGovernor) -> tuple[Seen, ...]:
    """Return margins, load steps and ramps."""
    ramps = tuple(
        Seen(part=GOVERNOR, place=f"{one.kind} ramp, {one.mode}", check=check)
        for one in loop.ramps
        for check in one.checks
    )
    return (*(Seen(part=GOVERNOR, place="", check=check) for check in loop.checks), *ramps)


SPOOL_TIMES = (
    ("quick_restart_time", "governor.quick_spool", "limits.quick_spool", "quick restart"),
    ("soft_start_time", "governor.soft_spool", "limits.soft_spool", "soft start"),
)


def of_times(machine: Machine, _: Sequence[Reading], __: Say) -> tuple[Seen, ...]:
    """Return the spool times that are set, held against their limits; a restart from a slower head takes that long."""
    found = []
    for name, key, limit, what in SPOOL_TIMES:
        value, low, high = machine.value(key), machine.limit(f"{limit}_low"), machine.limit(f"{limit}_high")
        if value is None:
            check = Verdict.unknown(name, f"today's {what} time is not known", needs=(key,))
        else:
            span = (value.si - value.spread_si, value.si + value.spread_si) if value.spread_si else None
            check = Verdict.between(name, value.si, low, high, what=f"{what} time as set", interval=span)
        found.append(Seen(part=TIMES, place="", check=check))
    return tuple(found)


def of_flight(part: str) -> Callable[[Machine, Sequence[Reading], Say], tuple[Seen, ...]]:
    """Return what flies a part's scenario and judges its trace as a log is judged."""

    def look(machine: Machine, _: Sequence[Reading], __: Say) -> tuple[Seen, ...]:
        flight = flown(machine, read_scenario(SCENARIOS[part]))
        checks = simulated(judge(machine, flight.trace), flight, machine).checks
        return tuple(Seen(part=part, place="", check=check) for check in checks if check.check in OWN_CHECKS[part])

    return look


LOOKS = {
    PLAN: of_plan,
    CHANNEL: of_channel,
    TIMES: of_times,
    BAIL_OUT: of_flight(BAIL_OUT),
    SOFT_START: of_flight(SOFT_START),
}
