"""Adds to a descent what the motor can still do, and what is left without it: bail-out, landing, diagram."""

from dataclasses import replace
from typing import NamedTuple

from steadyhead.flight.bail_out import CHANCE, DRAWS, GLIDE, STRAIGHT_DOWN, bail_out
from steadyhead.flight.bail_out_case import least_sink_speed, ready
from steadyhead.flight.bail_out_height import RPM
from steadyhead.flight.descend import descend as gliding
from steadyhead.flight.descend_result import DescendAnswer
from steadyhead.flight.device import Device, device_of, name_of
from steadyhead.flight.height_velocity import SPEEDS, height_velocity
from steadyhead.flight.landing import landing_answer
from steadyhead.flight.landing_pilot import fitted_plan
from steadyhead.machine.description import Machine
from steadyhead.words.errors import InputError, SolveError, did_you_mean
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome, Verdict, worst

FEWEST, MOST = 100, 1_000_000
SHEET_DRAWS, SHEET_SPEEDS = 200, 13
SLOWEST_GLIDE, FASTEST_GLIDE = 0.6, 1.2
"""Between these shares of the set speed the rotor's map holds."""


class Effort(NamedTuple):
    """How many machines, pilots and airs are drawn, at how many speeds the diagram looks, and what flies them."""

    draws: int = DRAWS
    speeds: int = SPEEDS
    device: Device = Device.CPU


USUAL = Effort()
MODEL_SAYS = (
    "bail-out, landing and diagram fly a point mass in one vertical plane with inflow settled; wind is a steady rise "
    "or sink of the air, ground effect is left out",
    "no measured bail-out, flare or height-velocity test of a model helicopter was found: nothing here is validated "
    "against one",
    "the pilot's reaction, pull and eye are common practice, no source; a beginner needs far more height",
    "a bail-out needs a motor that works: after a failure of motor, pack or controller there is none",
)


def descend(
    machine: Machine, *, mode: str | None = None, glide_rpm: float | None = None, chance: float = CHANCE,
    draws: int = DRAWS, device: str = Device.CPU, say: Say = silent,
) -> DescendAnswer:  # fmt: skip
    """Return how a machine comes down without its motor, and what it takes to bring the motor back.

    Raises: InputError when there is no such flight mode or device, or the head speed, chance or number of draws makes
    no sense.
    """
    refuse(machine, mode, glide_rpm, chance, draws)
    effort = Effort(draws=draws, device=device_of(device))
    glided = gliding(machine, say=say)
    return with_motor_back(machine, glided, mode=mode, glide_rpm=glide_rpm, chance=chance, effort=effort, say=say)


def descend_for_sheet(machine: Machine, *, say: Say = silent) -> DescendAnswer:
    """Return the descent with fewer flights drawn and fewer speeds, for the set-up sheet; it tells both numbers.

    Where the machine file lacks a value that the flight needs, the height is unknown and the answer says why.

    Raises: InputError when the machine names no flight mode.
    """
    glided = gliding(machine, say=say)
    try:
        return with_motor_back(machine, glided, effort=Effort(SHEET_DRAWS, SHEET_SPEEDS), say=say)
    except InputError as error:
        lost = Verdict.unknown("bail_out_height", f"a bail-out could not be flown: {error}")
        return judged(glided, (lost,))


def with_motor_back(
    machine: Machine, answer: DescendAnswer, *, mode: str | None = None, glide_rpm: float | None = None,
    chance: float = CHANCE, effort: Effort = USUAL, say: Say = silent,
) -> DescendAnswer:  # fmt: skip
    """Return the same answer with bail-out, landing and height-velocity diagram of one flight mode.

    The descents are those at `glide_rpm` of the head, the mode's own speed if left out.

    Raises: InputError when there is no such flight mode.
    """
    number = mode_number(machine, mode)
    own = ready(machine, number, glide_rpm / RPM if glide_rpm else None, device=effort.device)
    try:
        say("bail-out straight down")
        down = bail_out(own, STRAIGHT_DOWN, 0.0, chance, effort.draws)
        say("bail-out from the glide")
        glided = bail_out(own, GLIDE, least_sink_speed(own), chance, effort.draws)
        say("landing without motor")
        plan = fitted_plan(own)
        landed = landing_answer(own, plan=plan)
        say("height-velocity diagram")
        diagram = height_velocity(own, effort.speeds, plan=plan)
    except SolveError as error:
        lost = Verdict.unknown("bail_out_height", str(error), needs=("a head speed that the air can keep",))
        return judged(replace(answer, warnings=(*answer.warnings, str(error))), (lost,))
    bailed = (down, glided)
    named = [(f"{one.way}: ", check) for one in bailed for check in one.checks] + [("landing: ", landed.check)]
    told = replace(
        answer, bail_outs=bailed, landing=landed, height_velocity=diagram, device=name_of(effort.device),
        warnings=(*answer.warnings, *MODEL_SAYS),
    )  # fmt: skip
    return judged(told, tuple(replace(check, reason=place + check.reason) for place, check in named))


def judged(answer: DescendAnswer, checks: tuple[Verdict, ...]) -> DescendAnswer:
    """Return the answer with more checks, and the verdict over all of them."""
    every = (*answer.checks, *checks)
    return replace(
        answer,
        checks=every,
        verdict=worst(check.verdict for check in every),
        reasons=tuple(
            check.reason for way in (Outcome.FAIL, Outcome.UNKNOWN) for check in every if check.verdict is way
        ),
        unknowns=tuple(dict.fromkeys([*answer.unknowns, *(need for check in checks for need in check.needs)])),
    )


def mode_number(machine: Machine, mode: str | None) -> int:
    """Return the number, from 0, of a flight mode; without a name that of the highest head speed.

    Raises: InputError when there is none of that name.
    """
    names = [row.name for row in machine.flight_mode]
    if mode is None:
        speeds = [row.head_speed.si for row in machine.flight_mode]
        return speeds.index(max(speeds))
    if mode not in names:
        raise InputError(f"machine {machine.name}, flight mode", read=mode, right=did_you_mean(mode, names))
    return names.index(mode)


def refuse(machine: Machine, mode: str | None, glide_rpm: float | None, chance: float, draws: int) -> None:
    """Refuse a flight mode, a head speed, a chance or a number of draws that makes no sense.

    Raises: InputError.
    """
    if not 0.5 <= chance <= 0.999:
        raise InputError("chance", read=f"{chance:g}", right="a share from 0.5 to 0.999")
    if not FEWEST <= draws <= MOST:
        raise InputError("draws", read=f"{draws}", right=f"a whole number from {FEWEST} to {MOST}")
    if not machine.flight_mode:
        raise InputError(f"machine {machine.name}", read="no flight mode", right="at least one [[flight_mode]]")
    rpm = machine.flight_mode[mode_number(machine, mode)].head_speed.si * RPM
    if glide_rpm is not None and not SLOWEST_GLIDE * rpm <= glide_rpm <= FASTEST_GLIDE * rpm:
        right = f"from {SLOWEST_GLIDE * rpm:.0f} to {FASTEST_GLIDE * rpm:.0f} rpm, 0.6 to 1.2 of the flight mode's"
        raise InputError("head speed of the glide", read=f"{glide_rpm:g} rpm", right=right)
