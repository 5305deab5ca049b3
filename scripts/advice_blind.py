"""Counts whether advice names what is wrong with a machine that is not quite the one in the file, and what it does.

Run: python scripts/advice_blind.py [CASES] [FIRST]

An owner's file and a true machine differ in Kv, winding, drag of the blades, pack, mass and inertia. The true machine
is flown, its logs are judged by the owner's file, the first change advised is made on both, and the true machine is
flown again. Counted: failing checks of the flights, and of the plan of the true machine, before and after.
Glide and bail-out height are left out for time, load steps, tuning of gains and ramps too where neither gains nor ramp
are wrong, and no drawn machine is flown: which change is advised hangs on the plan, the channel, the spool times and
the flights of the machine described.

What is wrong stands in the owner's file, so that advice could see it, but for the tired pack: of that the owner knows
nothing, and only the judged logs could tell.
"""

import math
import sys
from collections import Counter
from dataclasses import dataclass, replace

import numpy as np

from steadyhead.advise import flights
from steadyhead.advise.advise import changes_of
from steadyhead.advise.evidence import evidence
from steadyhead.advise.result import Change, Withheld
from steadyhead.advise.seen import BAIL_OUT, CHANNEL, CLIMB_OUT, GOVERNOR, PLAN, RAMPS, SOFT_START, TIMES
from steadyhead.flight.engine import flown
from steadyhead.flight.tuning_advice import GAIN_KEYS
from steadyhead.judge.judging import judge
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import read_machine
from steadyhead.plan.steady import plan
from steadyhead.words.errors import SteadyheadError
from steadyhead.words.progress import silent
from steadyhead.words.value import Origin
from steadyhead.words.verdict import Outcome

CASES, SEED = 30, 20_261_128
NAMES = ("fox600", "wren450", "heron520")
PARTS = (PLAN, CHANNEL, TIMES, BAIL_OUT, SOFT_START, CLIMB_OUT)
HIDDEN = {
    "motor.kv": 0.03, "motor.resistance": 0.15, "rotor.drag_factor": 0.15, "pack.resistance": 0.25,
    "airframe.mass": 0.03, "rotor.inertia": 0.08,
}  # fmt: skip
"""What the owner does not know, and by what share it is off (one standard deviation, in ratio); invented."""
MENDED_TIMES = 6
RIGHT_PLACE = 0.15
"""An autorotation position inside its window: the bundled Fox 600 has it wrong, which would be every first advice."""
GAINS, PINION, LAST_SPEED = ", ".join(GAIN_KEYS), "gears.pinion_teeth", "flight_mode.{last}.head_speed"
FAULTS = {
    "nothing put wrong": ("", 0),
    "gearing too tall: a big pinion": (PINION, -1),
    "gearing too short: a small pinion": (PINION, 1),
    "head speed too high for the drive": (LAST_SPEED, -1),
    "restart ramp too slow": ("governor.quick_spool", -1),
    "autorotation position too low": ("channel.autorotation", 1),
    "soft gains": (GAINS, 1),
    "hard gains": (GAINS, -1),
    "tired pack, not in the file": ("pack", 0),
    "nothing, once the bundled machine is mended": ("", 0),
}
"""What is wrong, and the right thing to change, up or down (0: either)."""
NEED_GOVERNOR = (GAINS, "governor.quick_spool")


@dataclass(frozen=True, kw_only=True)
class Case:
    """One machine as its owner has it in the file, and as it is."""

    name: str
    fault: str
    owner: Machine
    true: Machine


def case(number: int) -> Case:
    """Return one case, always the same for a number."""
    random = np.random.default_rng((SEED, number))
    name, fault = NAMES[number % len(NAMES)], list(FAULTS)[number // len(NAMES) % len(FAULTS)]
    owner = broken(read_machine(bundled(name)), fault, random)
    if "mended" in fault:
        owner = mended(owner)
    other = {
        key: value.si * math.exp(share * random.standard_normal())
        for key, share in HIDDEN.items()
        if (value := owner.value(key)) is not None
    }
    if fault.startswith("tired pack"):
        other["pack.resistance"] *= 1.8
    return Case(name=name, fault=fault, owner=owner, true=owner.replaced(other))


def broken(machine: Machine, fault: str, random: np.random.Generator) -> Machine:
    """Return a machine with something set up wrongly that its owner can see in the file."""
    teeth, last = machine.gears.pinion_teeth.number, len(machine.flight_mode)
    speed = machine.flight_mode[last - 1].head_speed.si
    key, _ = FAULTS[fault]
    numbers: dict[str, float] = {}
    if "big pinion" in fault:
        numbers = {key: teeth + float(random.integers(3, 6))}
    elif "small pinion" in fault:
        numbers = {key: teeth - float(random.integers(2, 4))}
    elif key == LAST_SPEED:
        numbers = {key.format(last=last): speed * float(random.uniform(1.06, 1.12))}
    elif key == "governor.quick_spool":
        numbers = {key: float(random.uniform(4.0, 9.0))}
    elif key == "channel.autorotation":
        numbers = {key: 0.04}
    elif key == GAINS:
        machine = with_own_gains(machine, random.uniform(0.12, 0.25) if "soft" in fault else random.uniform(6.0, 10.0))
    place = machine.value("channel.autorotation")
    right = {"channel.autorotation": RIGHT_PLACE} if place is not None else {}
    return machine.replaced({**right, **numbers})


def mended(machine: Machine) -> Machine:
    """Return a machine on which no check that is looked at here fails, as far as advice gets there."""
    for _ in range(MENDED_TIMES):
        found, _ = changes_of(machine, evidence(machine, PARTS, (), silent), (), silent)
        if not found:
            break
        machine = machine.replaced(dict(found[0].numbers))
    return machine


def with_own_gains(machine: Machine, times: float) -> Machine:
    """Return a machine whose gains are known, the proportional one so many times what it was."""
    known = {key: value for key in GAIN_KEYS if (value := machine.value(key)) is not None}
    factors = dict(zip(GAIN_KEYS, (times, 1.0), strict=True))
    return machine.filled(
        {
            key: replace(
                value, si=value.si * factors[key], number=value.number * factors[key], spread_si=0.05 * value.si,
                origin=Origin.FITTED,
            )
            for key, value in known.items()
        }
    )  # fmt: skip


def failing(owner: Machine, true: Machine) -> tuple[int, int, tuple[str, ...]]:
    """Return how many checks fail in the flights of a true machine, judged by the owner's file, and in its plan.

    And what the judge advises on those flights.
    """
    in_flight, advice = 0, []
    for part in (BAIL_OUT, SOFT_START, CLIMB_OUT):
        try:
            trace = flown(true, flights.scenario_of(true, part)).trace
        except SteadyheadError:
            in_flight += 1  # full duty does not even hold the hover that the flight begins with
            continue
        judged = judge(owner, trace)
        in_flight += sum(check.verdict is Outcome.FAIL for check in judged.checks)
        advice += judged.advice
    modes = plan(true).modes
    names = {(mode.mode, check.check) for mode in modes for one in mode.conditions for check in one.checks
             if check.verdict is Outcome.FAIL}  # fmt: skip
    return in_flight, len(names), tuple(advice)


def changes(one: Case) -> tuple[tuple[Change, ...], tuple[Withheld, ...]]:
    """Return the changes that are advised, best first, and what is held back for a reason that is told."""
    parts = (*PARTS, GOVERNOR, RAMPS) if FAULTS[one.fault][0] in NEED_GOVERNOR else PARTS
    return changes_of(one.owner, evidence(one.owner, parts, (), silent), (), silent)


def is_right(change: Change, one: Case) -> bool:
    """Whether a change is the right one, and the right way."""
    key, way = FAULTS[one.fault]
    if change.key != key.format(last=len(one.owner.flight_mode)):
        return False
    moves = [number - value.si for name, number in change.numbers.items() if (value := one.owner.value(name))]
    return way == 0 or bool(moves and way * moves[0] > 0.0)


def named(found: tuple[Change, ...], held: tuple[Withheld, ...], logs: tuple[str, ...], one: Case) -> str:
    """Return in words how far up the right thing is named."""
    if not FAULTS[one.fault][0]:
        return "nothing" if not found else "what fails in the bundled machine"
    rank = next((change.rank for change in found if is_right(change, one)), 0)
    if rank == 0 and FAULTS[one.fault][0] == "pack" and any("pack" in line for line in logs):
        return "by the logs"
    if rank == 0 and any(row.key == FAULTS[one.fault][0] for row in held):
        return "held back, with why"
    return "not at all" if rank == 0 else "first" if rank == 1 else "further down"


def as_true(numbers: dict[str, float], one: Case) -> dict[str, float]:
    """Return what a change sets on the true machine: another pack keeps what the owner does not know of the mass."""
    if "airframe.mass" not in numbers:
        return numbers
    masses = [machine.value("airframe.mass") for machine in (one.true, one.owner)]
    known = [value.si for value in masses if value is not None]
    return {**numbers, "airframe.mass": numbers["airframe.mass"] * known[0] / known[1]}


def moved(before: int, after: int) -> str:
    """Return in a word which way a count went."""
    return "fewer" if after < before else "more" if after > before else "as many"


def worked_out(one: Case) -> tuple[str, str, str]:
    """Return how the right thing is named, which way the first change moves the failing checks, and it in words."""
    before = failing(one.owner, one.true)
    found, held = changes(one)
    how = named(found, held, before[2], one)
    if not found:
        return how, "no advice", "no advice"
    numbers = dict(found[0].numbers)
    after = failing(one.owner.replaced(numbers), one.true.replaced(as_true(numbers, one)))
    told = "; ".join(f"{change.what}: {change.today} -> {change.to}" for change in found)
    return how, moved(sum(before[:2]), sum(after[:2])), f"{before[:2]} {after[:2]} {told}"


def main() -> None:
    """Print a line for every case, then the table."""
    flights.drawn = lambda machine, more=(): ()  # type: ignore[assignment]
    count = Counter[tuple[str, str]]()
    cases, first = (int(word) for word in (*sys.argv[1:3], *(CASES, 0)[len(sys.argv[1:3]) :]))
    for number in range(first, first + cases):
        one = case(number)
        try:
            how, way, told = worked_out(one)
        except SteadyheadError as error:
            how, way, told = "not worked out", "not worked out", str(error)
        print(number, one.name, one.fault, "|", how, "|", way, "|", told, flush=True)
        count[one.fault, how] += 1
        count[one.fault, f"checks: {way}"] += 1
    for fault in FAULTS:
        print(fault, {words: times for (name, words), times in sorted(count.items()) if name == fault})


if __name__ == "__main__":
    main()
