"""Counts what advice does to a machine that is not quite the one in the file: python scripts/advice_blind.py [CASES].

An owner's file and a true machine differ in Kv, winding, drag of the blades, pack, mass and inertia. The true machine
is flown, its logs are judged by the owner's file, the first change advised is made on both, and the true machine is
flown again. Counted: failing checks of the flights, and of the plan of the true machine, before and after.
Load steps, tuning of gains, ramps, glide and bail-out height are left out for time, and no drawn machine is flown:
which change is advised hangs on the plan, the channel, the spool times and the flights of the machine described.
"""

import math
import sys
from collections import Counter
from dataclasses import dataclass

import numpy as np

from steadyhead.advise import flights
from steadyhead.advise.advise import changes_of
from steadyhead.advise.evidence import evidence
from steadyhead.advise.result import Change
from steadyhead.advise.seen import BAIL_OUT, CHANNEL, CLIMB_OUT, PLAN, SOFT_START, TIMES
from steadyhead.flight.engine import flown
from steadyhead.judge.judging import judge
from steadyhead.machine.bundled import bundled
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import read_machine
from steadyhead.plan.steady import plan
from steadyhead.words.errors import SteadyheadError
from steadyhead.words.progress import silent
from steadyhead.words.verdict import Outcome

CASES, SEED = 63, 20_261_128
NAMES = ("fox600", "wren450", "heron520")
PARTS = (PLAN, CHANNEL, TIMES, BAIL_OUT, SOFT_START, CLIMB_OUT)
HIDDEN = {
    "motor.kv": 0.03, "motor.resistance": 0.15, "rotor.drag_factor": 0.15, "pack.resistance": 0.25,
    "airframe.mass": 0.03, "rotor.inertia": 0.08,
}  # fmt: skip
"""What the owner does not know, and by what share it is off (one standard deviation, in ratio); invented."""
RIGHT_PLACE = 0.15
"""An autorotation position inside its window: the bundled Fox 600 has it wrong, which would be every first advice."""
FAULTS = ("none", "small pinion", "big pinion", "slow restart", "tired pack", "fast mode", "low autorotation position")


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
    name, fault = NAMES[number % len(NAMES)], FAULTS[number // len(NAMES) % len(FAULTS)]
    owner = broken(read_machine(bundled(name)), fault, random)
    other = {
        key: value.si * math.exp(share * random.standard_normal())
        for key, share in HIDDEN.items()
        if (value := owner.value(key)) is not None
    }
    if fault == "tired pack":
        other["pack.resistance"] *= 1.8
    return Case(name=name, fault=fault, owner=owner, true=owner.replaced(other))


def broken(machine: Machine, fault: str, random: np.random.Generator) -> Machine:
    """Return a machine with something set up wrongly that its owner can see in the file."""
    teeth, last = machine.gears.pinion_teeth.number, len(machine.flight_mode)
    speed = machine.flight_mode[last - 1].head_speed.si
    numbers = {
        "small pinion": {"gears.pinion_teeth": teeth - float(random.integers(2, 4))},
        "big pinion": {"gears.pinion_teeth": teeth + float(random.integers(2, 5))},
        "slow restart": {"governor.quick_spool": float(random.uniform(4.0, 9.0))},
        "fast mode": {f"flight_mode.{last}.head_speed": speed * float(random.uniform(1.04, 1.1))},
        "low autorotation position": {"channel.autorotation": 0.04},
    }
    place = machine.value("channel.autorotation")
    right = {"channel.autorotation": RIGHT_PLACE} if place is not None else {}
    return machine.replaced({**right, **numbers.get(fault, {})})


def failing(owner: Machine, true: Machine) -> tuple[int, int]:
    """Return how many checks fail in the flights of a true machine, judged by the owner's file, and in its plan."""
    in_flight = 0
    for part in (BAIL_OUT, SOFT_START, CLIMB_OUT):
        try:
            trace = flown(true, flights.scenario_of(true, part)).trace
        except SteadyheadError:
            in_flight += 1  # full duty does not even hold the hover that the flight begins with
            continue
        in_flight += sum(check.verdict is Outcome.FAIL for check in judge(owner, trace).checks)
    modes = plan(true).modes
    names = {(mode.mode, check.check) for mode in modes for one in mode.conditions for check in one.checks
             if check.verdict is Outcome.FAIL}  # fmt: skip
    return in_flight, len(names)


def first_change(owner: Machine) -> Change | None:
    """Return the change advised first, if any."""
    found, _ = changes_of(owner, evidence(owner, PARTS, (), silent), (), silent)
    return found[0] if found else None


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


def main() -> None:
    """Print a line for every case, then the table."""
    flights.drawn = lambda machine, more=(): ()  # type: ignore[assignment]
    count = Counter[tuple[str, str, str]]()
    for number in range(int(sys.argv[1]) if len(sys.argv) > 1 else CASES):
        one = case(number)
        try:
            before, change = failing(one.owner, one.true), first_change(one.owner)
            after = before
            if change is not None:
                numbers = dict(change.numbers)
                after = failing(one.owner.replaced(numbers), one.true.replaced(as_true(numbers, one)))
        except SteadyheadError as error:
            print(number, one.name, one.fault, "could not be worked out:", error, flush=True)
            count[one.fault, "not worked out", ""] += 1
            continue
        words = "no advice" if change is None else f"{change.what}: {change.today} -> {change.to}"
        print(number, one.name, one.fault, before, after, words, flush=True)
        count[one.fault, "no advice" if change is None else "flights", moved(before[0], after[0])] += 1
        if change is not None:
            count[one.fault, "plan", moved(before[1], after[1])] += 1
            count[one.fault, "both", moved(sum(before), sum(after))] += 1
    for fault in (*FAULTS, "all"):
        rows = {key[1:]: 0 for key in count}
        for (name, kind, way), times in count.items():
            rows[kind, way] += times if fault in (name, "all") else 0
        print(fault, {f"{kind} {way}".strip(): times for (kind, way), times in sorted(rows.items()) if times})


if __name__ == "__main__":
    main()
