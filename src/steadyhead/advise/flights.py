"""Simulated flights as evidence: each flown by the machine as described and by machines drawn from its spread."""

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import cache

from steadyhead.advise.seen import BAIL_OUT, CLIMB_OUT, SOFT_START, Seen
from steadyhead.flight.engine import flown
from steadyhead.flight.governor_spread import drawn
from steadyhead.flight.motor_back import mode_number
from steadyhead.flight.scenario import Scenario
from steadyhead.flight.scenario_file import read_scenario
from steadyhead.judge.flown import simulated
from steadyhead.judge.judging import judge
from steadyhead.machine.description import Machine
from steadyhead.words.errors import SteadyheadError
from steadyhead.words.progress import Say
from steadyhead.words.verdict import Outcome, Verdict

WORKERS = 2
SCENARIOS = {BAIL_OUT: "bail_out", SOFT_START: "soft_start", CLIMB_OUT: "climb_out"}
OWN_CHECKS = {
    BAIL_OUT: ("quick_restart_granted", "quick_restart_prompt", "quick_restart_time"),
    SOFT_START: ("soft_start_time",),
    CLIMB_OUT: ("climb_droop", "overspeed", "recovery", "duty_margin", "cell_voltage"),
}
"""What a flight is flown for; heat and the currents stand in the plan."""
DRAWN_BESIDES = (
    "governor.quick_spool", "governor.soft_spool", "channel.ramp_rate", "run_logic.start_delay", "run_logic.stop_delay",
)  # fmt: skip
"""What a flight rests on besides all that the governor's loop rests on."""
ABOVE_RESERVE = 0.05
"""A hard climb begins with so much more charge than is kept: at the end of a flight, with enough to fly the test."""
Found = Mapping[str, Verdict]


def flown_checks(machine: Machine, part: str, say: Say, *, alone: bool = False) -> tuple[Seen, ...]:
    """Return the checks of one scenario with the doubt that the machine's spread leaves on them; `alone` without it.

    Raises: as `engine.flown`.
    """
    own = _judged(machine, part)
    pool = ThreadPoolExecutor(WORKERS)
    others = []
    many = () if alone else drawn(machine, DRAWN_BESIDES)
    try:
        for number, one in enumerate(pool.map(lambda other: _or_none(other, part), many), 1):
            say(f"{part}, drawn machine {number}")
            others.append(one)
    finally:
        # Someone who stops the work does not wait for the flights still in the queue.
        pool.shutdown(cancel_futures=True)
    place = machine.flight_mode[mode_number(machine, None)].name if part == CLIMB_OUT else ""
    return tuple(
        Seen(
            part=part, place=place, check=with_doubt(check, [None if one is None else one.get(name) for one in others])
        )
        for name, check in own.items()
    )


def with_doubt(check: Verdict, others: Sequence[Verdict | None]) -> Verdict:
    """Return a check of a flight with the interval of the drawn machines, and no pass where one of them fails.

    `others` holds None for a machine that could not be flown, which counts as failing.
    Valid: 19 machines drawn from the spread for a 90 % interval.
    """
    figures = [one.figure for one in others if one is not None and one.figure is not None]
    interval = check.figure_interval
    if check.figure is not None and figures:
        ends = (*figures, check.figure, *(interval or ()))
        interval = (min(ends), max(ends))
    bad = sum(one is None or one.verdict is Outcome.FAIL for one in others)
    told = replace(check, figure_interval=interval)
    if check.verdict is Outcome.PASS and bad:
        says = f"{check.reason}; but {bad} of {len(others)} machines drawn from its spread do not hold it"
        return replace(told, verdict=Outcome.UNKNOWN, reason=says, needs=("a smaller doubt on the machine",))
    good = len(others) - bad
    if check.verdict is Outcome.FAIL and good:
        return replace(told, reason=f"{check.reason}; {good} of {len(others)} machines drawn from its spread hold it")
    return told


def scenario_of(machine: Machine, part: str) -> Scenario:
    """Return the scenario of a part; the hard climb is flown in the fastest flight mode at the end of the pack."""
    scenario = _read(SCENARIOS[part])
    if part != CLIMB_OUT:
        return scenario
    reserve = machine.value("pack.reserve")
    charge = min(scenario.charge, (reserve.si if reserve else 0.0) + ABOVE_RESERVE)
    return replace(scenario, switch=f"mode {mode_number(machine, None) + 1}", charge=charge)


@cache
def _read(name: str) -> Scenario:
    return read_scenario(name)


def _judged(machine: Machine, part: str) -> Found:
    flight = flown(machine, scenario_of(machine, part))
    checks = simulated(judge(machine, flight.trace), flight, machine).checks
    return {check.check: check for check in checks if check.check in OWN_CHECKS[part]}


def _or_none(machine: Machine, part: str) -> Found | None:
    try:
        return _judged(machine, part)
    except SteadyheadError:
        return None
